"""`no-earth-return`: no load's or coil's current flows through the protective earth that did not before.

Its own, what a capacitor or resistor in line with it hands on, or what its transformer draws for it.

All PE poles and earth bars are taken for one conductor. A current flows through it where it lies on a way
from the end of a load to the pole or secondary that the current goes back to. The one bond of C or N to
earth is a dead end, so it carries none.
"""

from __future__ import annotations

from itertools import chain, combinations
from typing import TYPE_CHECKING, TypeVar

from wirecheck.checks.finding import Finding
from wirecheck.circuit.elements import Link
from wirecheck.engine import figures
from wirecheck.engine.feeds import owners
from wirecheck.engine.nets import Joined
from wirecheck.engine.question import EVERYWHERE, NOWHERE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    import networkx as nx

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import Solver, View

NAME = "no-earth-return"
EARTH = "earth"
# Contacts at earth whose combinations are looked through before any state is.
MOST_SWITCHES = 6

T = TypeVar("T")
Way = tuple[str, frozenset[str]]  # the end of a load that lies at earth, and what feeds its other end


def joined_graph(view: View) -> nx.Graph[str]:
    """Terminals joined without impedance in one network, all of earth as one vertex."""
    contacts = view.plain.circuit.contacts.values()
    return graph_of(view.plain.circuit, [(c.a, c.b) for c in contacts if c.id in view.shut])


def graph_of(circuit: Circuit, shut: Iterable[tuple[str, str]]) -> nx.Graph[str]:
    """Terminals joined by conductors, links and these closed contacts, all of earth as one vertex."""
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()

    def at(terminal: str) -> str:
        return EARTH if terminal in circuit.earth else terminal

    edges = [(w.a, w.b) for w in circuit.conductors.values()]
    edges += [(e.a, e.b) for e in circuit.elements.values() if isinstance(e, Link)]
    graph.add_edges_from((at(a), at(b)) for a, b in (*edges, *shut) if at(a) != at(b))
    return graph


def returns(view: View) -> frozenset[str]:
    """The loads, coils and transformers whose current flows through earth in this network."""
    plain, node, of = view.plain, view.network.node, view.plain.nets.of
    near = {node[of[t]] for t in plain.circuit.earth}
    if not near or view.short is not None:
        return frozenset()
    found: set[str] = set()
    fed_by = circuits_at(view, near)
    owner = {e: name for name, elements in owners(plain.circuit).items() for e in elements}
    for e, a, b in drawn(view):
        for end, other in ((a, b), (b, a)):
            if node[of[end]] in near and through_earth(view, end, frozenset().union(*fed_by(other)), near):
                found |= {owner[e]} if e in owner else in_line(view, e, owner)
    return frozenset(found)


def drawn(view: View) -> Iterator[tuple[str, str, str]]:
    """What draws current, impedances and primaries: element, and the terminals that it draws between."""
    plain = view.plain
    for e, z in plain.impedances.items():
        if carries(view, e):
            yield e, z.a, z.b
    for core in plain.transformers.values():
        for a, b, _ in core.windings[:-1]:
            if abs(view.between(a, b, plain.scenario)) > figures.SLACK:
                yield core.id, a, b


def carries(view: View, element: str) -> bool:
    """Does current flow in this impedance?"""
    return abs(view.amps(element, view.plain.scenario)) > figures.SLACK


def in_line(view: View, element: str, owner: dict[str, str]) -> set[str]:
    """Whose current a capacitor or resistor hands on: the loads that it hangs together with. A primary's
    is its transformer's own.
    """
    if element in view.plain.transformers:
        return {view.plain.transformers[element].device}
    parts = view.network.part_of
    return {name for e, name in owner.items() if parts.get(e) == parts[element] and carries(view, e)}


