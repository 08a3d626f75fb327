"""What a loop over states does instead: **a** a networkx graph of what is closed, **b** union-find on nets.

Both decide by connectivity alone: a coil or lamp is on where one end hangs together with one pole and the
other end with the other. All relays move at once, pass after pass, until nothing changes, or a position comes
back, or the poles are joined.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, Protocol

import networkx as nx

from wirecheck.circuit.elements import ByPosition, Link, Transformer, VoltLoad

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.graph import Circuit

Bits = tuple[bool, ...]
Way = Literal["at once", "one by one"]


@dataclass(frozen=True)
class Netlist:
    """A logic-only circuit as a loop reads it: raw terminals, what is joined, contacts with what moves them.

    contacts: (end, end, closed at rest, moved by a coil?, number of the input or coil). loads: lamps alone.
    """

    terminals: tuple[str, ...]
    joined: list[tuple[str, str]]
    contacts: list[tuple[str, str, bool, bool, int]]
    coils: list[tuple[str, str]]
    loads: dict[str, tuple[str, str]]
    hot: str
    neutral: str


def netlist(circuit: Circuit) -> Netlist:
    """The netlist of a circuit with one single-phase supply. Contacts bridged by a conductor are left out."""
    inputs = {name: k for k, name in enumerate(circuit.inputs)}
    coils = [r.coil for r in circuit.relays.values()]
    joined = [(w.a, w.b) for w in circuit.conductors.values()]
    joined += [(e.a, e.b) for e in circuit.elements.values() if isinstance(e, Link)]
    bridged = {frozenset(pair) for pair in joined}
    contacts = []
    for c in circuit.contacts.values():
        if frozenset((c.a, c.b)) not in bridged:
            by_input = isinstance(c.mover, ByPosition)
            at = inputs[c.mover.input] if isinstance(c.mover, ByPosition) else coils.index(c.mover.coil)
            contacts.append((c.a, c.b, c.rests_closed, not by_input, at))
    lamps = {n: load.element for n, load in circuit.loads.items() if isinstance(load, VoltLoad)}
    ends = {i: (e.a, e.b) for i, e in circuit.elements.items() if not isinstance(e, Transformer)}
    hot = next(p.terminal for p in circuit.poles.values() if p.phasor != 0)
    return Netlist(
        terminals=circuit.terminals,
        joined=joined,
        contacts=contacts,
        coils=[ends[i] for i in coils],
        loads={n: ends[i] for n, i in lamps.items()},
        hot=hot,
        neutral=f"{hot.rpartition('.')[0]}.N",
    )


@dataclass(frozen=True, slots=True)
class Ended:
    """Where settling ended: coils in, and each lamp on or off; nothing of them where it is shorted.

    passed: the positions of the coils on the way.
    """

    kind: Literal["rest", "chatter", "short"]
    coils: Bits
    on: Bits
    passed: tuple[Bits, ...] = field(default=(), compare=False)


class Loop(Protocol):
    """A unit settled a state at a time."""

    net: Netlist

    def look(self, inputs: Sequence[bool], coils: Sequence[bool]) -> tuple[Bits, Bits] | None:
        """Which coils are fed, which lamps are on; None where the poles are joined."""


def settled(loop: Loop, inputs: Bits, start: Bits | None = None, way: Way = "at once") -> Ended:
    """Settling from these coils, or from all out. One by one: the first coil that wants to moves."""
    coils = start or (False,) * len(loop.net.coils)
    seen: dict[Bits, None] = {}
    while coils not in seen:
        seen[coils] = None
        looked = loop.look(inputs, coils)
        if looked is None:
            return Ended("short", (), (), tuple(seen))
        fed, on = looked
        if fed == coils:
            return Ended("rest", coils, on, tuple(seen))
        coils = fed if way == "at once" else _first_moved(coils, fed)
    return Ended("chatter", (), (), tuple(seen))


def _first_moved(coils: Bits, fed: Bits) -> Bits:
    k = next(k for k, (is_in, wants) in enumerate(zip(coils, fed, strict=True)) if is_in != wants)
    return (*coils[:k], fed[k], *coils[k + 1 :])


def closed_graph(net: Netlist, inputs: Sequence[bool], coils: Sequence[bool]) -> nx.Graph[str]:
    """Raw terminals, tied by conductors and by the contacts that are closed."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(net.terminals)
    graph.add_edges_from(net.joined)
    graph.add_edges_from(
        (a, b) for a, b, rests, by_coil, at in net.contacts if rests != (coils[at] if by_coil else inputs[at])
    )
    return graph


