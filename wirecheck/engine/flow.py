"""Which elements, conductors and closed contacts carry current in one network.

Impedances have the current of the solution. What has no impedance carries the sum of what hangs on its one
side; in a ring the division is not known, and each conductor on a simple way from where current comes in to
where it goes out counts (in a ring without a cut vertex that is every one of them).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil, Link, Motor, Resistor
from wirecheck.engine import figures
from wirecheck.engine.estimates import value
from wirecheck.engine.judge import load_elements
from wirecheck.engine.solve import ohms
from wirecheck.engine.supplied import supplied

if TYPE_CHECKING:
    import networkx as nx

    from wirecheck.circuit.elements import Transformer
    from wirecheck.engine.solver import Solver, View

# The share of its designed current from which an element, and of the supply's volts from which a node,
# counts. Project rule.
COUNTS = 0.01
# Volt-amperes from which a transformer that states none counts: far above its magnetising. Project rule.
COUNTS_VA = 0.01

Edge = tuple[str, str, str]  # id, ends


@dataclass
class Injected:
    """Amperes that come out of elements into each terminal; `sources`: what balances them, unknown as yet."""

    amps: dict[str, complex] = field(default_factory=dict)
    sources: set[str] = field(default_factory=set)

    def add(self, a: str, b: str, current: complex) -> None:
        """A current through an element from a to b: it leaves the wiring at a and comes back at b."""
        self.amps[a] = self.amps.get(a, 0j) - current
        self.amps[b] = self.amps.get(b, 0j) + current


class Flow:
    """What carries current in the networks of one circuit."""

    def __init__(self, plain: Solver) -> None:
        self.plain, self.circuit = plain, plain.circuit
        self.always: list[Edge] = [(w.id, w.a, w.b) for w in self.circuit.conductors.values()]
        self.always += [(e.id, e.a, e.b) for e in self.circuit.elements.values() if isinstance(e, Link)]
        self.volts_at = supplied(plain)
        self.designed = {i: self._designed(i) for i in plain.impedances}

    def _designed(self, element: str) -> float:
        """The current of an impedance as designed, A: at its rated volts, else at those of its supply."""
        z, scenario = self.plain.impedances[element], self.plain.scenario
        rated = (
            self.volts_at.get(self.plain.nets.of[z.a]) or self.volts_at.get(self.plain.nets.of[z.b]) or 0.0
        )
        motors = (m for m in self.circuit.loads.values() if isinstance(m, Motor))
        motor = next((m for m in motors if element in load_elements(m)), None)
        if isinstance(z, Coil):
            rated = value(z.volts, scenario)
        elif isinstance(z, Resistor) and z.volts is not None:
            rated = z.volts
        elif motor is not None and motor.volts is not None:
            rated = motor.volts / (3**0.5 if motor.kind == "3ph" else 1.0)
        return rated / abs(ohms(z, True, self.circuit.hertz, scenario))

    def carrying(self, view: View, shut: frozenset[str]) -> frozenset[str]:
        """The ids of elements and conductors that carry current. shut: the closed contacts."""
        found, injected = self._by_impedances(view)
        edges = [*self.always, *((c, *self._ends(c)) for c in self.circuit.contacts if c in shut)]
        pieces = Pieces(edges)
        found |= Held(self, view, pieces, injected).run()
        return frozenset(found | pieces.carrying(injected))

    def _ends(self, contact: str) -> tuple[str, str]:
        c = self.circuit.contacts[contact]
        return c.a, c.b

    def _by_impedances(self, view: View) -> tuple[set[str], Injected]:
        """Those that carry a part of their designed current, and what comes out of their parts."""
        found: set[str] = set()
        injected = Injected()
        for k, placed in enumerate(view.network.parts):
            solution = view.solution(k, self.plain.scenario)
            amps = solution.amps
            counting = {i for i, a in amps.items() if abs(a) >= COUNTS * self.designed[i] > 0}
            cores = {c for c, _ in placed.part.cores if self._core_counts(c, solution.winding_amps[c])}
            if not counting and not cores:
                continue
            found |= counting | cores
            for i, current in amps.items():
                z = self.plain.impedances[i]
                injected.add(z.a, z.b, current)
            for core, _ in placed.part.cores:
                windings = self.plain.transformers[core].windings
                for (a, b, _), current in zip(windings, solution.winding_amps[core], strict=True):
                    injected.add(a, b, current)
        injected.sources |= set(self.circuit.poles)
        return found, injected

    def _core_counts(self, core: str, amps: tuple[complex, ...]) -> bool:
        transformer = self.plain.transformers[core]
        least = COUNTS * transformer.va if transformer.va is not None else COUNTS_VA
        pairs = zip(transformer.windings, amps, strict=True)
        return any(abs(turns * current) >= least for (_, _, turns), current in pairs)


class Held:
    """Transformers on known potentials: their current is what their secondary's wiring asks for."""

    def __init__(self, flow: Flow, view: View, pieces: Pieces, injected: Injected) -> None:
        self.flow, self.view, self.pieces, self.injected = flow, view, pieces, injected
        network = view.network
        cores = flow.plain.transformers.values()
        self.left = [c for c in cores if c.id not in network.part_of and self._live(c)]
        for core in self.left:
            injected.sources |= set(core.secondary)

    def _live(self, core: Transformer) -> bool:
        a, b = (self.view.potential(t) for t in core.secondary)
        return a.ref == b.ref and a.driven and abs(a.volts - b.volts) > figures.SLACK

    def run(self) -> set[str]:
        """The transformers that carry current; what they draw and give is put in."""
        found: set[str] = set()
        while True:
            core = next((c for c in self.left if self._told(c) is not None), None)
            if core is None:
                break
            self.left.remove(core)
            if self._resolve(core):
                found.add(core.id)
        return found | {c.id for c in self.left if self._loaded(c)}

    def _told(self, core: Transformer) -> str | None:
        """The end of its secondary at which nothing else balances, all that it feeds being known."""
        waits = {
            self.pieces.of(t)
            for c in self.left
            if c is not core
            for a, b, _ in c.windings[:-1]
            for t in (a, b)
        }
        sources = self.injected.sources
        for end in core.secondary:
            piece = self.pieces.of(end)
            if piece not in waits and {s for s in sources if self.pieces.of(s) == piece} == {end}:
                return end
        return None

    def _loaded(self, core: Transformer) -> bool:
        pieces = {self.pieces.of(t) for t in core.secondary}
        return any(
            self.pieces.of(t) in pieces and abs(i) > figures.SLACK for t, i in self.injected.amps.items()
        )

    def _resolve(self, core: Transformer) -> bool:
        """Put in the secondary's current, and the primary's that it asks for. Does it count?"""
        end = self._told(core)
        first, last = core.secondary
        asked = sum(
            i for t, i in self.injected.amps.items() if self.pieces.of(t) == self.pieces.of(end or first)
        )
        through = asked if end == first else -asked  # into the first end
        self.injected.sources -= set(core.secondary)
        self.injected.add(first, last, through)
        turns = core.windings[-1][2]
        fed = [w for w in core.windings[:-1] if self._fed(core, w[0], w[1])]
        if len(fed) == 1:
            a, b, own = fed[0]
            self.injected.add(a, b, -through * turns / own)
        elif abs(through) > figures.SLACK:
            self.injected.sources |= {t for a, b, _ in fed for t in (a, b)}
        return self.flow._core_counts(core.id, (0j,) * (len(core.windings) - 1) + (through,))

    def _fed(self, core: Transformer, a: str, b: str) -> bool:
        """Does a winding have a voltage, and each of its ends stand on a pole or on another secondary?"""
        node, of = self.view.network.node, self.flow.plain.nets.of
        others = (t for c in self.flow.plain.transformers.values() if c is not core for t in c.secondary)
        sources = {node[of[t]] for t in (*self.flow.circuit.poles, *others)}
        one, other = self.view.potential(a), self.view.potential(b)
        there = {node[of[a]], node[of[b]]} <= sources and one.ref == other.ref
        return there and abs(one.volts - other.volts) > figures.SLACK


