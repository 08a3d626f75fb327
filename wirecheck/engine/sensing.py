"""Switches that a quantity moves: where each stands in which range, hysteresis and hand reset included.

The cuts of a quantity, set points and values in sentences, divide it into ranges (engine.md section 4).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.engine.variables import Variable


class Sensing:
    """The ranges of some quantities. cuts: quantity -> the sorted values that divide it, in its base unit."""

    def __init__(self, cuts: Mapping[str, tuple[float, ...]]) -> None:
        self.cuts = cuts

    def interval(self, quantity: str, k: int) -> tuple[float, float]:
        """The k-th range of a quantity: between two neighbouring cuts, or beyond the last."""
        cuts = self.cuts[quantity]
        low = cuts[k - 1] if k > 0 else float("-inf")
        return low, cuts[k] if k < len(cuts) else float("inf")

    def allowed(self, v: Variable, k: int) -> tuple[bool, ...]:
        """The positions that a variable may have in range k of its quantity, that it is held at included."""
        places = self.placed(v, k)
        if v.latch is not None and places == (not v.latch,):
            places = (False, True)
        return places if v.held is None else tuple(p for p in places if p == v.held)

    def placed(self, v: Variable, k: int) -> tuple[bool, ...]:
        """The positions into which range k itself puts a switch; both between its set points."""
        low, high = self.interval(v.senses.quantity, k)
        if low >= v.senses.high:
            return (v.senses.above_moved,)
        if high <= v.senses.low:
            return (not v.senses.above_moved,)
        return (False, True)

    def histories(self, v: Variable, w: Variable) -> set[tuple[int, bool, bool]]:
        """The (range, position, position) of two switches that one history of their quantity leads to.

        It begins beyond all set points.
        """
        ranges = len(self.cuts[v.senses.quantity]) + 1
        start = [(r, self.placed(v, r)[0], self.placed(w, r)[0]) for r in (0, ranges - 1)]
        seen, queue = set(start), list(start)
        for r, a, b in queue:
            steps = [
                (to, self.drag(v, a, to), self.drag(w, b, to)) for to in (r - 1, r + 1) if 0 <= to < ranges
            ]
            steps.append((r, a != self.resets(v, r, a), b != self.resets(w, r, b)))
            for step in steps:
                if step not in seen:
                    seen.add(step)
                    queue.append(step)
        return seen

    def resets(self, v: Variable, r: int, moved: bool) -> bool:
        """May a hand reset this switch, standing at `moved`, in range r?"""
        return v.latch is not None and moved == v.latch and self.placed(v, r) == (not v.latch,)

    def drag(self, v: Variable, moved: bool, r: int) -> bool:
        """Where a switch stands once its quantity is in range r."""
        places = self.placed(v, r)
        if moved in places or (v.latch is not None and moved == v.latch):
            return moved
        return places[0]
