"""`no-earth-return`: no load's or coil's current flows through the protective earth that did not before.

All PE poles and earth bars are taken for one conductor. A current flows through it where it lies on a way
from the end of a load to the pole or secondary that the current goes back to. The one bond of C or N to
earth is a dead end, so it carries none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.feeds import owners
from wirecheck.checks.finding import Finding
from wirecheck.circuit.elements import Link
from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    import networkx as nx

    from wirecheck.checks.pair import Pair
    from wirecheck.engine.plain.evaluator import View

NAME = "no-earth-return"
EARTH = "earth"


def joined_graph(view: View) -> nx.Graph:
    """Terminals joined without impedance, all of earth as one vertex."""
    import networkx as nx

    plain = view.plain
    earth = plain.circuit.earth
    graph = nx.Graph()

    def at(terminal: str) -> str:
        return EARTH if terminal in earth else terminal

    edges = [(w.a, w.b) for w in plain.circuit.conductors.values()]
    edges += [(e.a, e.b) for e in plain.circuit.elements.values() if isinstance(e, Link)]
    node, of = view.network.node, plain.nets.of
    edges += [(c.a, c.b) for c in plain.circuit.contacts.values() if node[of[c.a]] == node[of[c.b]]]
    graph.add_edges_from((at(a), at(b)) for a, b in edges if at(a) != at(b))
    return graph


def returns(view: View) -> frozenset[str]:
    """The loads and coils whose current flows through earth in this network."""
    plain = view.plain
    if not plain.circuit.earth or view.short is not None:
        return frozenset()
    graph = joined_graph(view)
    if EARTH not in graph and not any(
        t in plain.circuit.earth for z in plain.impedances.values() for t in (z.a, z.b)
    ):
        return frozenset()
    sources = {t for t in plain.circuit.poles if t not in plain.circuit.earth}
    sources |= {t for core in plain.transformers.values() for t in core.secondary}
    found = set()
    for name, elements in owners(plain.circuit).items():
        for e in elements:
            z = plain.impedances[e]
            if abs(view.amps(e, plain.scenario)) > figures.SLACK:
                if any(through_earth(graph, t, sources, plain.circuit.earth) for t in (z.a, z.b)):
                    found.add(name)
    return frozenset(found)


def through_earth(graph: nx.Graph, end: str, sources: set[str], earth: frozenset[str]) -> bool:
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
    return any(
        EARTH in block and end in block and "source" in block for block in nx.biconnected_components(closed)
    )


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each load or coil whose current flows through earth and did not in the matching state."""
    found: set[str] = set()
    for case in pair.cases:
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
            NAME, "unit", "pass", f"no current flows through earth that did not, in {len(pair.cases)} states"
        )
