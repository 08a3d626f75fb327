"""The way to one state, walked again on the plain evaluator: counterexamples are shown as it sees them.

This is where the fast evaluator leans on the plain one: what a report shows, both have come to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from wirecheck.engine.answers import Outcome
from wirecheck.engine.plain.explore import Joint, runs_out

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.engine.answers import State
    from wirecheck.engine.fast.joint import Came, Key, Reached
    from wirecheck.engine.fast.settle import End, Settler
    from wirecheck.engine.fast.space import Space
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.plain.explore import Explorer
    from wirecheck.engine.world import Setting


class Disagreement(Exception):
    """The plain evaluator does not come to a state that the fast one came to. Carries the moves."""

    def __init__(self, moves: tuple[str, ...]) -> None:
        self.moves = moves
        super().__init__("the two evaluators disagree after: " + ", ".join(moves))


class Walked(Protocol):
    """What is replayed: a unit, or two side by side, with all that the fast evaluator has reached.

    settlers: by side, "before" and "after". explorer: the plain evaluator's walk over the same units.
    """

    @property
    def space(self) -> Space: ...

    @property
    def settlers(self) -> Mapping[str, Settler]: ...

    @property
    def reached(self) -> Reached: ...

    @property
    def explorer(self) -> Explorer: ...

    def setting(self, index: int) -> Setting: ...


Step = tuple[str, "Key", int]  # words of the move, the class and the setting that it leads to


def steps(pair: Walked, key: Key, index: int) -> list[Step]:
    """The moves from power-up to a setting of a class."""
    found: list[Step] = []
    while True:
        came = _came(pair.reached, key, index & (pair.space.size - 1))
        if came.source is None:
            found.append(("power comes on", key, index))
            return found[::-1]
        words, at = runs_out(came.delay or ""), index
        if came.delay is None:
            words, at = pair.space.origin(index, came.source.chunk, came.leaving)
        found.append((words, key, index))
        key, index = came.source, at


def _came(reached: Reached, key: Key, bit: int) -> Came:
    return next(c for c in reached.came[key] if c.settings >> bit & 1)


def replay(pair: Walked, key: Key, index: int) -> tuple[tuple[str, Joint], ...]:
    """The same moves on the plain evaluator, each with the state that it leads to. Raises Disagreement."""
    explorer = pair.explorer
    way: list[tuple[str, Joint]] = []
    for words, to, at in steps(pair, key, index):
        setting = pair.setting(at)
        joints = explorer.led(way[-1][1], words, setting) if way else explorer.powered(setting)
        fits = [j for j in joints if alike(pair, to, at, j)]
        if not fits:
            raise Disagreement((*(w for w, _ in way), words))
        way.append((words, fits[0]))
    return tuple(way)


def alike(pair: Walked, key: Key, index: int, joint: Joint) -> bool:
    """Is a joint state of the plain evaluator the one of this class and setting?"""
    if not _same(pair, "after", key.after, key.chunk, index, joint.after):
        return False
    fits = [[_same(pair, "before", e, key.chunk, index, o) for o in joint.befores] for e in key.befores]
    # Several outcomes of the plain evaluator, shorts of different ways, may be one end here.
    return (
        all(any(row) for row in fits)
        and all(any(column) for column in zip(*fits, strict=True))
        and (bool(fits) or not joint.befores)
    )


def _same(pair: Walked, side: str, end: End, chunk: int, index: int, outcome: Outcome) -> bool:
    """The same kind of outcome with the same relays in."""
    supplies = outcome.short.supplies if outcome.short is not None else frozenset()
    if end.kind != outcome.kind or end.supplies != supplies:
        return False
    settler = pair.settlers[side].of(end.supplies)
    if end.kind == "rest" or len(end.members) == 1:
        return outcome.members == (_stands(settler, end, chunk, index & (pair.space.size - 1)),)
    return _tracked(settler.unit, end.members) == _tracked(settler.unit, outcome.members)


def _stands(settler: Settler, end: End, chunk: int, bit: int) -> State:
    """Every coil and delay at an end of one state."""
    frame = settler.frame(end.members[0], chunk)
    return tuple(bool(frame.coil(i) >> bit & 1) for i in settler.unit.plain.coils), end.members[0][1]


def unwalked(pair: Walked, key: Key, index: int) -> Joint | None:
    """A setting of a class as the plain evaluator would have it, not walked; None but of rests.

    It is to look at only: before it is shown it is walked.
    """
    ends = (key.after, *key.befores)
    if len(key.befores) > 1 or any(e.kind != "rest" for e in ends):
        return None
    bit, found = index & (pair.space.size - 1), []
    for side, end in zip(("after", "before"), ends, strict=False):
        state = _stands(pair.settlers[side].of(end.supplies), end, key.chunk, bit)
        found.append(Outcome("rest", (state,), (state,)))
    return Joint(pair.setting(index), found[0], tuple(found[1:]))


def _tracked(unit: Unit, members: tuple[State, ...]) -> set[object]:
    places = [unit.plain.coils[i] for i in unit.tracked_in_order]
    return {(tuple(coils[k] for k in places), delays) for coils, delays in members}
