"""The DC resistance between two nodes of a network of resistances."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

Edge = tuple[int, int, float]  # node, node, ohms


def resistance(edges: Collection[Edge], start: int, end: int) -> float | None:
    """Ohms between two nodes; None where nothing joins them.

    Source: node voltages where 1 A flows in at `start` and out at `end`, any circuits textbook.
    """
    reached = joined_to(edges, start)
    return _volts_per_ampere(edges, start, end, reached) if end in reached else None


def joined_to(edges: Collection[Edge], start: int) -> set[int]:
    """The nodes that hang together with one."""
    near: dict[int, set[int]] = {}
    for a, b, _ in edges:
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    seen, queue = {start}, [start]
    for at in queue:
        new = near.get(at, set()) - seen
        seen |= new
        queue.extend(new)
    return seen


def _volts_per_ampere(edges: Collection[Edge], start: int, end: int, reached: set[int]) -> float:
    import numpy as np

    free = {n: k for k, n in enumerate(sorted(reached - {end}))}
    matrix = np.zeros((len(free), len(free)))
    for a, b, ohms in edges:
        if a in reached and a != b:
            for here, there in ((a, b), (b, a)):
                if here in free:
                    matrix[free[here], free[here]] += 1 / ohms
                    if there in free:
                        matrix[free[here], free[there]] -= 1 / ohms
    right = np.zeros(len(free))
    right[free[start]] = 1.0
    return float(np.linalg.solve(matrix, right)[free[start]])
