"""The fewest observations that show every mistake: a set cover, exact while that is quick.

Exact by branch and bound after dropping what another column does as well. Beyond NODES it is greedy, whose
cover is at most H(d) = 1 + 1/2 + ... + 1/d times the least, d the most mistakes that one observation shows
(V. Chvátal, A greedy heuristic for the set-covering problem, Mathematics of Operations Research 4, 1979;
from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

NODES = 20_000  # branches looked at before the answer is a greedy one; a second or two
ONE = 1 << 20  # the cost of one observation: fewer always come before easier


class Column(Struct, frozen=True):
    """One observation: the mistakes that it shows, one bit each; what it costs."""

    shows: int
    cost: int
    number: int


class Cover(Struct, frozen=True):
    """The columns taken, by number. exact: there is none with fewer; else at most `at_most` times as many."""

    chosen: tuple[int, ...]
    exact: bool
    at_most: float = 1.0


@dataclass
class _Search:
    columns: list[Column]
    best: tuple[Column, ...] = ()
    cost: int = 0
    nodes: int = 0
    over: dict[int, list[Column]] = field(default_factory=dict)

    def run(self, left: int, taken: tuple[Column, ...], spent: int) -> bool:
        """Look at every cover of what is left that could be better; False where the limit was met."""
        self.nodes += 1
        if self.nodes > NODES:
            return False
        if not left:
            if spent < self.cost:
                self.best, self.cost = taken, spent
            return True
        if spent + self.bound(left) >= self.cost:
            return True
        row = min(_bits(left), key=lambda r: len(self.over[r]))
        tried = sorted(self.over[row], key=lambda c: (-(c.shows & left).bit_count(), c.cost))
        return all(self.run(left & ~c.shows, (*taken, c), spent + c.cost) for c in tried)

    def bound(self, left: int) -> int:
        """Mistakes no two of which one observation shows each need one of their own."""
        total, free = 0, left
        for row in sorted(_bits(left), key=lambda r: len(self.over[r])):
            if free >> row & 1:
                total += min(c.cost for c in self.over[row])
                for c in self.over[row]:
                    free &= ~c.shows
        return total


def cover(columns: Sequence[tuple[int, int]]) -> Cover:
    """columns: (mistakes shown, effort). Every mistake that some column shows is covered."""
    kept = undominated(Column(shows, ONE + effort, k) for k, (shows, effort) in enumerate(columns) if shows)
    left = 0
    for c in kept:
        left |= c.shows
    first = greedy(kept, left)
    search = _Search(kept, first, sum(c.cost for c in first))
    search.over = {r: [c for c in kept if c.shows >> r & 1] for r in _bits(left)}
    exact = search.run(left, (), 0)
    most = max((c.shows.bit_count() for c in kept), default=0)
    ratio = 1.0 if exact else sum(1 / k for k in range(1, most + 1))
    return Cover(tuple(c.number for c in search.best), exact, ratio)


def undominated(columns: Iterable[Column]) -> list[Column]:
    """Columns of which no other shows as much for no more."""
    cheapest: dict[int, Column] = {}
    for c in sorted(columns, key=lambda c: (c.cost, c.number)):
        cheapest.setdefault(c.shows, c)
    found: list[Column] = []
    for c in sorted(cheapest.values(), key=lambda c: (-c.shows.bit_count(), c.cost)):
        if not any(c.shows & ~k.shows == 0 and k.cost <= c.cost for k in found):
            found.append(c)
    return found


def greedy(columns: list[Column], left: int) -> tuple[Column, ...]:
    """Each time the column that shows most of what is left for its cost."""
    taken: list[Column] = []
    while left:
        best = max(columns, key=lambda c: ((c.shows & left).bit_count() / c.cost, -c.number))
        taken.append(best)
        left &= ~best.shows
    return tuple(taken)


def _bits(mask: int) -> list[int]:
    return [k for k in range(mask.bit_length()) if mask >> k & 1]
