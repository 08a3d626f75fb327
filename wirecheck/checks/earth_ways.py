"""Ways through the protective earth, told from the wiring: on which may a current return in some state?

All PE poles and earth bars are one vertex. A current flows through it where it lies on a way from the end of
a load to what the current goes back to; a dead end, as the one bond of C or N, carries none.
"""

from __future__ import annotations

from collections import Counter
from itertools import chain, combinations
from typing import TYPE_CHECKING, TypeVar

from wirecheck.circuit.elements import Link
from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    import networkx as nx

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import Solver

EARTH = "earth"
# Contacts at earth whose combinations are looked through before any state is.
MOST_SWITCHES = 6

T = TypeVar("T")
Way = tuple[str, frozenset[str]]  # the end of a load that lies at earth, and what feeds its other end


def may_return(plain: Plain) -> bool:
    """Can any current flow through earth in any state? Not where every way past earth is a dead end.

    Which contacts are closed at earth tells how earth hangs in a state; they are taken in every combination.
    """
    view = plain.superposed()
    node, of = view.network.node, plain.nets.of
    near = {node[of[t]] for t in plain.circuit.earth}
    primaries = [(a, b) for core in plain.transformers.values() for a, b, _ in core.windings[:-1]]
    drawing = [(z.a, z.b) for z in plain.impedances.values()] + primaries
    ends = {pair for a, b in drawing for pair in ((a, b), (b, a)) if node[of[pair[0]]] in near}
    if crosses(plain):
        return True
    if not ends:
        return False
    contacts = plain.circuit.contacts.values()
    switches = [(c.a, c.b) for c in contacts if node[of[c.a]] in near]
    fed_by = possible_sources(plain)
    ways = {(end, sources) for end, other in ends for sources in fed_by(other)}
    every, none = (Ties(plain.circuit, joins_of(plain.circuit, shut)) for shut in (switches, ()))
    ways = {(end, sources) for end, sources in ways if not always_past(every, none, end, sources)}
    if len(switches) > MOST_SWITCHES:
        return bool(ways)
    return any(on_a_way(plain, shut, ways) for shut in subsets(switches) if ways)


def crosses(plain: Plain) -> bool:
    """May a current go from one circuit to another that earth ties to it, as it does every supply?"""
    hung, of = hung_together(plain), plain.nets.of
    earthed = {of[t] for t in plain.circuit.earth}
    shut = [(c.a, c.b) for c in plain.circuit.contacts.values()]
    ties = Ties(plain.circuit, joins_of(plain.circuit, shut))
    poles = plain.circuit.poles
    at_earth = [c for c in circuits_of(plain) if any(t in poles or ties.joins[ties.root(t)] for t in c)]
    roots = [{hung.find(of[t]) for t in c if of[t] not in earthed} for c in at_earth]
    return any(one & other for one, other in combinations(roots, 2))


def always_past(every: Ties, none: Ties, end: str, sources: frozenset[str]) -> bool:
    """Is it plain that earth is a dead end beside this way, whichever contacts at earth are closed?

    By one join that no contact parts from a source: what hangs on that join has the source too. every, none:
    with all and with none of these contacts closed.
    """
    at = [t for t in every.at_earth if every.root(t) == every.root(end)]
    kept = not at or any(none.root(s) == none.root(t) for t in at for s in sources)
    return kept and every.pass_by(end, sources)


def on_a_way(plain: Plain, shut: Iterable[tuple[str, str]], ways: Iterable[Way]) -> bool:
    """Does earth lie on one of these ways, end and sources, with these of the contacts at earth closed?"""
    earth, edges = plain.circuit.earth, joins_of(plain.circuit, shut)
    ties = Ties(plain.circuit, edges)
    left = [(end, sources) for end, sources in ways if not ties.pass_by(end, sources)]
    graph = graph_of(edges) if left else None  # of most units none need be built
    return graph is not None and any(on_the_way(graph, end, sources, earth) for end, sources in left)


