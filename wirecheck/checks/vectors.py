"""Questions asked of all settings at once: how the fast evaluator picks states out.

The words of a state that it picks are the plain evaluator's, and the way to it is walked again there before
anyone sees it (`confirm`).
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.case import Told, ends_in_order, in_order
from wirecheck.checks.raced import telling
from wirecheck.engine.answers import UNKNOWN, Words
from wirecheck.engine.fast.limits import KEPT_BYTES
from wirecheck.engine.fast.replay import Disagreement
from wirecheck.engine.judge import missing
from wirecheck.engine.question import (
    And,
    At,
    CoilVolts,
    DelayAt,
    Fed,
    Heats,
    Lies,
    Live,
    Not,
    Or,
    RelayAt,
    SameWord,
    Shorted,
    Word,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from wirecheck.engine.answers import Bits
    from wirecheck.engine.fast.pair import FastPair, JointClass, Stand
    from wirecheck.engine.plain.explore import Explorer, Joint, Race
    from wirecheck.engine.question import Question, Side

Hit = tuple["JointClass", int]  # a class and settings in it


class Vectors:
    """The reachable states of a pair, or of one unit, as classes with vectors of settings.

    Every method may raise NotHere or TooLarge: then ask the plain evaluator.
    """

    def __init__(self, fast: FastPair) -> None:
        self.fast = fast
        self._held: dict[tuple[Question, bool], list[Hit]] = {}
        self._bytes = 0

    @property
    def explorer(self) -> Explorer:
        """Walks on the plain evaluator from the states picked out; nothing else is walked."""
        return self.fast.explorer

    @property
    def count(self) -> int:
        """How many joint states are reachable."""
        return self.fast.count

    @property
    def remembers(self) -> bool:
        """Do moves lead to a state that power-up does not?"""
        reached = self.fast.reached
        return any(reached.classes[k] != reached.power_up.get(k, 0) for k in reached.classes)

    def where(self, question: Question) -> Iterator[Joint]:
        """The states in which a question holds, those nearest to ordinary operation first."""
        return self._nearest(self.hits(question, by_some=False))

    def exists(self, question: Question, every_outcome: bool = False) -> bool:
        """Does a question hold in some state, against some outcome before, or against every one?"""
        return bool(self.hits(question, by_some=not every_outcome))

    def distinct(self, question: Question) -> Iterator[Joint]:
        """As `where`, but of states that differ in the value of a quantity alone, the nearest one."""
        return self._nearest(self.hits(question, by_some=False), alike=True)

    def positions(self, question: Question, places: tuple[int, ...]) -> set[Bits]:
        """Where these variables stand in the states in which a question holds by some outcome before."""
        return self._bits(by_chunk(self.hits(question, by_some=True)), places)

    def told_apart(self, question: Question, places: tuple[int, ...]) -> tuple[set[Bits], set[Bits]]:
        """Where these variables stand where a question holds, and where not, by some outcome before.

        A variable on which it does not depend stands at rest in all of them.
        """
        where, where_not = (by_chunk(self.hits(q, by_some=True)) for q in (question, Not(question)))
        for k in places:
            self._settle_out(k, where, where_not)
        return self._bits(where, places), self._bits(where_not, places)

    def _settle_out(self, k: int, *masks: dict[int, int]) -> None:
        """Leave the settings with one variable at rest, where all is the same with it moved."""
        space = self.fast.space
        halves = [space.halves(k, m) for m in masks]
        if all(half is not None and half[0] == half[1] for half in halves):
            for mask, half in zip(masks, halves, strict=True):
                if half is not None:
                    mask.clear()
                    mask.update(half[0])

    def _bits(self, where: dict[int, int], places: tuple[int, ...]) -> set[Bits]:
        space, found = self.fast.space, set()
        for chunk, mask in where.items():
            for index in ones(mask):
                bits = space.setting((chunk << space.low) + index).bits
                found.add(tuple(bits[k] for k in places))
        return found

    def trace(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a joint state as first found. Raises KeyError, Disagreement."""
        for c, index in self._holding(joint):
            way = c.trace(index)
            if way[-1][1] == joint:
                return way
        raise KeyError(joint)

    def confirm(self, joint: Joint) -> None:
        """Walk the way to a state that was only looked at. Raises Disagreement."""
        for c, index in self._holding(joint):
            if c.look(index) == joint and c.joint(index) != joint:
                raise Disagreement((f"to {joint.setting}",))

    def _holding(self, joint: Joint) -> Iterator[tuple[JointClass, int]]:
        """The classes that are reached in the setting of a state."""
        index = self.fast.index_of(joint.setting)
        for c in self.fast.classes:
            if index >> self.fast.space.low == c.key.chunk and c.reached >> (index - c.first) & 1:
                yield c, index

    def told(self) -> Iterator[Told]:
        """Every state of the one unit in words, in no order; a shorted one is walked again for its way."""
        circuit = self.fast.units["after"].plain.circuit
        names = circuit.load_names
        for c in self.fast.classes:
            loads = {n: c.word("after", n) for n in names}
            relays = {r: c.relay("after", r) for r in circuit.relays}
            delays = {d: c.delay("after", d) for d in circuit.delays}
            for k in ones(c.reached):
                words = Words(
                    at(loads, k), at(relays, k), {d: bool(w >> k & 1) for d, w in delays.items()}, {}
                )
                if c.shorted("after") >> k & 1:
                    short = c.joint(c.first + k).after.short
                    path = short.path if short is not None else ()
                    yield Told(self.fast.setting(c.first + k), words, bool(c.power_up >> k & 1), path)
                else:
                    yield Told(self.fast.setting(c.first + k), self._why(words), bool(c.power_up >> k & 1))

    def _why(self, words: Words) -> Words:
        """With the fields that would decide the unknown ones."""
        loads = self.fast.units["after"].plain.circuit.loads
        why = {n: missing(loads[n]) for n, w in words.loads.items() if w == UNKNOWN and n in loads}
        return replace(words, why=why) if why else words

    def races(self, renamed: Mapping[str, str]) -> list[Race]:
        """The nearest race that decides each load's word and did not before, and the nearest other one.

        renamed: load before -> its name after. Walked on the plain evaluator.
        """
        for raced, index in telling(self.fast, renamed):
            self.fast.race_again(raced, index)
        return self.explorer.races

    # --- questions -----------------------------------------------------------------------------------

    def hits(self, question: Question, by_some: bool) -> list[Hit]:
        """The settings of each class in which a question holds, against every or some outcome before."""
        key = question, by_some
        if key not in self._held:
            each = ((c, self._in_class(question, c, by_some)) for c in self.fast.in_turn())
            found = [(c, where) for c, where in each if where]
            self._keep(key, found)
            return found
        return self._held[key]

    def _keep(self, key: tuple[Question, bool], found: list[Hit]) -> None:
        """Keep an answer; where all that is kept has grown large, that one alone."""
        self._bytes += len(found) * (self.fast.space.size >> 3)
        if self._bytes > KEPT_BYTES:
            self._held.clear()
            self._bytes = len(found) * (self.fast.space.size >> 3)
        self._held[key] = found

    def _in_class(self, question: Question, c: JointClass, by_some: bool) -> int:
        befores: tuple[Stand | None, ...] = c.stands("before") if "before" in self.fast.units else (None,)
        after = c.stands("after")[0]
        each = [self._holds(question, c, after, before) for before in befores]
        found = 0 if by_some else c.reached
        for where in each:
            found = found | where if by_some else found & where
        return found & c.reached

    def _holds(self, question: Question, c: JointClass, after: Stand, before: Stand | None) -> int:
        match question:
            case Not(part):
                return c.reached ^ (self._holds(part, c, after, before) & c.reached)
            case And(parts):
                found = c.reached
                for p in parts:
                    if not found:
                        break
                    found &= self._holds(p, c, after, before)
                return found
            case Or(parts):
                found = 0
                for p in parts:
                    found |= self._holds(p, c, after, before)
                return found
            case SameWord(old, new):
                if before is None:
                    return 0
                shorted = before.end.supplies or after.end.supplies
                if not shorted and self.fast.decided_alike(old, new):
                    return c.reached
                return same(before.load(old), after.load(new))
            case Lies(quantity, above, value):
                return self.fast.space.lies(quantity, above, value, c.key.chunk)
            case At(side, name, moved):
                there = self._position(side, name, c)
                return there if moved else c.reached ^ (there & c.reached)
        stand = after if question.side == "after" else before
        return 0 if stand is None else of_stand(question, stand, c)

    def _position(self, side: Side, name: str, c: JointClass) -> int:
        world = self.fast.world
        circuit = world.after if side == "after" else world.before
        if circuit is None:
            return 0
        return self.fast.space.position(circuit, name, c.key.chunk)

    # --- nearest first -------------------------------------------------------------------------------

    def _nearest(self, hits: list[Hit], alike: bool = False) -> Iterator[Joint]:
        space = self.fast.space
        levels: dict[int, list[Hit]] = {}
        for c, where in hits:
            for count, level in space.levels(c.key.chunk, where):
                levels.setdefault(count, []).append((c, level))
        seen: set[object] = set()
        for count in sorted(levels):
            hits_here = [(c, c.first + k) for c, where in levels[count] for k in ones(where)]
            entries = [(space.setting(index), c, index) for c, index in hits_here]
            entries.sort(key=lambda e: in_order(e[0]))
            for setting, same_setting in groupby(entries, key=lambda e: e[0]):
                new = []
                for _, c, index in same_setting:
                    key = (c.key.after, c.key.befores, setting.bits)
                    if not (alike and key in seen):
                        seen.add(key)
                        new.append(c.look(index))
                yield from sorted(new, key=ends_in_order)


