"""Equality before time: what a loop says of a state against what the fast evaluator says of it.

A loop moves all relays at once, the engine one at a time in any order, so a state is left out, and counted,
where that can differ: it chatters, it races, or a part in it touches both poles over loads in series.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from tests.benchmark.baselines import in_series, settled
from wirecheck.engine.answers import WORKING

if TYPE_CHECKING:
    from tests.benchmark.baselines import Bits, Ended, Loop
    from tests.benchmark.ours import Stood

Held = Literal["same", "chatters", "races", "in series", "order", "shorted"]


class Differs(AssertionError):
    """A loop and the engine say different things of one state."""


def alike(ended: Ended, stood: Stood) -> bool:
    """Do both show the same lamps and coils? `weak` is not on."""
    on = tuple(w in WORKING for w in stood.words)
    return (ended.kind, ended.coils, ended.on) == (stood.kind, stood.coils, on)


def held(loop: Loop, ended: Ended, ends: set[Stood], inputs: Bits, start: Bits | None, any_of: bool) -> Held:
    """How a loop's answer stands to the engine's. any_of: it may be any of the ends. Raises Differs.

    order: all at once the relays come to another rest, moved one by one to the same.
    """
    if ended.kind == "chatter" or any(e.kind == "chatter" for e in ends):
        return "chatters"
    if len(ends) > 1 and not any_of:
        return "races"
    if any(alike(ended, e) for e in ends):
        return "same"
    passed = (*ended.passed, *(e.coils for e in ends if e.kind == "rest"))
    if any(in_series(loop.net, inputs, coils) for coils in passed):
        return "in series"
    if any(alike(settled(loop, inputs, start, "one by one"), e) for e in ends):
        return "order"
    raise Differs(f"inputs {inputs} from {start}: {ended} here, {sorted(map(str, ends))} there")
