"""Terminals contracted over conductors and links: nets, which closed contacts join (engine.md section 1)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Conductor, Contact, Link

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.circuit.graph import Circuit


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

    def __init__(self, circuit: Circuit) -> None:
        index = {t: i for i, t in enumerate(circuit.terminals)}
        joined = Joined(len(index))
        for wire in circuit.conductors.values():
            joined.join(index[wire.a], index[wire.b])
        for element in circuit.elements.values():
            if isinstance(element, Link):
                joined.join(index[element.a], index[element.b])
        number: dict[int, int] = {}
        self.of = {t: number.setdefault(joined.find(i), len(number)) for t, i in index.items()}
        self.count = len(number)


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
