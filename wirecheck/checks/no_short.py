"""`no-short`: no reachable state, and no order of relays on the way to one, is shorted that was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.engine.question import Not, Shorted, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Case, Pair

NAME = "no-short"


def check(pair: Pair) -> Iterator[Finding]:
    """Settling ends at a short whatever the order, so the outcomes hold those passed on the way too."""
    for case in pair.where(every(Shorted("after"), Not(Shorted("before")))):
        yield Finding(NAME, "unit", "fail", words(case), pair.witness(case, path(case)))
        return
    yield Finding(NAME, "unit", "pass", f"nothing is shorted that was not before, in {pair.count} states")


def path(case: Case) -> tuple[str, ...]:
    short = case.joint.after.short
    return short.path if short is not None else ()


def words(case: Case) -> str:
    short = case.joint.after.short
    assert short is not None
    return f"a short of {', '.join(sorted(short.supplies)) or 'a secondary'}: {' – '.join(short.path)}"
