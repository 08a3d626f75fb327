"""Which net reaches which terminal net, as a program: nets are eliminated, fewest neighbours first.

Removing net v: e[ab] |= e[av] & e[bv] for each pair of its neighbours. Back in reverse order:
reach[v][t] = OR over its neighbours x then of e[vx] & reach[x][t] (speed.md section 1).
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
    near: dict[int, Row] = {n: {} for n in nets}
    for (a, b), node in edges.items():
        near[a][b] = near[b][a] = node
    ends = set(terminals)
    order = _eliminated(table, near, ends, through)
    rows = _closed(table, near, ends) if through else {t: {t: TRUE} for t in ends}
    for v, around in reversed(order):
        rows[v] = _row(table, around, rows)
    return rows


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
