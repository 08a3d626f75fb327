"""A unit, or a unit before and after a change, over all settings at once: what checks ask."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from wirecheck.circuit.elements import Estimate
from wirecheck.engine.fast import side as sides
from wirecheck.engine.fast.joint import Explore, Key, Reached
from wirecheck.engine.fast.settle import Missing, Settler
from wirecheck.engine.fast.space import Space
from wirecheck.engine.fast.table import Table
from wirecheck.engine.fast.unit import Unit
from wirecheck.engine.plain.evaluator import Plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Outcome
    from wirecheck.engine.fast.frame import Words
    from wirecheck.engine.fast.settle import End
    from wirecheck.engine.plain.explore import Joint
    from wirecheck.engine.world import Setting, World

Side = Literal["before", "after"]


class FastPair:
    """The reachable joint states of a changed unit, or of one unit alone (before None).

    Raises NotHere, TooLarge: then ask the plain evaluator.
    """

    def __init__(
        self, after: Circuit, before: Circuit | None, world: World, scenario: Mapping[str, int] | None = None
    ) -> None:
        self.world, self.scenario = world, dict(scenario or {})
        self.space = Space(world)
        self.table = Table()
        self.units = {"after": self._unit("after", after)}
        if before is not None:
            self.units["before"] = self._unit("before", before)
        self.reached = self._explored()

    def _unit(self, side: str, circuit: Circuit) -> Unit:
        return Unit(side, self.table, self.space, Plain(circuit, self.scenario))

    def _explored(self) -> Reached:
        """Explore; where a relay proves to need every order, follow it too and begin anew."""
        while True:
            self.settlers = {s: Settler(u) for s, u in self.units.items()}
            try:
                return Explore(self.space, self.settlers["after"], self.settlers.get("before")).run()
            except Missing as missing:
                for unit in self.units.values():
                    unit.track(missing.coils & set(unit.coils))

    @cached_property
    def classes(self) -> list[JointClass]:
        """Every class of every chunk of settings."""
        return [JointClass(self, key) for key in self.reached.classes]

    @property
    def sensitive(self) -> dict[str, Estimate]:
        """The estimates on which some decision depends."""
        found: dict[str, Estimate] = {}
        for unit in self.units.values():
            found |= unit.plain.sensitive
            for doubts in unit.doubtful:
                found |= doubts
        for c in self.classes:
            found |= c.doubts()
        return found

    def setting(self, index: int) -> Setting:
        return self.space.setting(index)

    def index_of(self, setting: Setting) -> int:
        return self.space.index_of(setting)


@dataclass(frozen=True)
class JointClass:
    """One end of settling after with its ends before, over one chunk: bit k of a vector is setting `first` + k."""

    pair: FastPair
    key: Key

    @property
    def first(self) -> int:
        """The number of the setting of bit 0."""
        return self.key.chunk << self.pair.space.low

    @property
    def reached(self) -> int:
        """The settings in which it is reached."""
        return self.pair.reached.classes[self.key]

    @property
    def power_up(self) -> int:
        """Those in which power-up leads to it."""
        return self.pair.reached.power_up.get(self.key, 0)

    def ends(self, side: Side) -> tuple[End, ...]:
        return (self.key.after,) if side == "after" else self.key.befores

    def each_word(self, side: Side, load: str) -> list[Words]:
        """Word -> settings, of a load or a motor's tap, for each end of that side."""
        return [self._cut(sides.load(self.pair.settlers[side], e, self.key.chunk, load)) for e in self.ends(side)]

    def word(self, side: Side, load: str) -> Words:
        """Word -> the settings in which some end of that side says so."""
        return joined(self.each_word(side, load))

    def each_relay(self, side: Side, relay: str) -> list[Words]:
        settler = self.pair.settlers[side]
        return [self._cut(sides.relay(settler, e, self.key.chunk, relay)) for e in self.ends(side)]

    def relay(self, side: Side, relay: str) -> Words:
        """in, out or chatters -> settings."""
        return joined(self.each_relay(side, relay))

    def delay(self, side: Side, name: str) -> int:
        """The settings in which a delay is moved."""
        moved = any(sides.delay(self.pair.settlers[side], e, name) for e in self.ends(side))
        return self.reached if moved else 0

    def shorted(self, side: Side) -> int:
        return self.reached if any(e.kind == "short" for e in self.ends(side)) else 0

    def _cut(self, words: Words) -> Words:
        return {w: v for w, where in words.items() if (v := where & self.reached)}

    def doubts(self) -> dict[str, Estimate]:
        """The estimates that would change a word by logic here."""
        found: dict[str, Estimate] = {}
        for side in self.pair.units:
            for end in self.ends(side):  # type: ignore[arg-type]
                if end.kind != "short":
                    found |= self._doubts(side, end)
        return found

    def _doubts(self, side: str, end: End) -> dict[str, Estimate]:
        settler = self.pair.settlers[side]
        found: dict[str, Estimate] = {}
        for load in settler.unit.loads.values():
            for node, doubts in load.doubts:
                for frame in sides.frames(settler, end, self.key.chunk):
                    if frame.value(node) & self.reached:
                        found |= doubts
        return found


def joined(each: list[Words]) -> Words:
    """The settings of each word in some of these."""
    found: Words = {}
    for words in each:
        for word, where in words.items():
            found[word] = found.get(word, 0) | where
    return found


