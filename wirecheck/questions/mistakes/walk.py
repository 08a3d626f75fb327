"""The easiest way to every place that moves lead to, and to every state of a unit."""

from __future__ import annotations

from heapq import heapify, heappop, heappush
from itertools import count
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator

    from wirecheck.engine.plain.explore import Explorer, Joint
    from wirecheck.questions.mistakes.strain import Strain

Place = TypeVar("Place", bound="Hashable")
Step = TypeVar("Step")
FAR = 1 << 10  # the cost of one unit of strain: less strain always comes before fewer moves


def easiest(
    starts: Iterable[tuple[Place, tuple[Step, ...], int]],
    onward: Callable[[Place, tuple[Step, ...]], Iterable[tuple[Place, Step, int]]],
    met: Callable[[Place], bool] = lambda _: False,
    least: Callable[[Place], int] = lambda _: 0,
) -> dict[Place, tuple[Step, ...]]:
    """Place -> the steps of the way of least cost to it, in that order; until one meets the goal.

    starts: (place, the way to it, its cost). onward: of a place and the way to it, what one more step leads
    to. least: no more than what is left to pay from a place to the goal, so that what lies off is looked at
    last (P. E. Hart, N. J. Nilsson, B. Raphael, A formal basis for the heuristic determination of minimum
    cost paths, 1968; from memory). Exact where a step costs the same however its place was come to.
    """
    turn = count()  # among ways of like cost the first found
    found: dict[Place, tuple[Step, ...]] = {}
    heap = [(cost + least(place), next(turn), cost, place, way) for place, way, cost in starts]
    heapify(heap)
    while heap:
        _, _, cost, place, way = heappop(heap)
        if place in found:
            continue
        found[place] = way
        if met(place):
            break
        for to, step, more in onward(place, way):
            if to not in found:
                heappush(heap, (cost + more + least(to), next(turn), cost + more, to, (*way, step)))
    return found


def walked(explorer: Explorer, strain: Strain) -> dict[Joint, tuple[tuple[str, Joint], ...]]:
    """The way of least strain, then of fewest moves, to every reachable state: each move, where it leads."""
    cold = [j for j in explorer.came if j in explorer.power_up]  # in an order that does not change
    starts = [(j, (("power comes on", j),), 1 + FAR * strain.at_power_up(j.setting)) for j in cold]

    def onward(at: Joint, _: object) -> Iterator[tuple[Joint, tuple[str, Joint], int]]:
        bits = explorer.world.inputs(True, at.setting)
        for move, to in explorer.successors(at):
            yield to, (move, to), 1 + FAR * strain.of_move(bits, at.after, at.setting, to.setting)

    easy = all(cost == 1 for *_, cost in starts) and len(starts) == len(explorer.came)
    return {j: way for j, way, _ in starts} if easy else easiest(starts, onward)
