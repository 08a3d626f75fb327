"""Upright lanes for conductors: as few as do, in an order in which few conductors cross."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.draw.connections.ends import Route


class Way(Struct, frozen=True):
    """A conductor in a channel: the heights at which it comes in from the left and from the right."""

    route: Route
    lefts: tuple[float, ...]
    rights: tuple[float, ...]

    @property
    def low(self) -> float:
        return min(*self.lefts, *self.rights)

    @property
    def high(self) -> float:
        return max(*self.lefts, *self.rights)


def crossings(first: Way, second: Way) -> int:
    """How often two conductors cross where the first has the lane further left."""
    return sum(first.low < y < first.high for y in second.lefts) + sum(
        second.low < y < second.high for y in first.rights
    )


def lanes(ways: Sequence[Way], more: int = 0) -> list[list[int]]:
    """Lanes from the left, each with the ways in it by number. more: lanes beyond the fewest, at most."""
    n = len(ways)
    meets, clash = _meetings(ways)
    cost = [[crossings(ways[i], ways[j]) if meets[i][j] else 0 for j in range(n)] for i in range(n)]
    held = _packed(ways, clash)
    most = len(held) + more
    for _ in range(8):
        moved = _sorted(held, cost)
        moved |= _moved(held, cost, clash, most)
        if not moved:
            break
    return held


def fewest(ways: Sequence[Way]) -> int:
    """How many lanes it takes."""
    return len(_packed(ways, _meetings(ways)[1]))


def _meetings(ways: Sequence[Way]) -> tuple[list[list[bool]], list[list[bool]]]:
    """Which are in one picture, and which of them are at one height somewhere."""
    meets = [[one.route.meets(two.route) for two in ways] for one in ways]
    clash = [
        [met and one.low <= two.high and two.low <= one.high for met, two in zip(row, ways, strict=True)]
        for row, one in zip(meets, ways, strict=True)
    ]
    return meets, clash


def _packed(ways: Sequence[Way], clash: Sequence[Sequence[bool]]) -> list[list[int]]:
    """By upper end, each into the first lane where it fits: as few lanes as possible."""
    held: list[list[int]] = []
    for i in sorted(range(len(ways)), key=lambda i: (ways[i].low, -ways[i].high, i)):
        free = next((lane for lane in held if not any(clash[i][j] for j in lane)), None)
        if free is None:
            held.append([i])
        else:
            free.append(i)
    return held


def _sorted(held: list[list[int]], cost: Sequence[Sequence[int]]) -> bool:
    """Whole lanes moved while crossings fall."""
    moved, better = False, True
    gain = {}
    for a, b in combinations(range(len(held)), 2):
        here = sum(cost[i][j] for i in held[a] for j in held[b])
        there = sum(cost[j][i] for i in held[a] for j in held[b])
        gain[a, b], gain[b, a] = here - there, there - here
    order = list(range(len(held)))
    while better:
        better = False
        for at in range(len(order)):
            best, to = 0, at
            for step in (1, -1):
                total, k = 0, at + step
                while 0 <= k < len(order):
                    pair = (order[at], order[k]) if step > 0 else (order[k], order[at])
                    total += gain[pair]
                    if total > best:
                        best, to = total, k
                    k += step
            if to != at:
                order.insert(to, order.pop(at))
                moved = better = True
    held[:] = [held[k] for k in order]
    return moved


def _moved(
    held: list[list[int]], cost: Sequence[Sequence[int]], clash: Sequence[Sequence[bool]], most: int
) -> bool:
    """Single conductors moved to another lane, or to one of their own, while crossings fall."""
    moved = False
    for i in sorted(i for lane in held for i in lane):
        at = next(k for k, lane in enumerate(held) if i in lane)
        prices = [
            sum(cost[j][i] for lane in held[:k] for j in lane if j != i)
            + sum(cost[i][j] for lane in held[k:] for j in lane if j != i)
            for k in range(len(held) + 1)
        ]
        # In lane k it lies beside what is in it, which it does not meet at any height: either side will do.
        here, options = prices[at], []
        for k, lane in enumerate(held):
            if k != at and not any(clash[i][j] for j in lane):
                options.append((prices[k], 1, k))
        if len(held) < most and len(held[at]) > 1:
            options += [(price, 2, k) for k, price in enumerate(prices)]
        price, kind, k = min(options, default=(here, 0, at))
        if price >= here:
            continue
        moved = True
        held[at].remove(i)
        if kind == 1:
            held[k].append(i)
        else:
            held.insert(k, [i])
        held[:] = [lane for lane in held if lane]
    return moved
