"""Settling of one unit over vectors of settings: its tracked coils move one at a time, in any order.

A class is one position of the tracked coils and delays; its vector holds the settings that pass through it.
One evaluation of a class shows for all settings which coils want to move (speed.md section 3).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.engine.answers import Short
from wirecheck.engine.chatter import never_left
from wirecheck.engine.fast.frame import Frame
from wirecheck.engine.fast.kept import Kept
from wirecheck.engine.fast.limits import KEPT_BYTES, KEPT_WORDS, MOST_CLASSES, NotHere, TooLarge
from wirecheck.engine.fast.solve import Asker
from wirecheck.engine.fast.space import lowest

if TYPE_CHECKING:
    from wirecheck.engine.answers import State
    from wirecheck.engine.fast.potentials import Supplies
    from wirecheck.engine.fast.unit import Unit

Masks = dict["End", int]  # an end of settling -> the settings that come to it
Ends = dict[tuple["End", "State"], int]  # an end and the state in which it is met -> those settings


class End(Struct, frozen=True):
    """An end of settling, of the tracked coils: a rest, the states of a set never left, or after a short."""

    kind: Literal["rest", "short", "chatter"]
    members: tuple[State, ...]
    supplies: frozenset[str] = (
        frozenset()
    )  # of a short: those that are out; the members are where the rest settled


class Missing(Exception):
    """Coils that have to be followed through every order too. Carries them."""

    def __init__(self, coils: set[str]) -> None:
        self.coils = coils
        super().__init__(", ".join(sorted(coils)))


Values = dict[tuple["State", int], dict[int, int]]  # position and chunk -> node -> where it is true


class Settler:
    """Settles one unit; keeps what it has worked out of each start.

    values: the vectors of nodes in each frame, shared with settlers of the same program whose nodes mean the
    same.
    """

    def __init__(self, unit: Unit, values: Values | None = None) -> None:
        self.unit = unit
        self.values: Values = {} if values is None else values
        self.asker, size = Asker(unit), unit.space.size
        words = KEPT_WORDS * max(1, (1 << unit.space.bits) >> 20)
        self.kept = Kept(size, KEPT_BYTES, Frame.forget), Kept(size, words, Frame.forget_words)
        self.frames: dict[tuple[State, int], Frame] = {}
        self._done: dict[tuple[State, int], int] = {}
        self._ends: dict[tuple[State, int], Masks] = {}
        self._others: dict[Supplies, Settler] = {}

    def frame(self, state: State, chunk: int) -> Frame:
        key = (state, chunk)
        self.spare()
        if key not in self.frames:
            if len(self.frames) > MOST_CLASSES:
                raise TooLarge(f"more than {MOST_CLASSES} positions of relays that remember")
            values = self.values.setdefault(key, {})
            self.frames[key] = Frame(self.unit, self.asker, state, chunk, values, *self.kept)
        return self.frames[key]

    def spare(self) -> None:
        """Let go of what can be worked out again, where it has grown large."""
        for kept in self.kept:
            kept.spare()

    def of(self, supplies: Supplies) -> Settler:
        """The settler of the same circuit with these supplies put out by a short."""
        if not supplies - self.unit.dead:
            return self
        if supplies not in self._others:
            unit = self.unit.without(supplies)
            if unit.tracked - self.unit.tracked:
                raise Missing(set(unit.tracked))
            unit.track(self.unit.tracked)
            self._others[supplies] = Settler(unit)
        return self._others[supplies]

    def cold(self) -> State:
        return self.unit.plain.cold()

    def settle(self, start: State, chunk: int, mask: int) -> Masks:
        """Every end of settling from `start` in the settings of `mask`."""
        key = (start, chunk)
        new = mask & (self._done.get(key, 0) ^ self.unit.space.ones)
        known = self._ends.setdefault(key, {})
        if new:
            self._done[key] = self._done.get(key, 0) | new
            for end, where in self._settled(start, chunk, new).items():
                known[end] = known.get(end, 0) | where
        return {e: w for e, where in known.items() if (w := where & mask)}

    def _settled(self, start: State, chunk: int, mask: int) -> Masks:
        passed: dict[State, int] = {}
        steps: dict[State, dict[State, int]] = {}
        ends: Ends = {}
        new = {start: mask}
        while new:
            state, where = new.popitem()
            where &= passed.get(state, 0) ^ self.unit.space.ones
            if not where:
                continue
            passed[state] = passed.get(state, 0) | where
            for to, some in self._step(state, chunk, where, ends, steps).items():
                new[to] = new.get(to, 0) | some
        self._chatter(passed, steps, ends)
        found: Masks = {}
        for (end, _), where in ends.items():
            found[end] = found.get(end, 0) | where
        return found

    def _step(
        self, state: State, chunk: int, where: int, ends: Ends, steps: dict[State, dict[State, int]]
    ) -> dict[State, int]:
        """Ends of one class, and where its coils move on to."""
        frame = self.frame(state, chunk)
        for supplies, shorted in frame.shorts().items():
            if shorted & where:
                self._shorted(state, supplies, chunk, shorted & where, ends)
                where &= shorted ^ self.unit.space.ones
        rest, moves = where, {}
        ways = steps.setdefault(state, {})
        for coil, wanted in frame.wants().items():
            some = wanted & where
            if some:
                to = self.unit.plain.moved(state, self.unit.plain.coils[coil])
                ways[to] = ways.get(to, 0) | some
                moves[to] = some
                rest &= some ^ self.unit.space.ones
        if rest:
            self._add(ends, state, "rest", (state,), rest)
        return moves

    def _add(
        self, ends: Ends, at: State, kind: Literal["rest", "chatter"], members: tuple[State, ...], where: int
    ) -> None:
        """After a short the end is one whatever becomes of the rest."""
        end = End("short" if self.unit.dead else kind, members, self.unit.dead)
        ends[end, at] = ends.get((end, at), 0) | where

    def _shorted(self, state: State, supplies: Supplies, chunk: int, where: int, ends: Ends) -> None:
        """A short: its supplies are out, their relays too; what hangs on others settles on."""
        if not supplies - self.unit.dead:
            raise NotHere("a short of supplies that are out")
        released = self.unit.plain.released(state, Short((), supplies))
        for end, some in self.of(supplies).settle(released, chunk, where).items():
            ends[end, state] = ends.get((end, state), 0) | some

    def _chatter(self, passed: dict[State, int], steps: dict[State, dict[State, int]], ends: Ends) -> None:
        """Adds the sets that are never left, of the settings in which no end is reached from some state."""
        stuck = self._stuck(passed, steps, ends)
        left = 0
        for where in stuck.values():
            left |= where
        while left:
            alike, found = self._example(lowest(left), left, stuck, steps)
            left &= alike ^ self.unit.space.ones
            for members in found:
                self._add(ends, members[0], "chatter", members, alike)
                self._check(members)

    def _stuck(
        self, passed: dict[State, int], steps: dict[State, dict[State, int]], ends: Ends
    ) -> dict[State, int]:
        """State -> the settings in which no end is reached from it."""
        can: dict[State, int] = {}
        back: dict[State, list[tuple[State, int]]] = {}
        for state, ways in steps.items():
            for to, where in ways.items():
                back.setdefault(to, []).append((state, where))
        for (_, state), where in ends.items():
            can[state] = can.get(state, 0) | where
        if all(can.get(s, 0) == w for s, w in passed.items()):
            return {}
        queue = list(can)
        while queue:
            state = queue.pop()
            for came, where in back.get(state, ()):
                more = where & can[state] & (can.get(came, 0) ^ self.unit.space.ones)
                if more:
                    can[came] = can.get(came, 0) | more
                    queue.append(came)
        return {s: w for s, where in passed.items() if (w := where & (can.get(s, 0) ^ self.unit.space.ones))}

    def _example(
        self, at: int, left: int, stuck: dict[State, int], steps: dict[State, dict[State, int]]
    ) -> tuple[int, list[tuple[State, ...]]]:
        """The settings that are stuck in the same way as setting `at`, and the sets never left there."""
        ones = self.unit.space.ones
        alike, graph = left, {}
        for state, where in stuck.items():
            here = where >> at & 1
            alike &= where if here else where ^ ones
            if here:
                graph[state] = [t for t, w in steps.get(state, {}).items() if w >> at & 1]
        for state in graph:
            for where in steps.get(state, {}).values():
                alike &= where if where >> at & 1 else where ^ ones
        return alike, never_left(graph, set())

    def _check(self, members: tuple[State, ...]) -> None:
        """A coil that reads one that chatters has to be followed too."""
        coils = self.unit.plain.coils
        moving = {i for i, k in coils.items() if len({m[0][k] for m in members}) > 1}
        loose = self.unit.read_from(moving) - self.unit.tracked
        if loose:
            raise Missing(loose)
