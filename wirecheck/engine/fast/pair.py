"""A unit, or a unit before and after a change, over all settings at once: what checks ask.

The networks and volts of single positions are those of `Solver`, which both evaluators stand on. Here the
solver of each unit is a plain evaluator, for counterexamples are walked again on it (`replay`): these two
modules, and no others of this folder, know the plain evaluator.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.engine.fast.beside import Beside, Known
from wirecheck.engine.fast.joint import Explore, Key, Raced, Reached
from wirecheck.engine.fast.limits import MOST_SHARED
from wirecheck.engine.fast.replay import replay, unwalked
from wirecheck.engine.fast.settle import Missing, Settler
from wirecheck.engine.fast.side import Stand
from wirecheck.engine.fast.space import Space, lowest
from wirecheck.engine.fast.table import FALSE, InputBit, Table
from wirecheck.engine.fast.unit import Unit
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer, runs_out

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.fast.frame import Words
    from wirecheck.engine.fast.settle import End
    from wirecheck.engine.fast.words import LoadWords
    from wirecheck.engine.plain.explore import Joint
    from wirecheck.engine.world import Setting, World

Side = Literal["before", "after"]


class FastPair:
    """The reachable joint states of a changed unit, or of one unit alone (before None).

    Raises NotHere, TooLarge, also when words are asked of it: then ask the plain evaluator.
    """

    space: Space
    table: Table
    beside: Beside
    reached: Reached

    def __init__(
        self, after: Circuit, before: Circuit | None, world: World, scenario: Mapping[str, int] | None = None
    ) -> None:
        plain = None if before is None else Plain(before, scenario)
        self._build(Plain(after, scenario), plain, world)

    @classmethod
    def of(cls, after: Plain, before: Plain | None, world: World, like: FastPair | None = None) -> FastPair:
        """The same beside two plain evaluators, which solve networks for it and walk its ways again.

        like: a pair with the same unit before and the same settings: what is known of these is not worked
        out again.
        """
        found = cls.__new__(cls)
        found._build(after, before, world, like)
        return found

    def _build(self, after: Plain, before: Plain | None, world: World, like: FastPair | None = None) -> None:
        self.world = world
        self.settlers: dict[str, Settler] = {}
        self._alike: dict[tuple[str, str], bool] = {}
        if like is not None and before is not None and like._begins_like(before, world):
            self.space, self.table, self.beside = like.space.of(world), like.table, like.beside
            self.settlers["before"] = like.settlers["before"]
        else:
            self.space, self.table, self.beside = Space(world), Table(), Beside()
            if before is not None:
                self.settlers["before"] = Settler(Unit("before", self.table, self.space, before))
        unit = Unit("after", self.table, self.space, after)
        self.settlers["after"] = Settler(unit, self.beside.values(unit))
        self.reached = self.beside.reached(unit, self.settlers.get("before")) or self._explored()
        if before is not None:
            mine = self.settlers["after"]
            self.beside.keep(Known(mine.unit, mine.values, self.settlers["before"], self.reached))
        self.explorer = Explorer(world, after, before)

    def _begins_like(self, before: Plain, world: World) -> bool:
        """Is this the unit before, under the same settings, in a program that has not grown large?"""
        mine = self.units.get("before")
        same = mine is not None and mine.plain is before and self.world.same_settings(world)
        return same and len(self.table.op) < MOST_SHARED

    @property
    def units(self) -> dict[str, Unit]:
        """The units as they are followed."""
        return {side: s.unit for side, s in self.settlers.items()}

    def _explored(self) -> Reached:
        """Explore; where a relay proves to need every order, follow it too and begin anew."""
        while True:
            try:
                return Explore(self.space, self.settlers["after"], self.settlers.get("before")).run()
            except Missing as missing:
                for side, unit in self.units.items():
                    self.settlers[side] = Settler(unit.following(missing.coils & set(unit.coils)))

    @cached_property
    def classes(self) -> list[JointClass]:
        """Every class of every chunk of settings."""
        return [JointClass(self, key) for key in self.reached.classes]

    def in_turn(self) -> Iterator[JointClass]:
        """Every class; what was worked out for those before is let go of where it has grown large."""
        for c in self.classes:
            for settler in self.settlers.values():
                settler.spare()
            yield c

    @property
    def ways(self) -> Explore:
        """Where moves, delays and power-up lead from any class."""
        return Explore(self.space, self.settlers["after"], self.settlers.get("before"))

    @property
    def count(self) -> int:
        """How many joint states are reachable."""
        return sum(where.bit_count() for where in self.reached.classes.values())

    @property
    def races(self) -> list[Raced]:
        """Settling that ended in more than one way."""
        return self.reached.races

    def stands_of(self, raced: Raced, side: str) -> list[Stand]:
        """What one unit shows at each end of a race, but after a short."""
        ends = raced.after if side == "after" else raced.before
        settler = self.settlers.get(side)
        rests = [e for e in ends if e.kind != "short"] if settler is not None else []
        return [Stand(self.settlers[side], e, raced.chunk, raced.settings) for e in rests]

    def race_again(self, raced: Raced, index: int) -> None:
        """Let the plain evaluator run this race: it keeps it among its own. Raises Disagreement."""
        if raced.source is None:
            self.explorer.powered(self.setting(index))
        else:
            words, start = runs_out(raced.delay or ""), index
            if raced.delay is None:
                words, start = self.space.origin(index, raced.source.chunk, raced.leaving)
            self.explorer.led(JointClass(self, raced.source).joint(start), words, self.setting(index))

    def decided_alike(self, old: str, new: str) -> bool:
        """Do inputs alone decide a load, by the same nodes before and after? Of states without a short."""
        if (old, new) not in self._alike:
            was, now = self.units["before"].loads.get(old), self.units["after"].loads.get(new)
            self._alike[old, new] = was is not None and now is not None and self._by_inputs(was, now)
        return self._alike[old, new]

    def _by_inputs(self, was: LoadWords, now: LoadWords) -> bool:
        if was.ask != FALSE or now.ask != FALSE or was.words != now.words:
            return False
        inputs = sum(1 << k for k, name in enumerate(self.table.names) if isinstance(name, InputBit))
        return all(self.table.reads[node] & ~inputs == 0 for node in now.words.values())

    @property
    def sensitive(self) -> dict[str, Estimate]:
        """The estimates on which some decision depends: all that `Plain.sensitive` has, seldom more."""
        found: dict[str, Estimate] = {}
        for unit in self.units.values():
            found |= unit.plain.sensitive
            for doubts in unit.doubtful:
                found |= doubts
        for stand in (s for c in self.classes for side in self.units for s in c.stands(side)):
            found |= stand.doubts()
        return found

    # --- settings --------------------------------------------------------------------------------------

    def setting(self, index: int) -> Setting:
        return self.space.setting(index)

    def index_of(self, setting: Setting) -> int:
        return self.space.index_of(setting)


class JointClass(Struct, frozen=True, dict=True):
    """One end of settling after with its ends before, over one chunk. Bit k of a vector: setting `first` + k.

    Where the unit before races there may be several ends before; its words are those of some of them.
    """

    pair: FastPair
    key: Key

    @property
    def first(self) -> int:
        """The number of the setting of bit 0."""
        return self.key.chunk << self.pair.space.low

    @cached_property
    def reached(self) -> int:
        """The settings in which it is reached."""
        return self.pair.reached.classes[self.key]

    @property
    def power_up(self) -> int:
        """Those in which power-up leads to it."""
        return self.pair.reached.power_up.get(self.key, 0)

    def stands(self, side: str) -> tuple[Stand, ...]:
        """The ends of one side: one after; before one, or several where it races."""
        return self._after if side == "after" else self._befores

    @cached_property
    def _after(self) -> tuple[Stand, ...]:
        return self._stands("after", (self.key.after,))

    @cached_property
    def _befores(self) -> tuple[Stand, ...]:
        return self._stands("before", self.key.befores)

    def _stands(self, side: str, ends: tuple[End, ...]) -> tuple[Stand, ...]:
        return tuple(Stand(self.pair.settlers[side], e, self.key.chunk, self.reached) for e in ends)

    def word(self, side: Side, load: str) -> Words:
        """Word -> settings, of a load or a motor's tap."""
        return joined(s.load(load) for s in self.stands(side))

    def relay(self, side: Side, relay: str) -> Words:
        """in, out or chatters -> settings."""
        return joined(s.relay(relay) for s in self.stands(side))

    def coil_volts_word(self, side: Side, relay: str) -> Words:
        """on, weak, over or off -> settings, by the volts across a relay's coil."""
        return joined(s.coil_volts(relay) for s in self.stands(side))

    def delay(self, side: Side, name: str) -> int:
        """The settings in which a delay is moved."""
        return some(s.delay(name) for s in self.stands(side))

    def shorted(self, side: Side) -> int:
        return some(s.shorted for s in self.stands(side))

    def trace(self, index: int) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a setting of this class, walked on the plain evaluator.

        Raises Disagreement where that one does not come here.
        """
        return replay(self.pair, self.key, index)

    def joint(self, index: int) -> Joint:
        """The same state of the plain evaluator. Raises Disagreement."""
        return self.trace(index)[-1][1]

    def look(self, index: int) -> Joint:
        """The same state to look at, walked on the plain evaluator only where that tells more: not a rest."""
        return unwalked(self.pair, self.key, index) or self.joint(index)


def joined(each: Iterable[Words]) -> Words:
    """The settings of each word in some of these."""
    found: Words = {}
    for words in each:
        for word, where in words.items():
            found[word] = found.get(word, 0) | where
    return found


def differing(each: list[Words], where: int) -> int:
    """The settings in which not all have the same word."""
    alike = 0
    for word, there in each[0].items() if each else ():
        for other in each[1:]:
            there &= other.get(word, 0)
        alike |= there
    return where & ~alike


def some(each: Iterable[int]) -> int:
    found = 0
    for where in each:
        found |= where
    return found


__all__ = ["FastPair", "JointClass", "Side", "Stand", "lowest"]
