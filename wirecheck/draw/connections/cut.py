"""Which parts stand on which sheet: few conductors are cut, the change stands on the first."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from wirecheck.draw.connections.ends import Route, Slot
    from wirecheck.draw.connections.parts import Part

Name = tuple[str, int]


def homes_of(parts: Iterable[Part]) -> dict[Slot, Name]:
    """The part that each slot is in."""
    return {slot: part.name for part in parts for slot in part.slots}


class Ties:
    """How many conductors there are between parts."""

    def __init__(self, parts: Sequence[Part], routes: Iterable[Route]) -> None:
        homes = homes_of(parts)
        self.order = {part.name: number for number, part in enumerate(parts)}
        self.to: dict[Name, dict[Name, int]] = {part.name: {} for part in parts}
        self.ends: dict[Name, int] = {part.name: 0 for part in parts}  # conductors on it
        self.changed: set[Name] = {part.name for part in parts if part.marked}
        for route in routes:
            a, b = homes.get(route.a), homes.get(route.b)
            for name, other in {(a, b), (b, a)}:
                if name is None:
                    continue
                self.ends[name] += 1
                if other is not None and other != name:
                    self.to[name][other] = self.to[name].get(other, 0) + 1
                if route.changed:
                    self.changed.add(name)

    def sheet(self, left: Collection[Name], most: int) -> list[Name]:
        """Parts for one sheet, `most` conductors on it at most unless the first part alone has more.

        It grows by the part with most conductors to it; it ends where it cuts fewest.
        """
        held: list[Name] = []
        pull = dict.fromkeys(left, 0)
        conductors = cut = 0
        sizes: list[tuple[int, int]] = []  # conductors cut, and on the sheet, at each length
        while pull:
            fitting = [n for n in pull if not held or conductors + self.ends[n] - pull[n] <= most]
            if not fitting:
                break
            best = min(fitting, key=lambda n: self._rank(n, pull[n], first=not held))
            conductors += self.ends[best] - pull[best]
            cut += self.ends[best] - 2 * pull[best]
            held.append(best)
            sizes.append((cut, conductors))
            del pull[best]
            for other, times in self.to[best].items():
                if other in pull:
                    pull[other] += times
        if not pull:
            return held
        must = max((i for i, n in enumerate(held) if n in self.changed), default=0)
        ends = [i for i, (_, size) in enumerate(sizes) if i >= must and 2 * size >= most]
        stop = min(ends, key=lambda i: (sizes[i][0] / sizes[i][1], -i), default=len(held) - 1)
        return held[: stop + 1]

    def _rank(self, name: Name, pulled: int, first: bool) -> tuple[bool, int, int, int]:
        """What the change touches first; then few new cuts, then many conductors, then the file's order.

        A sheet begins with what has few conductors: what has many, and is cut anyway, comes last.
        """
        cuts = self.ends[name] if first else self.ends[name] - 2 * pulled
        return name not in self.changed, cuts, -self.ends[name], self.order[name]


def sheets_of(ties: Ties, names: Iterable[Name], most: int) -> list[list[Name]]:
    """All parts on sheets."""
    left = dict.fromkeys(names)
    found = []
    while left:
        sheet = ties.sheet(left, most)
        found.append(sorted(sheet, key=ties.order.__getitem__))
        for name in sheet:
            del left[name]
    return found


def by_name(parts: Iterable[Part]) -> Mapping[Name, Part]:
    """Parts by their names."""
    return {part.name: part for part in parts}
