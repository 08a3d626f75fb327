"""A circuit as the ladder sees it: nets, edges between them, rails, and which line is which conductor.

A net is what conductors join, and bars: devices of nothing but links, which are drawn by themselves.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Contact, Link, Transformer
from wirecheck.circuit.nets import Joined

if TYPE_CHECKING:
    import networkx as nx

    from wirecheck.circuit.elements import Element
    from wirecheck.circuit.graph import Circuit

EdgeEnd = tuple[str, str]  # the key of an edge, and the terminal of it


class Edge(Struct, frozen=True):
    """An element between two terminals, or one winding of a transformer."""

    key: str
    element: str
    a: str
    b: str
    secondary: bool = False


class Rail(Struct, frozen=True):
    """A net from which rungs hang. key: the pole or secondary's end that feeds it; net: where it arrives."""

    key: str
    net: str
    feed: tuple[str, ...] = ()  # edges from the pole to the net: disconnect, fuse


def edges_of(element: Element) -> tuple[Edge, ...]:
    """The edge of an element; of a transformer, one for each winding."""
    if not isinstance(element, Transformer):
        return (Edge(element.id, element.id, element.a, element.b),)
    last = len(element.windings) - 1
    return tuple(
        Edge(f"{element.id}:{a}-{b}", element.id, a, b, secondary=i == last)
        for i, (a, b, _) in enumerate(element.windings)
    )


