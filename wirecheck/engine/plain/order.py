"""Which coils need to be moved one at a time in any order (engine.md section 4, Settling).

Under given inputs, what stands at a known potential with every relay contact open stays there whatever the
relays do, or there is a short. Cut there, a coil depends on the relay contacts and coils of its own zone
only. Rings of that graph, and the coils upstream of a ring, whose passing pulse can set a latch, need the
orders; all others end alike in any order, so they are moved all at once. In doubt every coil needs the
orders: where all relay contacts closed together would short something, where what floats could be tied by a
relay contact, and where transformers hang together behind relay contacts.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import ByCoil
from wirecheck.engine import figures
from wirecheck.engine.estimates import ends
from wirecheck.engine.nets import Joined
from wirecheck.engine.network import apart, unlike

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.engine.answers import Bits, Potential, Turned
    from wirecheck.engine.solver import Solver, View

Graph = dict[int, set[int]]


def needs_order(unit: Solver, inputs: Bits, turned: Turned) -> frozenset[int]:
    """The coils (by index) to be moved one at a time; the rest depend on nothing that depends on them.

    But for shorts by a forced winding it does not hang on where estimates stand, and is kept for all of them.
    """
    put = dict(turned)
    contacts = unit.circuit.contacts
    moving = {
        c.id: unit.coils[c.mover.coil]
        for c in contacts.values()
        if isinstance(c.mover, ByCoil) and c.id not in put
    }
    closed = dict(zip(contacts, unit.closed(inputs, *unit.cold()), strict=True)) | put
    bare = unit.view(tuple(closed[c] and c not in moving for c in contacts), frozenset())
    full = unit.view(tuple(closed[c] or c in moving for c in contacts), frozenset())
    every = frozenset(range(len(unit.coils)))
    if bare.short is not None or full.short is not None:
        return every
    if (inputs, turned) not in unit.rings:
        zones = Zones(bare, moving)
        doubt = not stays_known(bare, full) or zones.cores_meet()
        unit.rings[inputs, turned] = every if doubt else upstream_of_rings(zones.graph())
    return unit.rings[inputs, turned]


def stays_known(bare: View, full: View) -> bool:
    """Does every known potential, those of unearthed secondaries too, stay what it is when contacts close?"""
    node, known = full.network.node, full.network.fixed
    for k, n in enumerate(bare.network.node):
        was, now = bare.network.fixed.get(n), known.get(node[k])
        if was is not None and (now is None or unlike(was, now)):
            return False
    return True


def mixed(potentials: Iterable[Potential]) -> bool:
    """Are there two unlike potentials among these?"""
    return any(unlike(a, b) for a, b in combinations(potentials, 2))


class Zones:
    """What hangs together through impedances, transformers and relay contacts, cut at known potentials."""

    def __init__(self, bare: View, moving: dict[str, int]) -> None:
        self.bare, self.unit, self.moving = bare, bare.plain, moving
        self.fixed = bare.network.fixed
        self.joined = Joined(self.unit.nets.count)
        for a, b in self._edges():
            if a not in self.fixed and b not in self.fixed:
                self.joined.join(a, b)
        self.cored = [self.of(*ends) for ends in self._core_ends()]
        self.alive = self._alive()
        self.series = self._series()

    def _node(self, terminal: str) -> int:
        return self.bare.network.node[self.unit.nets.of[terminal]]

    def _contact(self, contact: str) -> tuple[int, int]:
        c = self.unit.circuit.contacts[contact]
        return self._node(c.a), self._node(c.b)

    def _core_ends(self) -> list[list[int]]:
        """The nodes of each transformer's windings."""
        cores = self.unit.transformers.values()
        return [[self._node(t) for a, b, _ in core.windings for t in (a, b)] for core in cores]

    def _edges(self) -> list[tuple[int, int]]:
        edges = [self._contact(c) for c in self.moving] + list(self.bare.network.ends.values())
        for nodes in self._core_ends():
            loose = [n for n in nodes if n not in self.fixed]
            edges += [(loose[0], n) for n in loose[1:]]
        return edges

    def of(self, *nodes: int) -> set[int]:
        """The zones that these nodes lie in; a known potential lies in none."""
        return {self.joined.find(n) for n in nodes if n not in self.fixed}

    def cores_meet(self) -> bool:
        """Do two transformers lie in one zone?

        There a short may pass that all contacts closed does not show.
        """
        return any(a & b for a, b in combinations(self.cored, 2))

    def _alive(self) -> set[int]:
        """Zones that can carry current: what reaches one known potential at most, by any way, is dead."""
        ways = [*self.bare.network.ends.values(), *(self._contact(c) for c in self.moving)]
        alive = {zone for zone, reached in self._reached(ways).items() if mixed(reached)}
        return alive.union(*self.cored)

    def _series(self) -> set[int]:
        """Zones in which an impedance may decide a voltage.

        Two of them can stand in series there, or a transformer hands on what it gets.

        Not where each impedance leads from the zone straight to one and the same known potential: whatever
        the contacts do, a node is then joined to a known potential, or carries nothing.
        """
        hung = list(self.bare.network.ends.values())
        within = {self.joined.find(a) for a, b in hung if a not in self.fixed and b not in self.fixed}
        apart = {zone for zone, reached in self._reached(hung).items() if mixed(reached)}
        return self.alive & (within | apart).union(*self.cored)

    def _reached(self, edges: list[tuple[int, int]]) -> dict[int, set[Potential]]:
        """Zone -> the known potentials at the far ends of these edges out of it."""
        found: dict[int, set[Potential]] = {}
        for a, b in edges:
            for here, there in ((a, b), (b, a)):
                if there in self.fixed and here not in self.fixed:
                    found.setdefault(self.joined.find(here), set()).add(self.fixed[there])
        return found

    def graph(self) -> Graph:
        """Coil -> the coils whose volts its contacts, or its own impedance, can change."""
        mine = {k: self.of(*self.bare.network.ends[i]) for i, k in self.unit.coils.items()}
        moved: dict[int, set[int]] = {k: set() for k in mine}
        for c, k in self.moving.items():
            moved[k] |= self.of(*self._contact(c))
        return {
            k: {j for j, zones in mine.items() if zones & ((moved[k] & self.alive) | (mine[k] & self.series))}
            | ({k} if self._remembers(k) else set())
            for k in mine
        }

    def _remembers(self, k: int) -> bool:
        """Can a coil keep what a passing pulse did to it?

        By a delay, or by volts between drop-out and pick-up.
        What is estimated is taken at the ends that lie furthest apart. Volts in a zone of series are not
        looked at: its coils depend on themselves anyway.
        """
        coil = next(i for i, n in self.unit.coils.items() if n == k)
        if any(i == coil for i, _ in self.unit.delays):
            return True
        z = self.unit.circuit.coils[coil]
        high = ends(z.pick_up)[1] * ends(z.volts)[1] + figures.SLACK
        drop = min(ends(z.drop_out)[0], figures.DROP_BELOW_PICK * ends(z.pick_up)[0])
        low = drop * ends(z.volts)[0] - figures.SLACK
        return any(low <= abs(a.volts - b.volts) < high or apart(a, b) for a, b in self._pairs())

    def _pairs(self) -> Iterable[tuple[Potential, Potential]]:
        """Known potentials between which a coil may come to lie."""
        return ((a, b) for a, b in combinations(set(self.fixed.values()), 2) if a.ref == b.ref)


def upstream_of_rings(graph: Graph) -> frozenset[int]:
    """Members of rings, and everything from which a ring can be reached."""
    left = {n: set(to) for n, to in graph.items()}
    while True:
        free = [n for n, to in left.items() if not to & set(left)]
        if not free:
            return frozenset(left)
        for n in free:
            del left[n]
