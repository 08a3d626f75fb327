"""Which net reaches which terminal net, as a program: nets are eliminated, fewest neighbours first.

Removing net v: e[ab] |= e[av] & e[bv] for each pair of its neighbours. Back in reverse order:
reach[v][t] = OR over its neighbours x then of e[vx] & reach[x][t] (speed.md section 1). What one net is
joined to: forward from it over the nets removed later, and back (speed.md section 6).
"""

from __future__ import annotations

from heapq import heapify, heappop, heappush
from typing import TYPE_CHECKING

from wirecheck.engine.fast.limits import MOST_NODES, TooLarge
from wirecheck.engine.fast.table import FALSE, TRUE, Table

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

Row = dict[int, int]  # terminal net -> where it is reached


def reach(
    table: Table,
    nets: Iterable[int],
    edges: dict[tuple[int, int], int],
    terminals: Collection[int],
    through: bool = True,
) -> dict[int, Row]:
    """For each net the terminals it reaches. through: does a way lead on through a terminal?"""
    return Elimination(table, nets, edges, terminals, through).rows


class Elimination:
    """A graph of nets, eliminated. rows: for each net the terminals it reaches."""

    def __init__(
        self,
        table: Table,
        nets: Iterable[int],
        edges: dict[tuple[int, int], int],
        terminals: Collection[int],
        through: bool = True,
    ) -> None:
        self.table = table
        near: dict[int, Row] = {n: {} for n in nets}
        for (a, b), node in edges.items():
            near[a][b] = near[b][a] = node
        ends = set(terminals)
        order = _eliminated(table, near, ends, through)
        self.rows = _closed(table, near, ends) if through else {t: {t: TRUE} for t in ends}
        for v, around in reversed(order):
            self.rows[v] = _row(table, around, self.rows)
        self._around = dict(order)
        self._rank = {v: k for k, (v, _) in enumerate(order)}
        self._from: dict[int, tuple[Row, Row]] = {}

    def joined(self, a: int, b: int) -> int:
        """Where two nets are joined. Of a graph whose ways lead through terminals."""
        if a not in self._rank or b not in self._rank:
            one, end = (a, b) if b not in self._rank else (b, a)
            return self.rows[one].get(end, FALSE)
        if a not in self._from:
            self._from[a] = self._forward(a), {a: TRUE}
        over_earlier, found = self._from[a]
        for v in self._resting_on(b, found):
            node = over_earlier.get(v, FALSE)
            for x, at in self._around[v].items():
                there = found[x] if x in self._rank else self.rows[a].get(x, FALSE)
                node = self.table.either(node, self.table.both(at, there))
            found[v] = node
        return found[b]

    def _forward(self, a: int) -> Row:
        """What a net reaches of those eliminated later, over none but those eliminated earlier than these."""
        table, found, rank = self.table, {a: TRUE}, self._rank
        heap = [(rank[a], a)]
        while heap:
            _, v = heappop(heap)
            for x, at in self._around[v].items():
                if x in rank:
                    if x not in found:
                        heappush(heap, (rank[x], x))
                    found[x] = table.either(found.get(x, FALSE), table.both(found[v], at))
        return found

    def _resting_on(self, b: int, known: Row) -> list[int]:
        """The nets that have to be known for b, and b: those eliminated last first."""
        seen, queue = {b} - known.keys(), [b]
        for v in queue:
            if v in seen:
                new = {x for x in self._around[v] if x in self._rank} - seen - known.keys()
                seen |= new
                queue.extend(new)
        return sorted(seen, key=self._rank.__getitem__, reverse=True)


def _eliminated(table: Table, near: dict[int, Row], ends: set[int], through: bool) -> list[tuple[int, Row]]:
    heap = [(len(near[v]), v) for v in near if v not in ends]
    heapify(heap)
    order = []
    while heap:
        count, v = heappop(heap)
        if v not in near:
            continue
        if count != len(near[v]):
            heappush(heap, (len(near[v]), v))
            continue
        around = near.pop(v)
        _joined(table, near, around, v, ends if not through else set())
        order.append((v, around))
        if len(table.op) > MOST_NODES:
            raise TooLarge(f"more than {MOST_NODES} operations in the program of the contacts")
    return order


def _joined(table: Table, near: dict[int, Row], around: Row, v: int, apart: set[int]) -> None:
    """Tie the neighbours of v to each other and forget v."""
    both, either = table.both, table.either
    items = list(around.items())
    for k, (a, at_a) in enumerate(items):
        row = near[a]
        del row[v]
        for b, at_b in items[:k]:
            if a in apart and b in apart:
                continue
            node = either(row.get(b, FALSE), both(at_a, at_b))
            if node != FALSE:
                row[b] = near[b][a] = node


def _closed(table: Table, near: dict[int, Row], ends: set[int]) -> dict[int, Row]:
    """Which terminals reach each other, over one another."""
    rows = {t: {**near.get(t, {}), t: TRUE} for t in ends}
    for mid in ends:
        for a in ends:
            first = rows[a].get(mid, FALSE)
            if a == mid or first == FALSE:
                continue
            for b, second in list(rows[mid].items()):
                rows[a][b] = table.either(rows[a].get(b, FALSE), table.both(first, second))
    return rows


def _row(table: Table, around: Row, rows: dict[int, Row]) -> Row:
    found: Row = {}
    for x, at in around.items():
        for t, there in rows[x].items():
            node = table.either(found.get(t, FALSE), table.both(at, there))
            if node != FALSE:
                found[t] = node
    return found