class Pieces:
    """What conductors, links and closed contacts join."""

    def __init__(self, edges: list[Edge]) -> None:
        import networkx as nx

        self.graph: nx.Graph[str] = nx.Graph()
        self.ids: dict[frozenset[str], list[str]] = {}
        for i, a, b in edges:
            self.graph.add_edge(a, b)
            self.ids.setdefault(frozenset((a, b)), []).append(i)
        self._of = {t: k for k, piece in enumerate(nx.connected_components(self.graph)) for t in piece}

    def of(self, terminal: str) -> int | str:
        """The piece of a terminal; a terminal that nothing is joined to is one by itself."""
        return self._of.get(terminal, terminal)

    def carrying(self, injected: Injected) -> set[str]:
        """The ids of the edges that carry current."""
        least = figures.SLACK * max((abs(i) for i in injected.amps.values()), default=0.0)
        live = {t for t, i in injected.amps.items() if abs(i) > least}
        if not live:
            return set()
        loaded = {self.of(t) for t in live}
        return {i for p in loaded if isinstance(p, int) for i in self._in_piece(p, injected, least)}

    def _in_piece(self, piece: int, injected: Injected, least: float) -> set[str]:
        members = [t for t, p in self._of.items() if p == piece]
        return Blocks(self.graph.subgraph(members), injected, least).carrying(self.ids)


