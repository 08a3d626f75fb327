"""`no-earth-return`: no load's or coil's current flows through the protective earth that did not before.

Its own, what a capacitor or resistor in line with it hands on, or what its transformer draws for it.

All PE poles and earth bars are taken for one conductor. A current flows through it where it lies on a way
from the end of a load to the pole or secondary that the current goes back to. The one bond of C or N to
earth is a dead end, so it carries none.
"""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

from wirecheck.checks.earth_ways import circuits_of, graph_of, joins_of, may_return, on_the_way
from wirecheck.checks.finding import Finding
from wirecheck.engine import figures
from wirecheck.engine.feeds import owners
from wirecheck.engine.nets import Joined
from wirecheck.engine.question import EVERYWHERE, NOWHERE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import networkx as nx

    from wirecheck.checks.pair import Pair
    from wirecheck.engine.solver import View

NAME = "no-earth-return"
NO_SOURCE: frozenset[str] = frozenset()  # the current comes in by earth itself


def joined_graph(view: View) -> nx.Graph[str]:
    """Terminals joined without impedance in one network, all of earth as one vertex."""
    contacts = view.plain.circuit.contacts.values()
    return graph_of(joins_of(view.plain.circuit, [(c.a, c.b) for c in contacts if c.id in view.shut]))


def returns(view: View) -> frozenset[str]:
    """The loads, coils and transformers whose current flows through earth in this network."""
    plain, node, of = view.plain, view.network.node, view.plain.nets.of
    near = {node[of[t]] for t in plain.circuit.earth}
    if not near or view.short is not None:
        return frozenset()
    found: set[str] = set()
    fed_by = circuits_at(view, near)
    owner = {e: name for name, elements in owners(plain.circuit).items() for e in elements}
    ends = [(e, *pair) for e, a, b in drawn(view) for pair in ((a, b), (b, a))]
    earthed = [(e, end, other) for e, end, other in ends if at_earth(view, end, near)]
    for e, end, other in earthed:
        if any(
            through_earth(view, end, back, near) for back in ways_back(view, other, earthed, fed_by, near)
        ):
            found |= {owner[e]} if e in owner else in_line(view, e, owner)
    return frozenset(found.union(*crossing(view, fed_by, near)))


def ways_back(
    view: View,
    other: str,
    earthed: list[tuple[str, str, str]],
    fed_by: Callable[[str], list[frozenset[str]]],
    near: set[int],
) -> Iterator[frozenset[str]]:
    """Where the current of an element goes back to, for each circuit that feeds its other end.

    To a supply, or a secondary that lies at earth: to its terminals. To one that floats: to the ends of the
    elements by which it hangs on earth elsewhere. earthed: element, its end at earth, its other end.
    """
    node, of = view.network.node, view.plain.nets.of
    circuits = fed_by(other)
    if not circuits:
        yield NO_SOURCE
    for source in circuits:
        if goes_back(view, source, near):
            yield source
            continue
        ends = frozenset(
            end for _, end, o in earthed if node[of[o]] != node[of[other]] and source in fed_by(o)
        )
        if ends:
            yield ends


def crossing(view: View, fed_by: Callable[[str], list[frozenset[str]]], near: set[int]) -> Iterator[set[str]]:
    """The loads of each part whose current goes from one circuit to another, which earth ties together."""
    held, node, of = view.network.fixed.keys(), view.network.node, view.plain.nets.of
    touches: dict[int, list[tuple[str, list[frozenset[str]]]]] = {}
    for e, z in view.plain.impedances.items():
        if carries(view, e):
            at = [fed_by(t) for t in (z.a, z.b) if node[of[t]] in held and node[of[t]] not in near]
            touches.setdefault(view.network.part_of[e], []).extend((e, circuits) for circuits in at)
    owner = {e: name for name, elements in owners(view.plain.circuit).items() for e in elements}
    for found in touches.values():
        sources = [set(circuits) for _, circuits in found]
        if not sources or set.intersection(*sources):
            continue
        between = permutations({circuit for each in sources for circuit in each}, 2)
        if any(by_earth(view, one, other, near) for one, other in between):
            yield in_line(view, found[0][0], owner)


def by_earth(view: View, one: frozenset[str], other: frozenset[str], near: set[int]) -> bool:
    """Does earth take a current from an end of one circuit that lies at it back to the other?"""
    ends = sorted(t for t in one if at_earth(view, t, near))
    return goes_back(view, other, near) and any(through_earth(view, t, other, near) for t in ends)


def goes_back(view: View, source: frozenset[str], near: set[int]) -> bool:
    """Does earth lead back to a circuit: a supply, or a secondary that lies at it?"""
    return any(t in view.plain.circuit.poles or at_earth(view, t, near) for t in source)


def at_earth(view: View, terminal: str, near: set[int]) -> bool:
    """Is a terminal joined to earth without impedance? near: the nodes of earth."""
    return view.network.node[view.plain.nets.of[terminal]] in near


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
    """The supplies and secondaries that feed a terminal other than through earth, each as its terminals.

    Over impedances and windings, but not past a held node: what hangs there draws from what holds it.
    """
    plain, network = view.plain, view.network
    node, of = network.node, plain.nets.of
    windings = ((node[of[a]], node[of[b]]) for c in plain.transformers.values() for a, b, _ in c.windings)
    hung, held = Joined(plain.nets.count), network.fixed.keys()
    pairs = [p for p in (*network.ends.values(), *windings) if not near.intersection(p)]
    for a, b in pairs:
        if a not in held and b not in held:
            hung.join(a, b)
    holds: dict[int, set[int]] = {}
    for a, b in (*pairs, *((b, a) for a, b in pairs)):
        if a not in held and b in held:
            holds.setdefault(hung.find(a), set()).add(b)
    circuits = [(frozenset(c), {node[of[t]] for t in c} - near) for c in circuits_of(plain)]

    def fed_by(terminal: str) -> list[frozenset[str]]:
        at = node[of[terminal]]
        if at in near:
            return []
        by = {at} if at in held else holds.get(hung.find(at), set())
        return [
            circuit
            for circuit, nodes in circuits
            if nodes & by or (at not in held and hung.find(at) in {hung.find(n) for n in nodes - held})
        ]

    return fed_by


def through_earth(view: View, end: str, sources: frozenset[str], near: set[int]) -> bool:
    """Does earth lie on a way from this end to a source of its current? Kept by contacts closed at earth."""
    plain, node, of = view.plain, view.network.node, view.plain.nets.of
    contacts = plain.circuit.contacts.values()
    closed = tuple(c.id for c in contacts if node[of[c.a]] in near and c.id in view.shut)
    key = (closed, end, sources)
    if key not in plain.earthed:
        plain.earthed[key] = on_the_way(joined_graph(view), end, sources, plain.circuit.earth)
    return plain.earthed[key]


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