class Wiring:
    """Read-only index of one circuit. Every mapping keeps the circuit's order."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self._joined = Joined()
        edges = [edge for element in circuit.elements.values() for edge in edges_of(element)]
        self.bars = tuple(d.tag for d in circuit.devices.values() if self._is_bar(d.tag))
        self.edges = {e.key: e for e in edges if circuit.elements[e.element].device not in self.bars}
        self.bar_edges = {e.key: e for e in edges if e.key not in self.edges}
        for wire in circuit.conductors.values():
            self._joined.join(wire.a, wire.b)
        for link in self.bar_edges.values():
            self._joined.join(link.a, link.b)

    def _is_bar(self, tag: str) -> bool:
        device = self.circuit.devices[tag]
        linked = all(isinstance(self.circuit.elements[i], Link) for i in device.elements)
        return bool(device.elements) and linked and len(device.terminals) > 2

    def net(self, terminal: str) -> str:
        return self._joined.root(terminal)

    @cached_property
    def nets(self) -> dict[str, tuple[str, ...]]:
        """The terminals of every net, in the circuit's order."""
        found: dict[str, list[str]] = defaultdict(list)
        for terminal in self.circuit.terminals:
            found[self.net(terminal)].append(terminal)
        return {net: tuple(terminals) for net, terminals in found.items()}

    @cached_property
    def ends(self) -> dict[str, tuple[EdgeEnd, ...]]:
        """The ends of edges on every net."""
        found: dict[str, list[EdgeEnd]] = defaultdict(list)
        for edge in self.edges.values():
            for terminal in (edge.a, edge.b):
                found[self.net(terminal)].append((edge.key, terminal))
        return {net: tuple(ends) for net, ends in found.items()}

    @cached_property
    def at(self) -> dict[str, tuple[str, ...]]:
        """The edges on every net, once for each of their ends."""
        return {net: tuple(key for key, _ in ends) for net, ends in self.ends.items()}

    @cached_property
    def rails(self) -> dict[str, Rail]:
        """By net, left to right: hot poles, secondaries' first ends, their second ends, then N and PE."""
        hot = [p.terminal for p in self.circuit.poles.values() if p.phasor != 0]
        neutral = [p.terminal for p in self.circuit.poles.values() if p.phasor == 0]
        secondaries = [e for e in self.edges.values() if e.secondary]
        order = [*hot, *(e.a for e in secondaries), *(e.b for e in secondaries), *neutral]
        found: dict[str, Rail] = {}
        for terminal in order:
            rail = self._rail(terminal)
            found.setdefault(rail.net, rail)
        return found

    def _rail(self, terminal: str) -> Rail:
        """Follow what all current of a pole passes, as long as it is there to make dead."""
        net, feed = self.net(terminal), list[str]()
        while (step := self._onward(net, feed)) is not None:
            feed.append(step[0])
            net = step[1]
        return Rail(terminal, net, tuple(feed) if terminal in self.circuit.poles else ())

    def _onward(self, net: str, feed: list[str]) -> tuple[str, str] | None:
        """The only way on from a net that is fed from one place: an edge and the net behind it."""
        keys = self.at.get(net, ())
        sources = [p for p in self.circuit.poles if self.net(p) == net]
        sources += [key for key in keys if self.edges[key].secondary]
        onward = [key for key in keys if key not in feed and not self.edges[key].secondary]
        if len(onward) != 1 or len(sources) > (0 if feed else 1) or not self._isolates(onward[0]):
            return None
        edge = self.edges[onward[0]]
        far = next((n for t in (edge.a, edge.b) if (n := self.net(t)) != net), None)
        return (edge.key, far) if far is not None else None

    def _isolates(self, key: str) -> bool:
        element = self.circuit.elements[self.edges[key].element]
        device = self.circuit.devices[element.device]
        return isinstance(element, Contact | Link) and (device.isolates or device.fuse)

    @cached_property
    def _joins(self) -> nx.MultiGraph[str]:
        """The terminals, joined by conductors and by bars; keys: the ids of these."""
        import networkx as nx

        graph: nx.MultiGraph[str] = nx.MultiGraph()
        graph.add_nodes_from(self.circuit.terminals)
        for wire in self.circuit.conductors.values():
            graph.add_edge(wire.a, wire.b, key=wire.id)
        for link in self.bar_edges.values():
            graph.add_edge(link.a, link.b, key=link.key)
        return graph

    def past(self, edge: Edge) -> tuple[str, ...]:
        """The conductors of the shortest way from one end of an edge to the other; of one net."""
        import networkx as nx

        way = nx.shortest_path(self._joins, edge.a, edge.b)
        joins = (next(iter(self._joins[a][b])) for a, b in pairwise(way))
        return tuple(i for i in joins if i in self.circuit.conductors)

    @cached_property
    def bridged(self) -> tuple[Edge, ...]:
        """The edges whose two ends are joined past them, whatever position a contact has."""
        return tuple(e for e in self.edges.values() if self.net(e.a) == self.net(e.b))

    @cached_property
    def _bridges(self) -> dict[str, tuple[tuple[str, frozenset[EdgeEnd]], ...]]:
        """For each net, each conductor whose removal parts it, with the ends of edges on its `a` side."""
        import networkx as nx

        graph = self._joins
        found: dict[str, list[tuple[str, frozenset[EdgeEnd]]]] = defaultdict(list)
        simple: nx.Graph[str] = nx.Graph(graph)
        cut = {frozenset(pair) for pair in nx.bridges(simple)}
        for wire in self.circuit.conductors.values():
            if frozenset((wire.a, wire.b)) in cut and graph.number_of_edges(wire.a, wire.b) == 1:
                found[self.net(wire.a)].append((wire.id, self._side(simple, wire.a, wire.b)))
        return {net: tuple(wires) for net, wires in found.items()}

    def _side(self, graph: nx.Graph[str], start: str, banned: str) -> frozenset[EdgeEnd]:
        seen, stack = {start}, [start]
        while stack:
            node = stack.pop()
            for near in graph[node]:
                if near not in seen and (node, near) != (start, banned):
                    seen.add(near)
                    stack.append(near)
        ends = self.ends.get(self.net(start), ())
        return frozenset(end for end in ends if end[1] in seen) | frozenset(
            ("", pole) for pole in self.circuit.poles if pole in seen
        )

    def wires_between(self, net: str, near: frozenset[EdgeEnd]) -> tuple[str, ...]:
        """The conductors that alone part these ends of edges from all else on the net."""
        poles = frozenset(("", pole) for pole in self.circuit.poles if self.net(pole) == net)
        rest = (frozenset(self.ends.get(net, ())) | poles) - near
        return tuple(w for w, side in self._bridges.get(net, ()) if side in (near, rest) and near and rest)

    def name_of(self, net: str) -> str | None:
        """A terminal by which a reader finds the net: where an element ends on it, else any."""
        return next(iter([*(t for _, t in self.ends.get(net, ())), *self.nets.get(net, ())]), None)