class Blocks:
    """One piece as a tree of blocks, what no single terminal parts. Sums run from its leaves to its root."""

    def __init__(self, graph: nx.Graph[str], injected: Injected, least: float) -> None:
        import networkx as nx

        self.blocks = [list(edges) for edges in nx.biconnected_component_edges(graph)]
        self.members = [{t for e in edges for t in e} for edges in self.blocks]
        self.least = least
        self.amps = {t: injected.amps.get(t, 0j) for t in graph}
        self.sources = {t for t in graph if t in injected.sources}
        self.missing = sum(self.amps.values())  # what the sources give, the other way round
        self.at: dict[str, list[int]] = {}
        for k, terminals in enumerate(self.members):
            for t in terminals:
                self.at.setdefault(t, []).append(k)

    def carrying(self, ids: dict[frozenset[str], list[str]]) -> set[str]:
        found: set[str] = set()
        for block, live in self._live_ends():
            if live > 1:
                found |= {i for a, b in self.blocks[block] for i in ids[frozenset((a, b))]}
        return found

    def _live_ends(self) -> list[tuple[int, int]]:
        """Each block, and at how many of its terminals current comes in or goes out."""
        order, above = self._walk()
        sums = dict(self.amps)
        given = {t: int(t in self.sources) for t in self.at}
        found = []
        for block in reversed(order):
            parent = above[block]
            children = [t for t in self.members[block] if t != parent]
            total, sources = sum(sums[t] for t in children), sum(given[t] for t in children)
            live = sum(self._counts(sums[t], given[t]) for t in children)
            live += self._counts(self.missing - total, len(self.sources) - sources)
            found.append((block, live))
            sums[parent] += total
            given[parent] += sources
        return found

    def _counts(self, amps: complex, sources: int) -> bool:
        """Does a current leave or enter a side? amps: of its elements; sources: how many of all lie there.

        Where it has some of several sources that give anything, nobody knows what each gives: it may.
        """
        every = len(self.sources)
        if 0 < sources < every and abs(self.missing) > self.least:
            return True
        return abs(amps - (self.missing if sources else 0.0)) > self.least

    def _walk(self) -> tuple[list[int], dict[int, str]]:
        """Blocks from a root outwards, and the terminal by which each hangs on what is nearer to it."""
        start = min(self.sources or self.at)
        order: list[int] = []
        above: dict[int, str] = {}
        queue = [start]
        for at in queue:
            for block in self.at[at]:
                if block not in above:
                    above[block] = at
                    order.append(block)
                    queue += [t for t in self.members[block] if t != at]
        return order, above
