"""Whose current flows through a conductor or a contact: what lies beyond it, away from the source.

Conductors, links and closed contacts have no impedance, so what one of them carries is the sum of the
currents of the elements that hang on its far side. In a ring the side is not decided: for a contact the
ring is taken as opened at the contacts beside it (one of them is the first to close); of conductors that
lie side by side, and of a contact that is bridged, nothing is said.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.checks.ratings.burden import fed_winding, primary_va
from wirecheck.circuit.elements import Link
from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.ratings.moments import Look
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.solver import View


class Item(NamedTuple):
    """What draws current at a terminal: an impedance, or the primary of a transformer."""

    element: str
    amps: complex  # out of the node, into the element


Items = tuple[Item, ...]


class Edge(NamedTuple):
    """A conductor, a link or a closed contact."""

    id: str
    a: str
    b: str
    contact: bool


class Ways:
    """The joins of one circuit, and what flows through each of them in a network."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.fixed = [Edge(w.id, w.a, w.b, False) for w in circuit.conductors.values()]
        self.fixed += [Edge(e.id, e.a, e.b, False) for e in circuit.elements.values() if isinstance(e, Link)]
        self.contacts = {c.id: Edge(c.id, c.a, c.b, True) for c in circuit.contacts.values()}

    def through(self, look: Look) -> dict[str, Items]:
        """Edge id -> what it feeds, of every conductor and closed contact that carries a load's current."""
        node, of = look.view.network.node, look.plain.nets.of
        items = dict(drawing(look.view))
        drawn = {node[of[t]] for t in items}
        every = (*self.fixed, *(self.contacts[i] for i in sorted(look.shut)))
        edges = [e for e in every if node[of[e.a]] in drawn]
        net = Joins(edges, items, sources(look.view))
        return {e.id: items for e in edges for items in [net.beyond(e)] if items}


def drawing(view: View) -> Iterator[tuple[str, list[Item]]]:
    """Terminal -> what draws current there."""
    found: dict[str, list[Item]] = {}
    scenario = view.plain.scenario
    for i, z in view.impedances.items():
        amps = view.amps(i, scenario)
        if abs(amps) > figures.SLACK:
            found.setdefault(z.a, []).append(Item(i, amps))
            found.setdefault(z.b, []).append(Item(i, -amps))
    for core in view.plain.transformers.values():
        fed = fed_winding(view, core)
        va = primary_va(view, core, scenario) if fed is not None else 0.0
        if fed is not None and va > figures.SLACK:
            a, b, volts = fed
            amps = va / abs(volts) * volts / abs(volts)
            found.setdefault(a, []).append(Item(core.id, amps))
            found.setdefault(b, []).append(Item(core.id, -amps))
    yield from found.items()


def sources(view: View) -> dict[str, bool]:
    """Terminal -> does current come from there? Earth (False) counts only where nothing else does."""
    circuit = view.plain.circuit
    ends = {t: True for c in view.plain.transformers.values() for t in c.secondary}
    return ends | {t: t not in circuit.earth for t in circuit.poles}


class Joins:
    """The graph of terminals joined without impedance in one network."""

    def __init__(self, edges: list[Edge], items: dict[str, list[Item]], sources: dict[str, bool]) -> None:
        self.items, self.sources = items, sources
        self.near: dict[str, list[tuple[str, Edge]]] = {}
        for e in edges:
            self.near.setdefault(e.a, []).append((e.b, e))
            self.near.setdefault(e.b, []).append((e.a, e))
        self.strong: dict[str, bool] = {}
        self.enter: dict[str, int] = {}
        self.leave: dict[str, int] = {}
        self.members: dict[str, list[str]] = {}
        self.root: dict[str, str] = {}
        self.bridges: dict[str, str] = {}  # edge id -> the end farther from the root
        for start in [*(s for s, hot in sources.items() if hot), *sources, *items]:
            if start in self.near and start not in self.enter:
                self._walk(start)

    def _walk(self, start: str) -> None:
        """Depth first from one terminal: order of entry, and which edges are in no ring (Tarjan 1974)."""
        low: dict[str, int] = {start: len(self.enter)}
        self.enter[start] = low[start]
        order, stack = [start], [(start, "", iter(self.near[start]))]
        while stack:
            at, came, rest = stack[-1]
            step = next(((to, e) for to, e in rest if e.id != came), None)
            if step is None:
                stack.pop()
                self.leave[at] = len(self.enter)
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[at])
                    if low[at] > self.enter[above]:
                        self.bridges[came] = at
                continue
            to, e = step
            if to in self.enter:
                low[at] = min(low[at], self.enter[to])
                continue
            self.enter[to] = low[to] = len(self.enter)
            order.append(to)
            stack.append((to, e.id, iter(self.near[to])))
        self.members[start] = order
        self.root |= dict.fromkeys(order, start)
        hot = [t for t in order if self.sources.get(t)]
        self.strong |= dict.fromkeys(hot or (t for t in order if t in self.sources), True)

    def beyond(self, e: Edge) -> Items:
        """What hangs on the side of this edge that has no source; nothing where both sides have one."""
        if e.a not in self.root:
            return ()
        members = self.members[self.root[e.a]]
        if not any(t in self.items for t in members):
            return ()
        if e.id in self.bridges:
            far = self.bridges[e.id]
            side = {t for t in members if self.enter[far] <= self.enter[t] < self.leave[far]}
        else:
            side = self._opened(e) if e.contact else set()
        if any(t in self.strong for t in side):
            side = set(members) - side
            if any(t in self.strong for t in side):
                return ()
        return net_of(i for t in members if t in side for i in self.items.get(t, ()))

    def _opened(self, e: Edge) -> set[str]:
        """The far side of a contact in a ring, with the contacts beside it open; none where it is bridged."""
        open_ids = {e.id}
        while True:
            came = self._from(e.b, open_ids)
            if e.a not in came:
                return set(came)
            at, beside = e.a, None
            while at != e.b:
                at, edge = came[at]
                beside = edge if edge.contact else beside
            if beside is None:
                return set()
            open_ids.add(beside.id)

    def _from(self, start: str, without: set[str]) -> dict[str, tuple[str, Edge]]:
        came: dict[str, tuple[str, Edge]] = {start: (start, Edge("", start, start, False))}
        queue = [start]
        for at in queue:
            for to, e in self.near[at]:
                if to not in came and e.id not in without:
                    came[to] = (at, e)
                    queue.append(to)
        return came


def net_of(items: Iterator[Item]) -> Items:
    """The items of one side; an element with both its ends there draws nothing through the edge."""
    total: dict[str, complex] = {}
    for i in items:
        total[i.element] = total.get(i.element, 0j) + i.amps
    return tuple(Item(i, amps) for i, amps in total.items() if abs(amps) > figures.SLACK)
