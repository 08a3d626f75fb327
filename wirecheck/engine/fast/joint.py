"""Every reachable state of one unit or of two side by side, as classes with vectors of settings.

A class is one end of settling of the unit after with the ends of the unit before that match it, as in the
plain evaluator; its vectors hold the settings in which it is reached.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.delays import pending, run_out
from wirecheck.engine.fast.limits import KEPT_ALIKE, MOST_BYTES, TooLarge, held_by
from wirecheck.engine.fast.side import Stand

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.fast.settle import End, Masks, Settler
    from wirecheck.engine.fast.space import Space


class Key(Struct, frozen=True):
    """after: an end of the unit after; befores: those of the unit before that match it."""

    after: End
    befores: tuple[End, ...]
    chunk: int


class Came(Struct, frozen=True):
    """How settings came into a class: from another by a delay's running out, else by a move, or by power-up.

    leaving: the settings of `source` from which they came.
    """

    settings: int
    source: Key | None
    leaving: int
    delay: str | None


class Raced(Struct, frozen=True):
    """Settling that ended in more than one way: the settings, all ends, and whence it began as in `Came`."""

    chunk: int
    settings: int
    after: tuple[End, ...]
    before: tuple[End, ...]
    source: Key | None
    leaving: int
    delay: str | None


@dataclass
class Reached:
    """The classes reached: key -> settings; those of power-up; how they were reached."""

    classes: dict[Key, int] = field(default_factory=dict)
    power_up: dict[Key, int] = field(default_factory=dict)
    came: dict[Key, list[Came]] = field(default_factory=dict)
    races: list[Raced] = field(default_factory=list)


class Explore:
    """Walks what power-up and moves lead to."""

    def __init__(self, space: Space, after: Settler, before: Settler | None) -> None:
        self.space, self.after, self.before = space, after, before
        self.reached = Reached()
        self.queue: dict[Key, int] = {}
        self.bytes = 0
        self._kept: dict[tuple[int, End, End], int] = {}
        self.common: tuple[str, ...] = ()
        if before is not None:
            relays = before.unit.plain.circuit.relays
            self.common = tuple(r for r in after.unit.plain.circuit.relays if r in relays)

    def run(self) -> Reached:
        for chunk in self.space.chunks:
            mask = self.space.possible(chunk)
            if mask:
                for key, where in self._powered(chunk, mask):
                    self.reached.power_up[key] = self.reached.power_up.get(key, 0) | where
                    self._add(key, where, None, 0, None)
        if any(s.unit.tracked for s in (self.after, self.before) if s is not None):
            while self.queue:
                key, where = self.queue.popitem()
                self._leave(key, where)
        return self.reached

    def _powered(self, chunk: int, mask: int) -> Iterator[tuple[Key, int]]:
        ends = self.after.settle(self.after.cold(), chunk, mask)
        olds = {} if self.before is None else self.before.settle(self.before.cold(), chunk, mask)
        self._race(chunk, mask, ends, olds, (None, 0, None))
        yield from self._matched(chunk, mask, ends, olds)

    def _race(
        self,
        chunk: int,
        mask: int,
        ends: Masks,
        olds: Masks,
        came: tuple[Key | None, int, str | None],
    ) -> None:
        """Keep the settings in which settling ends in more than one way."""
        if len(ends) > 1 or len(olds) > 1:
            for after, here in split(mask, ends).items():
                for before, there in split(here, olds).items():
                    if len(after) > 1 or len(before) > 1:
                        self.reached.races.append(Raced(chunk, there, after, before, *came))

    def _add(self, key: Key, where: int, source: Key | None, leaving: int, delay: str | None) -> None:
        known = self.reached.classes.get(key, 0)
        new = where & (known ^ self.space.ones)
        if new:
            self.reached.classes[key] = known | new
            self.bytes += 3 * (self.space.size >> 3)  # the class, and how it was reached
            if self.bytes > MOST_BYTES:
                raise TooLarge(f"more than {MOST_BYTES >> 20} MB of states reached")
            self.reached.came.setdefault(key, []).append(Came(new, source, leaving, delay))
            self.queue[key] = self.queue.get(key, 0) | new

    # --- asked of afterwards -------------------------------------------------------------------------

    def powered(self, chunk: int) -> list[tuple[Key, int]]:
        """Where power-up leads, and in which settings of a chunk."""
        mask = self.space.possible(chunk)
        return list(self._powered(chunk, mask)) if mask else []

    def led(self, key: Key, chunk: int, mask: int, delay: str | None = None) -> list[tuple[Key, int]]:
        """Where a class leads when the setting becomes one of `mask`, or a delay runs out."""
        ends = self._ends(self.after, (key.after,), chunk, mask, delay)
        olds = {} if self.before is None else self._ends(self.before, key.befores, chunk, mask, delay)
        return list(self._matched(chunk, mask, ends, olds))

    def moved(self, key: Key, where: int) -> dict[int, int]:
        """Chunk -> the settings to which one move leads from some settings of a class."""
        found: dict[int, int] = {}
        for move in self.space.moves:
            chunk, to = self.space.moved(move, key.chunk, where)
            if to:
                found[chunk] = found.get(chunk, 0) | to
        return found

    def pending(self, key: Key) -> list[str]:
        """The delays that may run out in a class."""
        return self._pending(key)

    # --- the walk ------------------------------------------------------------------------------------

    def _leave(self, key: Key, where: int) -> None:
        """Every move from some settings of a class, at once: which one led where is told when it is asked."""
        for chunk, to in self.moved(key, where).items():
            self._go(key, chunk, to, where, None)
        for delay in self._pending(key):
            self._go(key, key.chunk, where, where, delay)

    def _pending(self, key: Key) -> list[str]:
        names: dict[str, None] = {}
        for settler, ends in ((self.after, (key.after,)), (self.before, key.befores)):
            if settler is not None:
                for state in (s for e in ends for s in e.members):
                    names |= dict.fromkeys(pending(settler.unit.plain, state))
        return list(names)

    def _go(self, key: Key, chunk: int, mask: int, leaving: int, delay: str | None) -> None:
        ends = self._ends(self.after, (key.after,), chunk, mask, delay)
        olds = {} if self.before is None else self._ends(self.before, key.befores, chunk, mask, delay)
        self._race(chunk, mask, ends, olds, (key, leaving, delay))
        for to, where in self._matched(chunk, mask, ends, olds):
            self._add(to, where, key, leaving, delay)

    def _ends(
        self, settler: Settler, froms: tuple[End, ...], chunk: int, mask: int, delay: str | None
    ) -> Masks:
        found: Masks = {}
        for state in (s for e in froms for s in e.members):
            start = run_out(settler.unit.plain, state, delay) if delay is not None else state
            for end, where in settler.settle(start, chunk, mask).items():
                found[end] = found.get(end, 0) | where
        return found

    # --- side by side ------------------------------------------------------------------------------

    def _matched(self, chunk: int, mask: int, ends: Masks, olds: Masks) -> Iterator[tuple[Key, int]]:
        """Each end after with those before in which the common relays stand alike, else with all."""
        if self.before is None:
            yield from ((Key(e, (), chunk), w) for e, w in ends.items())
            return
        for befores, there in split(mask, in_order(olds)).items():
            for end, where in ends.items():
                both = where & there
                if both and len(befores) <= 1:
                    yield Key(end, befores, chunk), both
                elif both:
                    same = {o: self._same(self.before, chunk, end, o) & both for o in befores}
                    yield from self._alike(chunk, end, befores, same, both)

    def _alike(
        self, chunk: int, end: End, befores: tuple[End, ...], same: Masks, mask: int
    ) -> Iterator[tuple[Key, int]]:
        for found, where in split(mask, same).items():
            yield Key(end, found or befores, chunk), where

    def _same(self, before: Settler, chunk: int, end: End, old: End) -> int:
        """Where the common relays stand alike. The ends of one chunk are held against each other often."""
        key = chunk, end, old
        if key not in self._kept:
            if held_by(len(self._kept), self.space.size) > KEPT_ALIKE:
                self._kept.clear()
            self._kept[key] = self._stand_alike(before, chunk, end, old)
        return self._kept[key]

    def _stand_alike(self, before: Settler, chunk: int, end: End, old: End) -> int:
        found = self.space.ones
        for name in self.common:
            mine = Stand(self.after, end, chunk, self.space.ones).relay(name)
            other = Stand(before, old, chunk, self.space.ones).relay(name)
            alike = 0
            for word, where in mine.items():
                alike |= where & other.get(word, 0)
            found &= alike
        return found


def in_order(ends: Masks) -> Masks:
    """Ends in an order of their own, not in that in which they were come to."""
    return dict(sorted(ends.items(), key=lambda e: (e[0].kind, e[0].members, sorted(e[0].supplies))))


def split(mask: int, sets: Masks) -> dict[tuple[End, ...], int]:
    """The settings of `mask` by which of the sets they are in."""
    found: dict[tuple[End, ...], int] = {(): mask}
    for end, where in sets.items():
        new: dict[tuple[End, ...], int] = {}
        for ends, there in found.items():
            inside = there & where
            if inside:
                new[*ends, end] = inside
            if there ^ inside:
                new[ends] = there ^ inside
        found = new
    return found
