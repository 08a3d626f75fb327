"""Writes the condition under which a part stands as it does in one network."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil, Motor
from wirecheck.engine.fast.limits import NotHere
from wirecheck.engine.fast.table import FALSE
from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.engine.fast.cubes import Thing
    from wirecheck.engine.fast.unit import Unit
    from wirecheck.engine.solver import View


class Cuber:
    """Writes the condition under which a part is as it is in one network."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.table = unit, unit.table
        self.of = unit.plain.nets.of
        self.touching: dict[int, list[str]] = {}
        for c in unit.plain.circuit.contacts.values():
            for net in {self.of[c.a], self.of[c.b]}:
                self.touching.setdefault(net, []).append(c.id)

    def cube(self, view: View, closed: frozenset[str], elements: Iterable[str], thing: Thing) -> set[int]:
        """The parts of these elements stand as they do; of a motor's word, so does what it sees besides."""
        parts = dict.fromkeys(view.network.part_of[e] for e in elements if e in view.network.part_of)
        nodes = [n for p in parts for n in self._part(view, closed, p)]
        load = self.unit.plain.circuit.loads.get(thing[1]) if thing[0] == "load" else None
        if isinstance(load, Motor):
            nodes += [self._stands(view, self.of[t]) for t in load.terminals]
            if self.unit.plain.starters and load.kind == "psc" and load.aux is not None:
                nodes += self._starters(view, load.main, load.aux)
        return set(nodes)

    def standing(self, view: View, closed: frozenset[str], terminals: Iterable[str]) -> set[int]:
        """These terminals stand as they do: at a known potential, in a part that floats, or by themselves."""
        return {n for t in terminals for n in self._end(view, closed, t)}

    def _end(self, view: View, closed: frozenset[str], terminal: str) -> Iterable[int]:
        network, net = view.network, self.of[terminal]
        node = network.node[net]
        if node in network.fixed:
            return (self._stands(view, net),)
        part = next((k for k, p in enumerate(network.parts) if node in p.nodes), None)
        return self._node(view, closed, node) if part is None else self._part(view, closed, part)

    def _part(self, view: View, closed: frozenset[str], k: int) -> Iterator[int]:
        """Its floating nodes are joined as they are, its ends known as they are, its coils as they are."""
        network, plain = view.network, self.unit.plain
        placed = network.parts[k]
        for n in {n for n in placed.nodes if n not in network.fixed}:
            yield from self._node(view, closed, n)
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

    def _node(self, view: View, closed: frozenset[str], node: int) -> list[int]:
        """The nets of one node are joined to each other and to nothing else."""
        network, literals = view.network, self.unit.nets.literals
        members = [n for n, at in enumerate(network.node) if at == node]
        joined = Joined(len(network.node))
        found = []
        for c in dict.fromkeys(i for n in members for i in self.touching.get(n, ())):
            contact = self.unit.plain.circuit.contacts[c]
            a, b = self.of[contact.a], self.of[contact.b]
            if network.node[a] != network.node[b]:
                found.append(self.table.negate(literals[c]))
            elif joined.find(a) != joined.find(b) and c in closed:
                joined.join(a, b)
                found.append(literals[c])
        return found

    def _starters(self, view: View, main: tuple[str, ...], aux: str) -> list[int]:
        """Which start devices have an end on the outer end of the auxiliary."""
        plain, rows = self.unit.plain, self.unit.meeting
        mains, outer = self._ends(*main), self._ends(aux)
        pairs = [(n, m) for n in outer for m in mains]
        pairs += [(n, m) for i in plain.starters for n in self._ends(i) for m in outer]
        found = []
        for n, m in pairs:
            if n != m:
                meet = rows[n].get(m, FALSE)
                here = view.network.node[n] == view.network.node[m]
                found.append(meet if here else self.table.negate(meet))
        return found

    def _ends(self, *elements: str) -> set[int]:
        zs = [self.unit.plain.impedances[i] for i in elements]
        return {self.of[t] for z in zs for t in (z.a, z.b)}