def fed_in(graph: nx.Graph[str], net: Netlist) -> tuple[Bits, Bits] | None:
    """Which coils are fed, which lamps are on; None where the poles are joined."""
    hot = nx.node_connected_component(graph, net.hot)
    if net.neutral in hot:
        return None
    back = nx.node_connected_component(graph, net.neutral)

    def across(pairs: Iterable[tuple[str, str]]) -> Bits:
        return tuple((a in hot and b in back) or (a in back and b in hot) for a, b in pairs)

    return across(net.coils), across(net.loads.values())


class Graphs:
    """**a**: a networkx graph of what is closed, made at each look."""

    def __init__(self, net: Netlist) -> None:
        self.net = net

    def look(self, inputs: Sequence[bool], coils: Sequence[bool]) -> tuple[Bits, Bits] | None:
        return fed_in(closed_graph(self.net, inputs, coils), self.net)


class OneGraph:
    """**a, altered**: one networkx graph of raw terminals, in which only contacts that moved change."""

    def __init__(self, net: Netlist) -> None:
        self.net = net
        self.graph: nx.Graph[str] = nx.Graph(net.joined)
        self.graph.add_nodes_from(net.terminals)
        self.closed = [False] * len(net.contacts)
        pairs = [frozenset(c[:2]) for c in net.contacts]
        assert len(set(pairs)) == len(pairs), "two contacts on the same two terminals"

    def look(self, inputs: Sequence[bool], coils: Sequence[bool]) -> tuple[Bits, Bits] | None:
        for k, (a, b, rests, by_coil, at) in enumerate(self.net.contacts):
            closed = rests != (coils[at] if by_coil else inputs[at])
            if closed != self.closed[k]:
                self.closed[k] = closed
                if closed:
                    self.graph.add_edge(a, b)
                else:
                    self.graph.remove_edge(a, b)
        return fed_in(self.graph, self.net)


class Unions:
    """**b**: conductors contracted once; union-find over nets and closed contacts at each look."""

    def __init__(self, net: Netlist) -> None:
        self.net = net
        graph: nx.Graph[str] = nx.Graph(net.joined)
        graph.add_nodes_from(net.terminals)
        of = {t: n for n, part in enumerate(nx.connected_components(graph)) for t in part}
        self.nets = list(range(1 + max(of.values())))
        self.hot, self.neutral = of[net.hot], of[net.neutral]
        self.contacts = [(of[a], of[b], *row) for a, b, *row in net.contacts]
        self.coils = [(of[a], of[b]) for a, b in net.coils]
        self.loads = [(of[a], of[b]) for a, b in net.loads.values()]

    def look(self, inputs: Sequence[bool], coils: Sequence[bool]) -> tuple[Bits, Bits] | None:
        parent = self.nets.copy()

        def find(n: int) -> int:
            while parent[n] != n:
                parent[n] = n = parent[parent[n]]
            return n

        for a, b, rests, by_coil, at in self.contacts:
            if rests != (coils[at] if by_coil else inputs[at]):
                parent[find(a)] = find(b)
        hot, back = find(self.hot), find(self.neutral)
        if hot == back:
            return None

        def across(pairs: Iterable[tuple[int, int]]) -> Bits:
            return tuple({find(a), find(b)} == {hot, back} for a, b in pairs)

        return across(self.coils), across(self.loads)


def in_series(net: Netlist, inputs: Sequence[bool], coils: Sequence[bool]) -> bool:
    """Does some part that floats touch both poles over loads? Then numbers decide, not connectivity."""
    graph = closed_graph(net, inputs, coils)
    poles = [nx.node_connected_component(graph, t) for t in (net.hot, net.neutral)]
    floating = graph.subgraph(set(graph) - poles[0] - poles[1]).copy()
    touches: dict[str, set[int]] = {}
    for a, b in (*net.coils, *net.loads.values()):
        if a in floating and b in floating:
            floating.add_edge(a, b)
        for here, there in ((a, b), (b, a)):
            if here in floating:
                touches.setdefault(here, set()).update(k for k, pole in enumerate(poles) if there in pole)
    parts = nx.connected_components(floating)
    return any(len(set().union(*(touches.get(t, set()) for t in part))) == 2 for part in parts)
