"""`no-short`: no state, and no order of relays on the way to one, is shorted that was not before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.circuit.elements import Transformer
from wirecheck.engine.question import Not, Shorted, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Short

NAME = "no-short"


def check(pair: Pair) -> Iterator[Finding]:
    """Settling ends at a short whatever the order, so the outcomes hold those passed on the way too."""
    for case in pair.where(every(Shorted("after"), Not(Shorted("before")))):
        if (short := case.joint.after.short) is not None:
            yield Finding(
                NAME, "unit", "fail", words(pair.changed.after, short), pair.witness(case, short.path)
            )
            return
    yield Finding(NAME, "unit", "pass", f"nothing is shorted that was not before, in {pair.count} states")


def words(circuit: Circuit, short: Short) -> str:
    """What is shorted, a supply or a transformer's secondary, and the terminals from pole to pole."""
    ends = {short.path[0], short.path[-1]} if short.path else set()
    cores = [e for e in circuit.elements.values() if isinstance(e, Transformer) and ends <= {*e.secondary}]
    supplies = ", ".join(sorted(short.supplies))
    what = supplies or "a secondary"
    if ends and cores:
        what = f"the secondary of {cores[0].device}{f', fed from {supplies}' if supplies else ''}"
    return f"a short of {what}: {' – '.join(short.path)}"
