"""Writes the condition under which parts are the same as in one network.

A part is told by which ends of impedances and windings meet in each of its floating nodes, by the known
potentials at its other ends, and by the coils in it that are in: its solution rests on nothing else,
whichever contacts make it so. What else lies on a node is told by the contacts on it alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil, Motor
from wirecheck.engine.fast.limits import NotHere
from wirecheck.engine.fast.table import FALSE
from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.network import Placed
    from wirecheck.engine.solver import View


class Cuber:
    """Conditions on the parts of one unit, as nodes of its program."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.table = unit, unit.table
        self.of = unit.plain.nets.of
        self.ends = list(dict.fromkeys(self.of[t] for t in _ends(unit)))
        self._apart: dict[tuple[int, ...], int] = {}

    def parts(self, view: View, elements: Iterable[str]) -> set[int]:
        """The parts of these elements stand as they do."""
        network = view.network
        parts = dict.fromkeys(network.part_of[e] for e in elements if e in network.part_of)
        return {n for k in parts for n in self._part(view, network.parts[k])}

    def load(self, view: View, name: str, elements: Iterable[str]) -> set[int]:
        """The same; and what the word of a motor rests on besides."""
        nodes = self.parts(view, elements)
        load = self.unit.plain.circuit.loads[name]
        if isinstance(load, Motor):
            nodes |= {self._stands(view, self.of[t]) for t in load.terminals}
            if self.unit.plain.starters and load.kind == "psc" and load.aux is not None:
                nodes |= set(self._starters(view, load.main, load.aux))
        return nodes

    def on(self, view: View, terminal: str) -> set[int]:
        """A terminal stands at the node that it does of its part, which stands as it does."""
        net, network = self.of[terminal], view.network
        placed = next((p for p in network.parts if network.node[net] in p.nodes), None)
        return set() if placed is None else {*self._part(view, placed), *self._lies(view, net)}

    def _part(self, view: View, placed: Placed) -> Iterator[int]:
        """Its floating nodes are joined as they are, its ends known as they are, its coils as they are."""
        plain = self.unit.plain
        for n in {n for n in placed.nodes if n not in view.network.fixed}:
            yield from self._node(view, n)
        for i, _, _, is_in in placed.part.branches:
            z = plain.impedances[i]
            yield from (self._stands(view, self.of[t]) for t in (z.a, z.b))
            if isinstance(z, Coil) and i in plain.coils:
                coil = self.unit.movers.coils[i]
                yield coil if is_in else self.table.negate(coil)
        for core, _ in placed.part.cores:
            for a, b, _ in plain.transformers[core].windings:
                yield from (self._stands(view, self.of[t]) for t in (a, b))

    def _stands(self, view: View, net: int) -> int:
        """The net stands at the known potential that it has here, or floats."""
        label = view.network.fixed.get(view.network.node[net])
        net = self.unit.nets.same.get(net, net)
        if label is None:
            return self.unit.floating.floats[net]
        node = self.unit.known.at[net].get(label, FALSE)
        if node == FALSE:
            raise NotHere("a potential that the program does not know")
        return node

    def _node(self, view: View, node: int) -> Iterator[int]:
        """The ends that lie on a floating node are joined, and no others are joined to them."""
        at = view.network.node
        inside = tuple(n for n in self.ends if at[n] == node)
        if not inside:
            return
        yield from (self._joined(inside[0], n) for n in inside[1:])
        if inside not in self._apart:
            others = (self._joined(inside[0], n) for n in self.ends if at[n] != node)
            self._apart[inside] = self.table.negate(self.table.any(others))
        yield self._apart[inside]

    def _lies(self, view: View, net: int) -> Iterator[int]:
        """A net lies where it does: at a known potential, or on a floating node with an end of something."""
        yield self._stands(view, net)
        at = view.network.node
        ends = (n for n in self.ends if at[n] == at[net])
        if at[net] not in view.network.fixed:
            yield from (self._joined(n, net) for n in ends)

    def _joined(self, a: int, b: int) -> int:
        same = self.unit.nets.same
        return self.unit.known.ways.joined(same.get(a, a), same.get(b, b))

    def _starters(self, view: View, main: tuple[str, ...], aux: str) -> Iterator[int]:
        """Which start devices have an end on the outer end of the auxiliary."""
        at = view.network.node
        mains, outer = self._nets(*main), self._nets(aux)
        pairs = [(n, m) for n in outer for m in mains]
        pairs += [(n, m) for i in self.unit.plain.starters for n in self._nets(i) for m in outer]
        for n, m in pairs:
            if n != m:
                meet = self._joined(n, m)
                yield meet if at[n] == at[m] else self.table.negate(meet)

    def _nets(self, *elements: str) -> set[int]:
        zs = [self.unit.plain.impedances[i] for i in elements]
        return {self.of[t] for z in zs for t in (z.a, z.b)}


class ByContacts(Cuber):
    """The same, with all that lies on a floating node: each contact on it stands as it does."""

    def __init__(self, unit: Unit) -> None:
        super().__init__(unit)
        self.touching: dict[int, list[str]] = {}
        for c in unit.plain.circuit.contacts.values():
            for net in {self.of[c.a], self.of[c.b]}:
                self.touching.setdefault(net, []).append(c.id)

    def standing(self, view: View, terminals: Iterable[str]) -> set[int]:
        """These terminals stand as they do: at a known potential, in a part that floats, or by themselves."""
        return {n for t in terminals for n in self._end(view, t)}

    def _end(self, view: View, terminal: str) -> Iterable[int]:
        network, net = view.network, self.of[terminal]
        node = network.node[net]
        if node in network.fixed:
            return (self._stands(view, net),)
        placed = next((p for p in network.parts if node in p.nodes), None)
        return self._node(view, node) if placed is None else self._part(view, placed)

    def _node(self, view: View, node: int) -> Iterator[int]:
        """The nets of one node are joined to each other and to nothing else."""
        network, literals = view.network, self.unit.nets.literals
        members = [n for n, at in enumerate(network.node) if at == node]
        joined = Joined(len(network.node))
        for c in dict.fromkeys(i for n in members for i in self.touching.get(n, ())):
            contact = self.unit.plain.circuit.contacts[c]
            a, b = self.of[contact.a], self.of[contact.b]
            if network.node[a] != network.node[b]:
                yield self.table.negate(literals[c])
            elif joined.find(a) != joined.find(b) and c in view.shut:
                joined.join(a, b)
                yield literals[c]


def _ends(unit: Unit) -> Iterator[str]:
    """The terminals of every impedance and winding."""
    for z in unit.plain.impedances.values():
        yield from (z.a, z.b)
    for core in unit.plain.transformers.values():
        for a, b, _ in core.windings:
            yield from (a, b)
