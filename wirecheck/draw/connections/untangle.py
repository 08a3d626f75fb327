"""The order of parts, and of terminals in a part, in which few conductors cross.

Each is sifted through its column or part while that saves crossings or length. A strip keeps its
terminals in order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from wirecheck.draw.connections.cut import Name
    from wirecheck.draw.connections.ends import Route, Slot
    from wirecheck.draw.connections.parts import Part

CROSSING = 80.0  # units of length that one crossing is worth
IN_VAIN = 12  # parts put elsewhere without gain, one after the other
OVERHEAD = 6  # of each conductor that moves, in comparisons
Geometry = tuple[float, float, tuple[float, ...], tuple[float, ...]]


def crossed(first: Geometry, second: Geometry) -> int:
    """How often two conductors of one channel cross, in the better order of their lanes."""
    low, high, lefts, rights = first
    lower, higher, lefts_too, rights_too = second
    if low >= higher or lower >= high:
        return 0
    before = after = 0
    for y in lefts_too:
        before += low < y < high
    for y in rights:
        before += lower < y < higher
    for y in lefts:
        after += lower < y < higher
    for y in rights_too:
        after += low < y < high
    return before if before < after else after


def untangled(
    sides: tuple[Sequence[Part], Sequence[Part]],
    lines: Mapping[Slot, int],
    routes: Sequence[Route],
    budget: int,
) -> tuple[list[Part], list[Part]]:
    """The best of several beginnings: as in the file, and with one column or both upside down."""
    left, right = sides
    begin = ((left, right), (left, right[::-1]), (left[::-1], right), (left[::-1], right[::-1]))
    tangles = [Tangle((list(one), list(two)), lines, routes) for one, two in begin]
    for tangle in tangles:
        tangle.untangle(budget // 8)
    best = min(tangles, key=Tangle.price)
    best.shake(budget - sum(tangle.spent for tangle in tangles))
    return best.columns


class Tangle:
    """Two columns of parts, changed in place."""

    def __init__(
        self,
        columns: tuple[list[Part], list[Part]],
        lines: Mapping[Slot, int],
        routes: Sequence[Route],
    ) -> None:
        self.columns = columns
        self.lines = lines
        self.spent = 0  # comparisons of two conductors
        self.y: dict[Slot, float] = {}
        self.tops: list[list[float]] = [[], []]
        self.column = {s: n for n, column in enumerate(columns) for p in column for s in p.slots}
        for n in (0, 1):
            self._stack(n)
        self.routes = [(r.a, r.b, self._zone(r)) for r in routes]
        self.mates: list[list[int]] = [
            [j for j, other in enumerate(routes) if j != i and self.routes[j][2] == zone and r.meets(other)]
            for i, (r, (_, _, zone)) in enumerate(zip(routes, self.routes, strict=True))
        ]
        self.on: dict[Slot, list[int]] = {}
        for i, (a, b, _) in enumerate(self.routes):
            self.on.setdefault(a, []).append(i)
            self.on.setdefault(b, []).append(i)
        self.shapes: list[Geometry] = [self._shape(i) for i in range(len(routes))]

    def _zone(self, route: Route) -> int:
        a, b = self.column[route.a], self.column[route.b]
        return -1 if a != b or route.changed else a

    def _shape(self, i: int) -> Geometry:
        a, b, zone = self.routes[i]
        ya, yb = self.y[a], self.y[b]
        low, high = (ya, yb) if ya < yb else (yb, ya)
        if zone >= 0:  # bodies stand right of the lanes outside the left column
            return (low, high, (ya, yb), ()) if zone else (low, high, (), (ya, yb))
        ca, cb = self.column[a], self.column[b]
        if ca == cb:
            return (low, high, (), (ya, yb)) if ca else (low, high, (ya, yb), ())
        return (low, high, (yb,), (ya,)) if ca else (low, high, (ya,), (yb,))

    def _stack(self, n: int, first: int = 0, last: int | None = None) -> None:
        """Heights of the slots of a column, from its part `first` to its part `last`."""
        column, tops = self.columns[n], self.tops[n]
        y = tops[first] if first < len(tops) else 8.0 * n
        for k in range(first, len(column) if last is None else last + 1):
            part = column[k]
            tops[k : k + 1] = [y]
            y += 32.0 + 16.0 * part.marked
            for field in part.fields:
                for slot in field.slots:
                    self.y[slot] = y
                    y += 16.0 * self.lines.get(slot, 1)

    def shake(self, budget: int) -> None:
        """Put one part elsewhere and untangle again; keep what is better. A fixed order, nothing random."""
        stop, price, kick, vain = self.spent + budget, self.price(), 0, 0
        movable = [n for n in (0, 1) if len(self.columns[n]) > 2]
        while movable and self.crossings() and self.spent < stop and vain < IN_VAIN:
            held = list(self.columns[0]), list(self.columns[1])
            column = self.columns[movable[kick % len(movable)]]
            column.insert(kick * 5 % len(column), column.pop((kick * 7 + 1) % len(column)))
            self._restack()
            self.untangle(stop - self.spent)
            now = self.price()
            kick, vain = kick + 1, vain + 1
            if now < price - 1e-6:
                price, vain = now, 0
            else:
                self._put(held)

    def _put(self, held: tuple[list[Part], list[Part]]) -> None:
        for n in (0, 1):
            self.columns[n][:] = held[n]
        self._restack()

    def untangle(self, budget: int) -> None:
        """Sift parts and terminals until none finds a better place, or the budget of comparisons is spent."""
        better, stop = True, self.spent + budget
        while better and self.spent < stop:
            better = self._turn()
            for n in (0, 1):
                for name in [part.name for part in self.columns[n]]:
                    if self.spent >= stop:
                        break
                    better |= self._sift_part(n, name)
                    better |= self._sift_fields(n, name)
        self._turn()

    def crossings(self) -> int:
        """Of all, each in the better order of its lanes."""
        return sum(
            crossed(self.shapes[i], self.shapes[j])
            for i, mates in enumerate(self.mates)
            for j in mates
            if i < j
        )

    def price(self) -> float:
        """Crossings and length of all."""
        return self._cost(range(len(self.routes)))

    def _turn(self) -> bool:
        """Ends at each terminal in the order of their far ends, where that is better."""
        was, held = self.price(), (list(self.columns[0]), list(self.columns[1]))
        for n in (0, 1):
            self.columns[n][:] = [self._turned(part) for part in held[n]]
        self._restack()
        if self.price() < was - 1e-6:
            return True
        self._put(held)
        return False

    def _restack(self) -> None:
        for n in (0, 1):
            self._stack(n)
        self.shapes = [self._shape(i) for i in range(len(self.routes))]

    def _turned(self, part: Part) -> Part:
        if all(len(field.slots) < 2 for field in part.fields):
            return part
        fields = (replace(f, slots=tuple(sorted(f.slots, key=self._rank))) for f in part.fields)
        return replace(part, fields=tuple(fields))

    def _rank(self, slot: Slot) -> tuple[int, float, Slot]:
        """Up within the column, nearest first; across; down, farthest first: so they do not cross."""
        for i in self.on.get(slot, ()):
            a, b, _ = self.routes[i]
            other = b if a == slot else a
            y, there = self.y[slot], self.y[other]
            if self.column[other] != self.column[slot]:
                return 1, there, slot
            return (0, -there, slot) if there < y else (2, -there, slot)
        return 1, self.y[slot], slot

    def _at(self, n: int, name: Name) -> int:
        return next(k for k, part in enumerate(self.columns[n]) if part.name == name)

    def _sift_part(self, n: int, name: Name) -> bool:
        column = self.columns[n]

        def swap(k: int) -> list[Slot]:
            column[k], column[k + 1] = column[k + 1], column[k]
            self._stack(n, k, k + 1)
            return [*column[k].slots, *column[k + 1].slots]

        return self._sift(self._at(n, name), len(column), swap)

    def _sift_fields(self, n: int, name: Name) -> bool:
        column, k = self.columns[n], self._at(n, name)
        held = [i for i, field in enumerate(column[k].fields) if field.slots]
        if column[k].in_order:
            return False

        def swap(i: int) -> list[Slot]:
            fields = list(column[k].fields)
            one, two = held[i], held[i + 1]
            fields[one], fields[two] = fields[two], fields[one]
            column[k] = replace(column[k], fields=tuple(fields))
            self._stack(n, k, k)
            return [*fields[one].slots, *fields[two].slots]

        moved = False
        for i in range(len(held)):
            moved |= self._sift(i, len(held), swap)
        return moved

    def _sift(self, at: int, length: int, swap: Callable[[int], list[Slot]]) -> bool:
        """Move one thing past its neighbours, one after the other, and leave it where it was best.

        Sifting: Matuszewski, Schönfeld, Molitor, Using Sifting for k-Layer Straightline Crossing
        Minimization, Graph Drawing 1999 (from memory).
        """
        best, best_at, price, now = 0.0, at, 0.0, at
        for to in (0, length - 1):
            while now != to:
                now, gain = self._step(now, 1 if to > now else -1, swap)
                price += gain
                if price < best - 1e-6:
                    best, best_at = price, now
        while now != best_at:
            now, _ = self._step(now, 1 if best_at > now else -1, swap)
        return best_at != at

    def _step(self, now: int, way: int, swap: Callable[[int], list[Slot]]) -> tuple[int, float]:
        """One exchange with a neighbour; what it costs."""
        first = min(now, now + way)
        moved = sorted({i for slot in swap(first) for i in self.on.get(slot, ())})
        after = [self._shape(i) for i in moved]
        was = self._cost(moved)
        for i, shape in zip(moved, after, strict=True):
            self.shapes[i] = shape
        return now + way, self._cost(moved) - was

    def _cost(self, moved: Sequence[int]) -> float:
        """Crossings and length of these conductors."""
        crossings, length, done = 0, 0.0, set[int]()
        shapes = self.shapes
        for i in moved:
            shape = shapes[i]
            length += shape[1] - shape[0]
            done.add(i)
            self.spent += len(self.mates[i]) + OVERHEAD
            for j in self.mates[i]:
                if j not in done:
                    crossings += crossed(shape, shapes[j])
        return CROSSING * crossings + length
