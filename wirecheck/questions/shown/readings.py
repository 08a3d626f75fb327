"""What a meter reads between chosen points, in all states at once: `questions/meter.py`, network by network.

A reading is told by its number in `Readings`; it is kept with its range over the ends of what is estimated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.engine.estimates import ends_of
from wirecheck.engine.fast.between import Between
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.questions.meter import (
    CHATTERING,
    ESTIMATED,
    RACES,
    SHORTED,
    Reading,
    agreed,
    estimates_at,
    of_view,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from wirecheck.engine.fast.frame import Frame
    from wirecheck.engine.fast.pair import JointClass
    from wirecheck.engine.fast.side import Stand
    from wirecheck.engine.solver import View
    from wirecheck.questions.shown.diagram import Values
    from wirecheck.questions.shown.points import Pair

Bare = tuple[Any, ...]  # what tells one reading from another: reads, volts, remark, fields
Range = tuple[Bare, ...]  # the nominal reading first
MOST_NETWORKS = 400  # of one pair of points, on one side
DEPENDS = Reading("unknown", None, ESTIMATED)


class Readings:
    """All readings that there are, numbered, of all ends of the estimates. left: pairs that take too many."""

    def __init__(self, pairs: Sequence[Pair]) -> None:
        self.pairs = pairs
        self.left: set[int] = set()
        self._ranges: list[Range] = []
        self._known: dict[Range, int] = {}
        self._between: dict[tuple[int, Pair], Between] = {}  # by unit, which each keeps
        self.races, self.depends, self.chatters = (
            self.number((bare(r),)) for r in (RACES, DEPENDS, CHATTERING)
        )

    def number(self, readings: Range) -> int:
        """The number of a range of readings: the nominal one, the lowest, the highest."""
        by_volts = sorted(readings, key=lambda r: r[1] or 0.0)
        unlike = {r[0]: r for r in readings}.values()
        kept = tuple(dict.fromkeys((readings[0], by_volts[0], by_volts[-1], *unlike)))
        if kept not in self._known:
            self._known[kept] = len(self._ranges)
            self._ranges.append(kept)
        return self._known[kept]

    def told(self) -> tuple[Reading, ...]:
        """By number, what is said: one reading, or that it is not decided."""
        ranges = ([Reading(*r) for r in each] for each in self._ranges)
        return tuple(agreed(each[0], each) for each in ranges)

    def nominal(self, number: int) -> Bare:
        """What is read where every estimate is nominal."""
        return self._ranges[number][0]

    def of_class(self, c: JointClass, side: str, k: int, called: str) -> Values | None:
        """Number of a reading -> settings, of a pair on one side; None where it takes too much.

        called: the side as the pairs call it; a unit alone is "before" there.
        """
        pair = self.pairs[k]
        if k in self.left or called not in pair.sides:
            return None
        try:
            return self._read(c.stands(side), c.reached, pair)
        except (NotHere, TooLarge):
            self.left.add(k)
            return None

    def _read(self, stands: Sequence[Stand], reached: int, pair: Pair) -> Values:
        if "short" in {s.end.kind for s in stands}:
            return {self.number((bare(SHORTED),)): reached}
        return self._agreed([self._at_end(s, pair) for s in stands], self.races)

    def _at_end(self, stand: Stand, pair: Pair) -> Values:
        """Of a set of positions that is never left, a reading that is the same in all of it."""
        return self._agreed([self._in_frame(stand, f, pair) for f in stand.frames()], self.chatters)

    def _agreed(self, rows: Sequence[Values], else_: int) -> Values:
        """One reading of several: where they differ, that it comes and goes if one does, or `else_`."""
        found = rows[0]
        for other in rows[1:]:
            found = joined(found, other, lambda one, two: self._of_two(one, two, else_))
        return found

    def _of_two(self, one: int, other: int, else_: int) -> int:
        return self.chatters if self.chatters in (one, other) else one if one == other else else_

    def _in_frame(self, stand: Stand, frame: Frame, pair: Pair) -> Values:
        ends, cubes = (pair.a, pair.b), frame.asker.cubes
        key = id(stand.unit), pair
        if key not in self._between:
            self._between[key] = Between(stand.unit, *ends)

        def answer(view: View) -> tuple[int]:
            known = cubes.get(("between", " ".join(ends)))
            if known is not None and known.count > MOST_NETWORKS:
                raise TooLarge(f"more than {MOST_NETWORKS} networks to read")
            return (self.number(of_ends(view, *ends)),)

        return {k: where for (k,), where in self._between[key].seen(frame, stand.mask, answer).items()}

    def blended(self, nominal: Values, other: Values, reached: int) -> Values:
        """Over one more end of the estimates; not decided where that one has no reading."""
        found = joined(nominal, other, lambda a, b: self.number((*self._ranges[a], *self._ranges[b])))
        rest = reached
        for where in found.values():
            rest &= ~where
        if rest:
            found[self.depends] = found.get(self.depends, 0) | rest
        return found


def of_ends(view: View, a: str, b: str) -> Range:
    """The reading of one network, and those at the other ends of the estimates that the probes touch."""
    scenario = view.plain.scenario
    fields = sorted({e.field for e in estimates_at(view, a, b)} - {f for f, end in scenario.items() if end})
    each = ({**scenario, **dict(zip(fields, ends, strict=True))} for ends in ends_of(len(fields)))
    return tuple(bare(of_view(view, a, b, s)) for s in each)


def joined(one: Values, other: Values, of: Callable[[int, int], int]) -> Values:
    """Where both have a value: what `of` makes of the two."""
    found: Values = {}
    for a, here in one.items():
        for b, there in other.items():
            if where := here & there:
                value = of(a, b)
                found[value] = found.get(value, 0) | where
    return found


def bare(reading: Reading) -> Bare:
    """Without what stands beside a reading; finer than a microvolt it is noise."""
    volts = None if reading.volts is None else round(reading.volts, 6)
    return reading.reads, volts, reading.remark, reading.fields
