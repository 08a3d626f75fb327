"""Has a setting that one world reaches none in another: what side-by-side questions then never look at.

Only what `impossible` names and what is held can take a setting away; all else is free in both worlds. So
only the choices that these bear on are gone through.
"""

from __future__ import annotations

from math import prod
from typing import TYPE_CHECKING

from wirecheck.circuit.bound import InputIs, QuantityIs, atoms

if TYPE_CHECKING:
    from wirecheck.engine.world import Setting, World

MOST = 1 << 16  # settings that are compared; beyond, some may be lost


def loses(whole: World, of_after: bool, part: World) -> bool:
    """Has a setting of `whole` none in `part`, as the unit before sees it? True too where it takes too long.

    of_after: the unit before is the one unit of `whole`, as its unit after. part: of a pair.
    """
    one, other = Sight(whole, of_after), Sight(part, False)
    seen, more = frozenset[str](), one.names(one.bound()) | other.names(other.bound())
    while more != seen:
        seen = more
        more = seen | one.names(one.blocks(seen)) | other.names(other.blocks(seen))
    ours, theirs = one.blocks(seen) | one.bound(), other.blocks(seen) | other.bound()
    if max(one.count(ours), other.count(theirs)) > MOST:
        return True
    told = sorted(one.names(ours))
    return not one.settings(ours, told, whole) <= other.settings(theirs, told, whole)


class Sight:
    """A world as one of its circuits sees it: by the names there of its inputs, and by quantities."""

    def __init__(self, world: World, of_after: bool) -> None:
        self.world, self.of_after = world, of_after
        ranged = [n for n, (_, choices) in enumerate(world.blocks) if choices[0][0] is not None]
        self._at = dict(zip(world.quantities, ranged, strict=True))
        self._block = {k: n for n, (where, _) in enumerate(world.blocks) for k in where}

    def bound(self) -> frozenset[int]:
        """The blocks that are held or that an `impossible` names."""
        world = self.world
        found = {self._block[k] for k, v in enumerate(world.variables) if v.held is not None}
        for circuit, condition in world.impossible:
            for atom in atoms(condition):
                if isinstance(atom, InputIs) and (k := world.variable_of(circuit, atom.input)) is not None:
                    found.add(self._block[k])
                elif isinstance(atom, QuantityIs) and atom.quantity in self._at:
                    found.add(self._at[atom.quantity])
        return frozenset(found)

    def names(self, blocks: frozenset[int]) -> frozenset[str]:
        """The inputs and quantities of some blocks."""
        inputs = {self._name(k) for n in blocks for k in self.world.blocks[n][0]} - {None}
        return frozenset(n for n in inputs if n) | {q for q, n in self._at.items() if n in blocks}

    def _name(self, k: int) -> str | None:
        v = self.world.variables[k]
        return v.after if self.of_after else v.before

    def blocks(self, names: frozenset[str]) -> frozenset[int]:
        """The blocks in which any of these is."""
        held = {self._block[k] for k in self._block if self._name(k) in names}
        return frozenset(held | {n for q, n in self._at.items() if q in names})

    def count(self, blocks: frozenset[int]) -> int:
        return prod(len(self.world.blocks[n][1]) for n in blocks)

    def settings(self, blocks: frozenset[int], names: list[str], whole: World) -> set[tuple[object, ...]]:
        """Where these inputs and quantities stand in the possible settings; ranges are those of `whole`."""
        rows = [c if n in blocks else c[:1] for n, (_, c) in enumerate(self.world.blocks)]
        return {tuple(self._stands(n, s, whole) for n in names) for s in self.world.combined(rows)}

    def _stands(self, name: str, setting: Setting, whole: World) -> object:
        world = self.world
        if name not in self._at:
            circuit = world.after if self.of_after else world.before
            return circuit is not None and world.position(circuit, name, setting)
        low, high = world.interval(name, setting.ranges[world.quantities.index(name)])
        every = (whole.interval(name, k) for k in range(len(whole.cuts[name]) + 1))
        return next(k for k, (bottom, top) in enumerate(every) if bottom <= low and high <= top)