def by_chunk(hits: list[Hit]) -> dict[int, int]:
    """The settings of each chunk."""
    found: dict[int, int] = {}
    for c, where in hits:
        found[c.key.chunk] = found.get(c.key.chunk, 0) | where
    return found


def of_stand(
    question: Word | RelayAt | CoilVolts | DelayAt | Shorted | Live | Fed | Heats, stand: Stand, c: JointClass
) -> int:
    """Where a question about one unit holds."""
    match question:
        case Word(_, load, words):
            return picked(stand.load(load), words)
        case RelayAt(_, relay, words):
            return picked(stand.relay(relay), words)
        case CoilVolts(_, relay, words):
            return picked(stand.coil_volts(relay), words)
        case DelayAt(_, delay, moved):
            known = delay in stand.unit.plain.circuit.delays
            there = stand.delay(delay) if known else 0
            return there if moved else c.reached ^ (there & c.reached)
        case Shorted():
            return stand.shorted
        case Live(_, terminal):
            return stand.live(terminal)
        case Fed(_, name, through):
            return stand.fed(name, through)
        case Heats(_, load):
            return stand.heats(load)


def at(found: dict[str, dict[str, int]], k: int) -> dict[str, str]:
    """The words of setting k. found: name -> word -> settings."""
    return {n: next(w for w, where in words.items() if where >> k & 1) for n, words in found.items()}


def picked(found: dict[str, int], words: Iterable[str]) -> int:
    """The settings that have one of these words."""
    where = 0
    for w in words:
        where |= found.get(w, 0)
    return where


def same(old: dict[str, int], new: dict[str, int]) -> int:
    """The settings in which both have the same word."""
    found = 0
    for w, where in old.items():
        found |= where & new.get(w, 0)
    return found


def ones(where: int) -> Iterator[int]:
    """The numbers of the 1s, lowest first."""
    text = bin(where)[:1:-1]
    at = text.find("1")
    while at >= 0:
        yield at
        at = text.find("1", at + 1)
