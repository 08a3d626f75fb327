"""A circuit with some contacts closed: nodes, parts, potentials (engine.md sections 1 and 2).

Conductors and links are contracted once; closed contacts join nets for each position of them. What hangs
together through impedances and transformers, cut at nodes of known potential, is one part; each distinct
part is solved once and its answer kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil, Conductor, Contact, Link, Transformer
from wirecheck.engine import figures
from wirecheck.engine.answers import Potential, Short

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.circuit.elements import Impedance, Pole
    from wirecheck.circuit.graph import Circuit

NodeKey = int
Branch = tuple[str, int, int, bool]  # impedance id, node a, node b, coil in?
Fixed = dict[int, Potential]


class Joined:
    """Union-find over small integers."""

    def __init__(self, size: int) -> None:
        self.parent = list(range(size))

    def find(self, x: int) -> int:
        parent = self.parent
        while parent[x] != x:
            parent[x] = parent[parent[x]]
            x = parent[x]
        return x

    def join(self, x: int, y: int) -> None:
        x, y = self.find(x), self.find(y)
        if x != y:
            self.parent[max(x, y)] = min(x, y)


class Nets:
    """Terminals contracted over conductors and links. `of[terminal]` is a net number."""

    def __init__(self, circuit: Circuit, without: frozenset[str] = frozenset()) -> None:
        index = {t: i for i, t in enumerate(circuit.terminals)}
        joined = Joined(len(index))
        for wire in circuit.conductors.values():
            if wire.id not in without:
                joined.join(index[wire.a], index[wire.b])
        for element in circuit.elements.values():
            if isinstance(element, Link) and element.id not in without:
                joined.join(index[element.a], index[element.b])
        number: dict[int, int] = {}
        self.of = {t: number.setdefault(joined.find(i), len(number)) for t, i in index.items()}
        self.count = len(number)


@dataclass(frozen=True, slots=True)
class Part:
    """One part: its impedances and transformers between local nodes, some at known potentials.

    branches: (impedance id, a, b, coil in?); cores: (transformer id, ((a, b), …) for its windings);
    fixed: local node -> (ref, volts, source). Equal parts compare equal, so their solution is kept.
    """

    branches: tuple[tuple[str, int, int, bool], ...]
    cores: tuple[tuple[str, tuple[tuple[int, int], ...]], ...]
    fixed: tuple[tuple[int, Potential], ...]
    size: int


@dataclass(frozen=True, slots=True)
class Placed:
    """A part and where its local nodes are in the network."""

    part: Part
    nodes: tuple[int, ...]
    name: str  # of the reference of what floats in it


@dataclass(frozen=True, slots=True)
class Network:
    """Nodes of one position of all contacts. `node[net]`; fixed potentials; parts; the short, if any."""

    node: tuple[int, ...]
    fixed: Fixed
    parts: tuple[Placed, ...]
    part_of: dict[str, int]  # impedance or transformer id -> index in parts
    ends: dict[str, tuple[int, int]]  # impedance id -> nodes
    short: Short | None = None


def closed_path(
    circuit: Circuit, closed: Callable[[str], bool], start: str, goals: Iterable[str]
) -> tuple[str, ...]:
    """The shortest way from `start` to one of `goals` along conductors, links and closed contacts."""
    neighbours: dict[str, list[str]] = {}
    joins: list[Conductor | Link | Contact] = list(circuit.conductors.values())
    joins += [e for e in circuit.elements.values() if isinstance(e, Link)]
    joins += [e for e in circuit.contacts.values() if closed(e.id)]
    for edge in joins:
        neighbours.setdefault(edge.a, []).append(edge.b)
        neighbours.setdefault(edge.b, []).append(edge.a)
    wanted, came = set(goals), {start: ""}
    queue = [start]
    for at in queue:
        if at in wanted:
            path = [at]
            while came[path[-1]]:
                path.append(came[path[-1]])
            return tuple(reversed(path))
        for to in neighbours.get(at, ()):
            if to not in came:
                came[to] = at
                queue.append(to)
    return ()


def unlike(one: Potential, other: Potential) -> bool:
    """Are two known potentials different, or not known to be the same?"""
    if one.ref != other.ref:
        return True
    if one.source and other.source and one.source != other.source:
        return True
    return abs(one.volts - other.volts) > figures.SLACK * max(1.0, abs(one.volts), abs(other.volts))


class Builder:
    """Builds the network of one position of all contacts; holds what does not change between them."""

    def __init__(self, circuit: Circuit, nets: Nets, impedances: dict[str, Impedance]) -> None:
        self.circuit, self.nets, self.impedances = circuit, nets, impedances
        self.poles = [(nets.of[p.terminal], p) for p in circuit.poles.values()]
        self.ends = {i: (nets.of[z.a], nets.of[z.b]) for i, z in impedances.items()}
        self.coil_ids = frozenset(i for i, z in impedances.items() if isinstance(z, Coil))
        self.cores = [e for e in circuit.elements.values() if isinstance(e, Transformer)]

    def network(
        self,
        closed: list[tuple[int, int]],
        coils_in: frozenset[str],
        is_closed: Callable[[str], bool],
        opened: frozenset[str] = frozenset(),
        dead: frozenset[str] = frozenset(),
    ) -> Network:
        """The network where the contacts between the nets of `closed` are closed. dead: supplies that feed nothing."""
        joined = Joined(self.nets.count)
        for a, b in closed:
            joined.join(a, b)
        node = tuple(joined.find(i) for i in range(self.nets.count))
        fixed, short = self._poles(node, is_closed, dead)
        cores = [c for c in self.cores if c.id not in opened]
        if short is None:
            short = self._held_secondaries(node, fixed, cores, is_closed, opened)
        ends = {i: (node[a], node[b]) for i, (a, b) in self.ends.items() if i not in opened}
        if short is not None:
            return Network(node, fixed, (), {}, ends, short)
        parts, part_of = self._parts(node, fixed, cores, ends, coils_in)
        return Network(node, fixed, parts, part_of, ends)

    def _poles(
        self, node: tuple[int, ...], is_closed: Callable[[str], bool], dead: frozenset[str]
    ) -> tuple[Fixed, Short | None]:
        """Nodes at the potential of a pole; the short where unlike poles are joined.

        Every supply with a hot pole at such a joint takes part, whichever poles the path leads between.
        """
        fixed: Fixed = {}
        joined: dict[int, list[Pole]] = {}
        ends: tuple[str, str] | None = None
        unlikes: set[int] = set()
        for net, pole in self.poles:
            if pole.supply in dead and pole.phasor != 0:
                continue
            at, here = node[net], Potential("", pole.phasor, pole.source)
            known = fixed.get(at)
            if known is not None and unlike(known, here):
                unlikes.add(at)
                ends = ends or (joined[at][0].terminal, pole.terminal)
            elif known is None or (not known.source and here.source):
                fixed[at] = here
            joined.setdefault(at, []).append(pole)
        if ends is None:
            return fixed, None
        hot = {p.supply for at in unlikes for p in joined[at] if p.phasor != 0}
        return fixed, Short(closed_path(self.circuit, is_closed, ends[0], [ends[1]]), frozenset(hot))

    def _held_secondaries(
        self,
        node: tuple[int, ...],
        fixed: Fixed,
        cores: list[Transformer],
        is_closed: Callable[[str], bool],
        opened: frozenset[str],
    ) -> Short | None:
        """Where a primary stands on known potentials its secondary is known too: as good as poles.

        Not so where an impedance ties an unearthed secondary to another known potential: that is solved whole.
        """
        left = list(cores)
        progress = True
        while progress:
            progress = False
            for core in list(left):
                phi = self._volts_per_turn(core, node, fixed)
                if phi is None:
                    continue
                left.remove(core)
                progress = True
                short = self._hold(core, phi, node, fixed, is_closed, opened)
                if short is not None:
                    return short
        return None

    def _volts_per_turn(self, core: Transformer, node: tuple[int, ...], fixed: Fixed) -> complex | None:
        """φ where a winding but the secondary stands on known potentials of one reference."""
        for a, b, turns in core.windings[:-1]:
            one, other = fixed.get(node[self.nets.of[a]]), fixed.get(node[self.nets.of[b]])
            if one is None or other is None or one.ref != other.ref:
                continue
            if one.source and other.source and one.source != other.source:
                continue
            return (one.volts - other.volts) / turns
        return None

    def _hold(
        self,
        core: Transformer,
        phi: complex,
        node: tuple[int, ...],
        fixed: Fixed,
        is_closed: Callable[[str], bool],
        opened: frozenset[str],
    ) -> Short | None:
        """Write what φ says of each winding's ends into `fixed`; the short where it contradicts."""
        for a, b, turns in core.windings:
            na, nb = node[self.nets.of[a]], node[self.nets.of[b]]
            known_a, known_b = fixed.get(na), fixed.get(nb)
            rise = turns * phi
            source = self._source_of(core, node, fixed)
            if known_a is not None and known_b is not None:
                here = Potential(known_b.ref, known_b.volts + rise, known_a.source)
                if known_a.ref != known_b.ref or unlike(known_a, here):
                    if known_a.ref == known_b.ref:
                        return self._secondary_short(core, a, b, node, fixed, is_closed)
                continue
            if na == nb:
                if abs(rise) > figures.SLACK:
                    return self._secondary_short(core, a, b, node, fixed, is_closed)
                continue
            if known_b is not None:
                fixed[na] = Potential(known_b.ref, known_b.volts + rise, source)
            elif known_a is not None:
                fixed[nb] = Potential(known_a.ref, known_a.volts - rise, source)
            elif self._stands_alone(core, na, nb, node, fixed, opened):
                fixed[nb] = Potential(f"~{core.id}", 0j, source)
                fixed[na] = Potential(f"~{core.id}", rise, source)
        return None

    def _source_of(self, core: Transformer, node: tuple[int, ...], fixed: Fixed) -> str:
        for a, b, _ in core.windings[:-1]:
            for terminal in (a, b):
                known = fixed.get(node[self.nets.of[terminal]])
                if known is not None and known.source:
                    return known.source
        return ""

    def _stands_alone(
        self, core: Transformer, na: int, nb: int, node: tuple[int, ...], fixed: Fixed, opened: frozenset[str]
    ) -> bool:
        """Does nothing but its own loads hang on this secondary?"""
        near: dict[int, set[int]] = {}
        for i, (a, b) in self.ends.items():
            if i not in opened:
                near.setdefault(node[a], set()).add(node[b])
                near.setdefault(node[b], set()).add(node[a])
        others = {
            node[self.nets.of[t]]
            for c in self.cores
            if c.id not in opened
            for k, (a, b, _) in enumerate(c.windings)
            if not (c is core and k == len(c.windings) - 1)
            for t in (a, b)
        }
        seen, queue = {na, nb}, [na, nb]
        for at in queue:
            if at in fixed or at in others:
                return False
            for to in near.get(at, ()):
                if to not in seen:
                    seen.add(to)
                    queue.append(to)
        return True

    def _secondary_short(
        self,
        core: Transformer,
        a: str,
        b: str,
        node: tuple[int, ...],
        fixed: Fixed,
        is_closed: Callable[[str], bool],
    ) -> Short:
        """A secondary whose two ends are joined, or forced to another voltage than it gives."""
        goals = [b]
        if node[self.nets.of[a]] != node[self.nets.of[b]]:
            goals = [
                t for t, n in self.nets.of.items() if t != a and (t in self.circuit.poles or self._is_end(t))
            ]
        path = closed_path(self.circuit, is_closed, a, goals)
        return Short(path or (a, b), self.supplies_behind(core, node))

    def _is_end(self, terminal: str) -> bool:
        return any(terminal in (a, b) for c in self.cores for a, b, _ in c.windings)

    def supplies_behind(self, core: Transformer, node: tuple[int, ...]) -> frozenset[str]:
        """The supplies that hang together with this transformer's windings, but not through earth."""
        earth = {node[self.nets.of[t]] for t in self.circuit.earth}
        near: dict[int, set[int]] = {}
        edges = [(node[a], node[b]) for a, b in self.ends.values()]
        for c in self.cores:
            ends = [node[self.nets.of[t]] for a, b, _ in c.windings for t in (a, b)]
            edges += combinations(ends, 2)  # each end passes on what reaches another, though one be cut
        for a, b in edges:
            near.setdefault(a, set()).add(b)
            near.setdefault(b, set()).add(a)
        poles = {node[net] for net, _ in self.poles}
        queue = list({node[self.nets.of[t]] for a, b, _ in core.windings for t in (a, b)})
        seen = set(queue)
        for at in queue:
            if at not in earth and at not in poles:
                new = near.get(at, set()) - seen
                seen |= new
                queue.extend(new)
        return frozenset(p.supply for net, p in self.poles if node[net] in seen and p.phasor != 0)

    def _parts(
        self,
        node: tuple[int, ...],
        fixed: Fixed,
        cores: list[Transformer],
        ends: dict[str, tuple[int, int]],
        coils_in: frozenset[str],
    ) -> tuple[tuple[Placed, ...], dict[str, int]]:
        """What hangs together through impedances and transformers, cut at known potentials."""
        joined = Joined(self.nets.count)
        for a, b in ends.values():
            if a not in fixed and b not in fixed:
                joined.join(a, b)
        core_ends = {
            c.id: [(node[self.nets.of[a]], node[self.nets.of[b]]) for a, b, _ in c.windings] for c in cores
        }
        loose = {i: [n for pair in pairs for n in pair if n not in fixed] for i, pairs in core_ends.items()}
        for nodes in loose.values():
            for n in nodes[1:]:
                joined.join(nodes[0], n)
        groups: dict[tuple[str, int | str], tuple[list[str], list[str]]] = {}
        for i, (a, b) in ends.items():
            free = a if a not in fixed else b if b not in fixed else None
            key = ("at", joined.find(free)) if free is not None else ("alone", i)
            groups.setdefault(key, ([], []))[0].append(i)
        for i, nodes in loose.items():
            if nodes:
                groups.setdefault(("at", joined.find(nodes[0])), ([], []))[1].append(i)
        placed, part_of = [], {}
        for branches, inner in groups.values():
            for i in (*branches, *inner):
                part_of[i] = len(placed)
            placed.append(self._place(branches, inner, ends, core_ends, fixed, coils_in))
        return tuple(placed), part_of

    def _place(
        self,
        branches: list[str],
        cores: list[str],
        ends: dict[str, tuple[int, int]],
        core_ends: dict[str, list[tuple[int, int]]],
        fixed: Fixed,
        coils_in: frozenset[str],
    ) -> Placed:
        local: dict[int, int] = {}

        def at(n: int) -> int:
            return local.setdefault(n, len(local))

        rows = tuple((i, at(ends[i][0]), at(ends[i][1]), i in coils_in) for i in branches)
        inner = tuple((i, tuple((at(a), at(b)) for a, b in core_ends[i])) for i in cores)
        known = tuple((k, fixed[n]) for n, k in local.items() if n in fixed)
        part = Part(rows, inner, known, len(local))
        return Placed(part, tuple(local), (branches + cores)[0])