class Ties:
    """What hangs together without earth, and by how many joins each of that hangs on earth."""

    def __init__(self, circuit: Circuit, edges: Iterable[tuple[str, str]]) -> None:
        self.earth = circuit.earth
        self.index = {t: k for k, t in enumerate(circuit.terminals)}
        self.joined = Joined(len(self.index))
        self.at_earth = []
        for a, b in edges:
            if EARTH in (a, b):
                self.at_earth.append(b if a == EARTH else a)
            else:
                self.joined.join(self.index[a], self.index[b])
        self.joins = Counter(map(self.root, self.at_earth))

    def root(self, terminal: str) -> int:
        return self.joined.find(self.index[terminal])

    def pass_by(self, end: str, sources: Iterable[str]) -> bool:
        """Is it plain that earth lies on no way from this end to its sources?

        Its end does not hang on earth; or by one join, with a source, and no other source hangs on earth.
        """
        if end in self.earth:
            return False
        own, others = self.root(end), {self.root(s) for s in sources}
        if not self.joins[own]:
            return True
        return self.joins[own] == 1 and own in others and not any(self.joins[s] for s in others - {own})


def possible_sources(plain: Plain) -> Callable[[str], list[frozenset[str]]]:
    """Every set of circuits that may feed a terminal in some state, each as its terminals.

    None but where a primary hands current on: else what carries current past earth comes from a circuit.
    """
    of = plain.nets.of
    earthed = {of[t] for t in plain.circuit.earth}
    hung = hung_together(plain)

    def meets(terminals: Iterable[str], net: int) -> bool:
        return any(hung.find(of[t]) == hung.find(net) for t in terminals if of[t] not in earthed)

    def fed_by(terminal: str) -> list[frozenset[str]]:
        net = of[terminal]
        circuits = [c for c in circuits_of(plain) if net not in earthed and meets(c, net)]
        windings = (w for core in plain.transformers.values() for w in core.windings[:-1])
        passed_on = net in earthed or any(meets((a, b), net) for a, b, _ in windings)
        every = [frozenset().union(*some) for some in subsets(circuits)]
        return [found for found in every if found or passed_on]

    return fed_by


def hung_together(plain: Solver, over_windings: bool = True) -> Joined:
    """The nets that hang together in some state other than through earth."""
    of = plain.nets.of
    earthed = {of[t] for t in plain.circuit.earth}
    hung = Joined(plain.nets.count)
    joins = [(x.a, x.b) for x in (*plain.impedances.values(), *plain.circuit.contacts.values())]
    if over_windings:
        joins += [(a, b) for core in plain.transformers.values() for a, b, _ in core.windings]
    for a, b in ((of[a], of[b]) for a, b in joins):
        if a not in earthed and b not in earthed:
            hung.join(a, b)
    return hung


def subsets(things: Sequence[T]) -> Iterator[tuple[T, ...]]:
    """Every choice of some, none or all of these."""
    return chain.from_iterable(combinations(things, n) for n in range(len(things) + 1))


def joins_of(circuit: Circuit, shut: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """What conductors, links and these closed contacts join, every terminal at earth called EARTH."""

    def at(terminal: str) -> str:
        return EARTH if terminal in circuit.earth else terminal

    edges = [(w.a, w.b) for w in circuit.conductors.values()]
    edges += [(e.a, e.b) for e in circuit.elements.values() if isinstance(e, Link)]
    return [(at(a), at(b)) for a, b in (*edges, *shut) if at(a) != at(b)]


def graph_of(edges: list[tuple[str, str]]) -> nx.Graph[str]:
    """The same as a graph."""
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from(edges)
    return graph


def on_the_way(graph: nx.Graph[str], end: str, sources: frozenset[str], earth: frozenset[str]) -> bool:
    """Does earth lie on a simple way from this end to a source, or take the current in by itself?"""
    import networkx as nx

    if end in earth:
        return True
    if end not in graph or EARTH not in graph:
        return False
    near = nx.node_connected_component(graph, end)
    if EARTH not in near:
        return False
    reached = sources & near
    if not reached:
        return True
    if end in reached:
        return False
    closed = graph.subgraph(near).copy()
    closed.add_edges_from((s, "source") for s in reached)
    closed.add_edge(end, "source")
    ring = {EARTH, end, "source"}
    return any(ring.issubset(block) for block in nx.biconnected_components(closed))


def circuits_of(plain: Solver) -> list[tuple[str, ...]]:
    """The terminals of each secondary, and of each supply but its earth."""
    circuits: list[tuple[str, ...]] = [c.secondary for c in plain.transformers.values()]
    supplies = {p.supply for p in plain.circuit.poles.values()}
    poles = [p for t, p in plain.circuit.poles.items() if t not in plain.circuit.earth]
    return circuits + [tuple(p.terminal for p in poles if p.supply == s) for s in supplies]
