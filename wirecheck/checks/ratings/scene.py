"""All that the ratings are held against, worked out once."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from wirecheck.checks.ratings.carried import NONE, Survey
from wirecheck.checks.ratings.moments import moments
from wirecheck.checks.ratings.volts import Standing

if TYPE_CHECKING:
    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.carried import Carried
    from wirecheck.checks.ratings.moments import Look
    from wirecheck.circuit.elements import Conductor


class Scene:
    """The networks after and before, and what flows and stands in them.

    seen: each distinct network after, in the state nearest to ordinary operation that has it.
    """

    def __init__(self, pair: Pair) -> None:
        self.pair = pair
        self.before, self.after = pair.changed.before, pair.changed.after
        every = moments(pair)
        self.seen = list({(m.now.key, m.now.state[1]): m for m in reversed(every)}.values())[::-1]
        self._before = {w.key: w for m in every for w in m.was}
        self.was = Survey(pair.before)
        self.now = Survey(pair.after)
        self.standing = Standing()

    @cached_property
    def old(self) -> list[Look]:
        """Every distinct network of the unit before."""
        return list(self._before.values())

    @cached_property
    def new(self) -> list[Look]:
        """Every distinct network after the change."""
        return list({m.now.key: m.now for m in self.seen}.values())

    def carried_before(self, edge: str) -> list[Carried]:
        """What a contact or conductor of this id carried in each network before; [] where there was none."""
        if edge not in self.before.elements and edge not in self.before.conductors:
            return []
        return [self.was.carried(w).get(edge, NONE) for w in self.old]

    def brought(self, device: str) -> bool:
        return device in self.pair.changed.brought

    def of_unit(self, wire: Conductor) -> Conductor | None:
        """The conductor of the unit that this one is; cut in two it goes on as ID.a and ID.b. None: new."""
        stem, _, half = wire.id.rpartition(".")
        known = self.before.conductors
        return known.get(wire.id) or (known.get(stem) if half in ("a", "b") else None)
