"""Which coils need to be moved one at a time in any order (engine.md section 4, Settling).

Under given inputs, what stands at a known potential with every relay contact open stays there whatever the
relays do, or there is a short. Cut there, a coil depends on the relay contacts and coils of its own zone only.
Rings of that graph, and the coils upstream of a ring, whose passing pulse can set a latch, need the orders;
all others end alike in any order, so they are moved all at once. Where all relay contacts closed together
would short something, an order might pass a short: then every coil needs the orders.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import ByCoil, Coil
from wirecheck.engine.plain.network import Joined
from wirecheck.engine.plain.solve import value

if TYPE_CHECKING:
    from wirecheck.engine.answers import Bits
    from wirecheck.engine.plain.evaluator import Plain, Turned, View

Graph = dict[int, set[int]]


def needs_order(unit: Plain, inputs: Bits, turned: Turned) -> frozenset[int]:
    """The coils (by index) to be moved one at a time; the rest depend on nothing that depends on them."""
    put = dict(turned)
    contacts = unit.circuit.contacts
    moving = {
        c.id: unit.coils[c.mover.coil] for c in contacts.values() if isinstance(c.mover, ByCoil) and c.id not in put
    }
    closed = dict(zip(contacts, unit.closed(inputs, *unit.cold()), strict=True)) | put
    bare = unit.view(tuple(closed[c] and c not in moving for c in contacts), frozenset())
    full = unit.view(tuple(closed[c] or c in moving for c in contacts), frozenset())
    if bare.short is not None or full.short is not None:
        return frozenset(range(len(unit.coils)))
    return upstream_of_rings(Zones(bare, moving).graph())


class Zones:
    """What hangs together through impedances, transformers and relay contacts, cut at known potentials."""

    def __init__(self, bare: View, moving: dict[str, int]) -> None:
        self.bare, self.unit, self.moving = bare, bare.plain, moving
        self.fixed = bare.network.fixed
        self.joined = Joined(self.unit.nets.count)
        for a, b in self._edges():
            if a not in self.fixed and b not in self.fixed:
                self.joined.join(a, b)
        self.series, self.alive = self._series()

    def _node(self, terminal: str) -> int:
        return self.bare.network.node[self.unit.nets.of[terminal]]

    def _contact(self, contact: str) -> tuple[int, int]:
        c = self.unit.circuit.contacts[contact]
        return self._node(c.a), self._node(c.b)

    def _edges(self) -> list[tuple[int, int]]:
        edges = [self._contact(c) for c in self.moving] + list(self.bare.network.ends.values())
        for core in self.unit.transformers.values():
            ends = [self._node(t) for a, b, _ in core.windings for t in (a, b)]
            loose = [n for n in ends if n not in self.fixed]
            edges += [(loose[0], n) for n in loose[1:]]
        return edges

    def of(self, *nodes: int) -> set[int]:
        """The zones that these nodes lie in; a known potential lies in none."""
        return {self.joined.find(n) for n in nodes if n not in self.fixed}

    def _series(self) -> tuple[set[int], set[int]]:
        """Zones in which impedances can stand in series, and zones that can carry current at all.

        In series: impedances lead from there to two known potentials; elsewhere a node is either joined to one
        or dead, so no impedance decides a voltage. A transformer hands on what relay contacts bring it, so
        beside one those count too. What reaches one known potential at most, by any way, is dead.
        """
        hung = list(self.bare.network.ends.values())
        cored: set[int] = set()
        for core in self.unit.transformers.values():
            pairs = [(self._node(a), self._node(b)) for a, b, _ in core.windings]
            hung += pairs
            cored |= self.of(*(n for pair in pairs for n in pair))
        contacts = [self._contact(c) for c in self.moving]
        hung_to, any_way = self._reached(hung), self._reached(hung + contacts)
        alive = {zone for zone, potentials in any_way.items() if len(potentials) > 1}
        series = {zone for zone, potentials in hung_to.items() if len(potentials) > 1}
        return series | (alive & cored), alive

    def _reached(self, edges: list[tuple[int, int]]) -> dict[int, set[tuple[str, complex]]]:
        """Zone -> the known potentials at the far ends of these edges out of it."""
        found: dict[int, set[tuple[str, complex]]] = {}
        for a, b in edges:
            for here, there in ((a, b), (b, a)):
                if there in self.fixed and here not in self.fixed:
                    known = self.fixed[there]
                    found.setdefault(self.joined.find(here), set()).add((known.ref, known.volts))
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
        """Can a coil keep what a passing pulse did to it: by a delay, or by volts between drop-out and pick-up?"""
        coil = next(i for i, n in self.unit.coils.items() if n == k)
        if any(i == coil for i, _ in self.unit.delays):
            return True
        z = self.unit.impedances[coil]
        assert isinstance(z, Coil)
        scenario = self.unit.scenario
        rated, pick = value(z.volts, scenario), value(z.pick_up, scenario)
        low = min(value(z.drop_out, scenario), pick) * rated
        known = {p.volts for p in self.fixed.values()}
        return any(low <= abs(a - b) < pick * rated for a in known for b in known)


def upstream_of_rings(graph: Graph) -> frozenset[int]:
    """Members of rings, and everything from which a ring can be reached."""
    left = {n: set(to) for n, to in graph.items()}
    while True:
        free = [n for n, to in left.items() if not to & set(left)]
        if not free:
            return frozenset(left)
        for n in free:
            del left[n]
