"""`no-short`: no state, and no order of relays on the way to one, is shorted that was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.engine.question import Not, Shorted, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.engine.answers import Short

NAME = "no-short"


def check(pair: Pair) -> Iterator[Finding]:
    """Settling ends at a short whatever the order, so the outcomes hold those passed on the way too."""
    for case in pair.where(every(Shorted("after"), Not(Shorted("before")))):
        if (short := case.joint.after.short) is not None:
            yield Finding(NAME, "unit", "fail", words(short), pair.witness(case, short.path))
            return
    yield Finding(NAME, "unit", "pass", f"nothing is shorted that was not before, in {pair.count} states")


def words(short: Short) -> str:
    """Which supplies are shorted, and the terminals from pole to pole."""
    return f"a short of {', '.join(sorted(short.supplies)) or 'a secondary'}: {' – '.join(short.path)}"
