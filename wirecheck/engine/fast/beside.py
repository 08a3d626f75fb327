"""What pairs that are made beside each other, with the same unit before, need not work out again.

Of a unit after it is kept which states are reached, for another whose relays move alike, and the vectors of
its nodes, for another in which they mean the same.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.engine.fast.limits import KEPT_BYTES, held_by

if TYPE_CHECKING:
    from wirecheck.engine.fast.joint import Reached
    from wirecheck.engine.fast.settle import Settler, Values
    from wirecheck.engine.fast.unit import Unit

MOST = 8  # units that are kept: those asked for last


class Known(NamedTuple):
    """One unit after. before: what followed the unit before, when this was explored."""

    unit: Unit
    values: Values
    before: Settler | None
    reached: Reached

    @property
    def nodes(self) -> int:
        """How many vectors of nodes it holds."""
        return sum(map(len, self.values.values()))

    @property
    def classes(self) -> int:
        """How many vectors tell what is reached."""
        kept = self.reached
        return sum(map(len, kept.came.values())) + len(kept.classes) + len(kept.power_up)


class Beside:
    """The units after that were asked for last, the newest at the end."""

    def __init__(self) -> None:
        self._known: list[Known] = []

    def values(self, unit: Unit) -> Values:
        """The vectors of its nodes, as far as a unit in which they mean the same has them; to be added to."""
        return next((k.values for k in reversed(self._known) if k.unit.means_the_same(unit)), {})

    def reached(self, unit: Unit, before: Settler | None) -> Reached | None:
        """What is reached beside the unit before, where a unit that moves alike is known."""
        found = (k for k in reversed(self._known) if k.before is before and k.unit.moves_like(unit))
        return next((k.reached for k in found), None)

    def keep(self, known: Known) -> None:
        """Keep one more, in place of one of which the same is reached.

        Where all hold too much, vectors of nodes are let go of first, which can be worked out again, and then
        the oldest units.
        """
        others = [k for k in self._known if k.reached is not known.reached]
        self._known = [*others[1 - MOST :], known]
        size = known.unit.space.size
        for k in self._known[:-1]:
            if k.values is not known.values and held_by(self._nodes(), size) > KEPT_BYTES:
                for values in k.values.values():
                    values.clear()
        while len(self._known) > 1 and held_by(sum(k.classes for k in self._known), size) > KEPT_BYTES:
            self._known.pop(0)

    def _nodes(self) -> int:
        """How many vectors of nodes are held; units may share them."""
        return sum(k.nodes for k in {id(k.values): k for k in self._known}.values())