def circuits_at(view: View, near: set[int]) -> Callable[[str], list[frozenset[str]]]:
    """The supplies and secondaries that feed a terminal other than through earth, each as its terminals."""
    plain, network = view.plain, view.network
    hung = Joined(plain.nets.count)
    for a, b in network.ends.values():
        if a not in near and b not in near:
            hung.join(a, b)
    circuits = circuits_of(plain)

    def fed_by(terminal: str) -> list[frozenset[str]]:
        at = network.node[plain.nets.of[terminal]]
        found = []
        for circuit in circuits:
            nodes = {network.node[plain.nets.of[t]] for t in circuit} - near
            if at not in near and hung.find(at) in {hung.find(n) for n in nodes}:
                found.append(frozenset(circuit))
        return found

    return fed_by


def circuits_of(plain: Solver) -> list[tuple[str, ...]]:
    """The terminals of each secondary, and of each supply but its earth."""
    circuits: list[tuple[str, ...]] = [c.secondary for c in plain.transformers.values()]
    supplies = {p.supply for p in plain.circuit.poles.values()}
    poles = [p for t, p in plain.circuit.poles.items() if t not in plain.circuit.earth]
    return circuits + [tuple(p.terminal for p in poles if p.supply == s) for s in supplies]


def through_earth(view: View, end: str, sources: frozenset[str], near: set[int]) -> bool:
    """Does earth lie on a way from this end to a source of its current? Kept by contacts closed at earth."""
    plain, node, of = view.plain, view.network.node, view.plain.nets.of
    contacts = plain.circuit.contacts.values()
    closed = tuple(c.id for c in contacts if node[of[c.a]] in near and c.id in view.shut)
    key = (closed, end, sources)
    if key not in plain.earthed:
        plain.earthed[key] = on_the_way(joined_graph(view), end, sources, plain.circuit.earth)
    return plain.earthed[key]


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
    if not ends:
        return False
    contacts = plain.circuit.contacts.values()
    switches = [(c.a, c.b) for c in contacts if node[of[c.a]] in near]
    if len(switches) > MOST_SWITCHES:
        return True
    fed_by = possible_sources(plain)
    ways = {(end, sources) for end, other in ends for sources in fed_by(other)}
    return any(on_a_way(plain, shut, ways) for shut in subsets(switches))


def on_a_way(plain: Plain, shut: Iterable[tuple[str, str]], ways: Iterable[Way]) -> bool:
    """Does earth lie on one of these ways, end and sources, with these of the contacts at earth closed?"""
    import networkx as nx

    graph = graph_of(plain.circuit, shut)
    near = nx.node_connected_component(graph, EARTH) if EARTH in graph else {EARTH}
    earth = plain.circuit.earth
    return any(
        on_the_way(graph, end, sources, earth) for end, sources in ways if end in near or end in earth
    )


def possible_sources(plain: Plain) -> Callable[[str], list[frozenset[str]]]:
    """Every set of circuits that may feed a terminal in some state, each as its terminals.

    None but where a primary hands current on: else what carries current past earth comes from a circuit.
    """
    of = plain.nets.of
    earthed = {of[t] for t in plain.circuit.earth}
    hung = Joined(plain.nets.count)
    joins = [*plain.impedances.values(), *plain.circuit.contacts.values()]
    for a, b in ((of[x.a], of[x.b]) for x in joins):
        if a not in earthed and b not in earthed:
            hung.join(a, b)

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


def subsets(things: Sequence[T]) -> Iterator[tuple[T, ...]]:
    """Every choice of some, none or all of these."""
    return chain.from_iterable(combinations(things, n) for n in range(len(things) + 1))


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each load or coil whose current flows through earth and did not in the matching state."""
    found: set[str] = set()
    for case in pair.distinct(EVERYWHERE if may_return(pair.after) else NOWHERE):
        now = {n for v in pair.views(case.joint) for n in returns(v)} - found
        if not now:
            continue
        was = {pair.new_name.get(n, n) for v in pair.views_before(case.joint) for n in returns(v)}
        for name in sorted(now - was):
            found.add(name)
            says = f"the current of {name} flows through the protective earth"
            yield Finding(NAME, name, "fail", says, pair.witness(case, pair.route(case, (name,))))
    if not found:
        yield Finding(
            NAME, "unit", "pass", f"no current flows through earth that did not, in {pair.count} states"
        )
