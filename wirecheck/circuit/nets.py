"""Nets of conductors and links, and which contacts switch something."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Contact, Element, Link, Transformer

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Conductor, Pole


class Joined:
    """Disjoint sets of nodes, joined pair by pair (union-find with path halving)."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def root(self, node: str) -> str:
        above = self._above
        above.setdefault(node, node)
        while above[node] != node:
            above[node] = above[above[node]]
            node = above[node]
        return node

    def join(self, a: str, b: str) -> None:
        self._above[self.root(a)] = self.root(b)


def nets(conductors: Iterable[Conductor], elements: Iterable[Element]) -> Joined:
    """Nodes joined by conductors and links alone."""
    joined = Joined()
    for wire in conductors:
        joined.join(wire.a, wire.b)
    for element in elements:
        if isinstance(element, Link):
            joined.join(element.a, element.b)
    return joined


def wired(
    conductors: Iterable[Conductor], elements: Mapping[str, Element], poles: Iterable[Pole]
) -> frozenset[str]:
    """The contacts with an element other than themselves, or a pole, on the nets of both their ends."""
    joined = nets(conductors, elements.values())
    held = {joined.root(pole.terminal) for pole in poles}
    touching = Counter(net for e in elements.values() for net in {joined.root(n) for n in ends(e)})
    return frozenset(
        e.id
        for e in elements.values()
        if isinstance(e, Contact)
        and all(touching[n] > 1 or n in held for n in (joined.root(e.a), joined.root(e.b)))
    )


def ends(element: Element) -> tuple[str, ...]:
    """The nodes that an element touches; a link is part of its net and touches none."""
    if isinstance(element, Link):
        return ()
    if isinstance(element, Transformer):
        return tuple(node for a, b, _ in element.windings for node in (a, b))
    return element.a, element.b
