"""What moves a pressure, told by the unit's own switches, and whether a move of it comes about by itself.

A control or protection stops what drives its quantity: a high-pressure cutout the compressor, whose running
raises the pressure, a fan's pressure switch the fan, whose running lowers it. So a load that a switch stops
by standing as it does far up drives the quantity up, and so with down. Once that stops, a pressure goes back
to where it lies in operation. Temperatures and levels may move at any time: weather, or a hand at the sensor
(ice, warm water, a float lifted). Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.circuit.elements import Motor
from wirecheck.engine.answers import OFF, ON, RUNS
from wirecheck.engine.delays import pending, run_out
from wirecheck.engine.world import Setting
from wirecheck.quantity import unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.answers import Bits, Outcome, Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.world import World

NEAR = 2  # moves from ordinary operation within which a load is looked for that runs

How = Literal["by hand", "driven", "back", "forced"]


class Moved(Struct, frozen=True):
    """A quantity that moves, and how that comes about.

    "by hand" is also time or weather; "driven" by what runs, of which `by` is told by the switches; "back" to
    where it lies in operation; "forced" where nothing that runs drives it there.
    """

    quantity: str
    up: bool
    how: How
    by: tuple[str, ...] = ()


@dataclass
class Driven:
    """The drivers of every pressure of a unit, told from the unit as it should be."""

    right: Plain
    world: World

    @cached_property
    def homes(self) -> tuple[int, ...]:
        return homes(self.world)

    @cached_property
    def pressures(self) -> frozenset[int]:
        """The quantities, by number, that only what runs can move."""
        kinds = [unit(self.world.after.quantities[q].unit).kind for q in self.world.quantities]
        return frozenset(k for k, kind in enumerate(kinds) if kind == "pressure")

    @cached_property
    def drivers(self) -> dict[tuple[int, bool], frozenset[str]]:
        """(quantity, up) -> the loads that a switch of it stops by standing as it does far there."""
        running = self._running() if self.pressures else {}
        return {
            (q, up): frozenset(n for n, at in running.items() if any(self._stops(q, up, n, *e) for e in at))
            for q in self.pressures
            for up in (False, True)
        }

    def _running(self) -> dict[str, list[tuple[Bits, Outcome]]]:
        """Load -> the states nearest to ordinary operation in which it runs: at once, and after delays."""
        found: dict[tuple[str, int], tuple[Bits, Outcome]] = {}
        for setting in near(self.world, ordinary_setting(self.world, self.homes), NEAR):
            bits = self.world.inputs(True, setting)
            for late, outcome in self._settled(bits):
                for name in runs(self.right.words(bits, outcome)):
                    found.setdefault((name, late), (bits, outcome))
        return {n: [e for (name, _), e in found.items() if name == n] for n, _ in found}

    def _settled(self, bits: Bits) -> Iterator[tuple[int, Outcome]]:
        """Where power-up leads, and where each delay that then runs out does, with how many have."""
        outcomes = self.right.settle(bits, self.right.cold())
        for late in range(len(self.right.circuit.delays) + 1):
            yield from ((late, o) for o in outcomes)
            waits = [(s, d) for o in outcomes for s in o.onward for d in pending(self.right, s)]
            ends = (o for s, d in waits for o in self.right.settle(bits, run_out(self.right, s, d)))
            outcomes = tuple(dict.fromkeys(ends))

    def _stops(self, q: int, up: bool, load: str, bits: Bits, outcome: Outcome) -> bool:
        """Does some switch of a quantity, put alone as it stands far up or down, stop a load that runs?"""
        name = self.world.quantities[q]
        far = len(self.world.cuts[name]) if up else 0
        inputs = list(self.world.after.inputs)
        for v in self.world.variables:
            if v.set_points is None or v.set_points.quantity != name or v.after is None:
                continue
            k, there = inputs.index(v.after), self.world.placed(v, far)[0]
            put = (*bits[:k], there, *bits[k + 1 :])
            ends = [o for s in outcome.onward for o in self.right.settle(put, s)] if put != bits else []
            if ends and all(self.right.words(put, o).loads[load] == OFF for o in ends):
                return True
        return False

    def drives(self, q: int, up: bool) -> frozenset[str]:
        """What drives a pressure one way: as its switches tell, else any motor that drives it not back."""
        return self.drivers[q, up] or self._motors - self.drivers[q, not up]

    def comes_about(self, q: int, up: bool, running: frozenset[str]) -> bool:
        """Does a pressure go away from home with these loads running? No, where one drives it back alone."""
        back = frozenset() if self.drivers[q, up] else self.drivers[q, not up]
        return bool(self.drives(q, up) & running) and not back & running

    @cached_property
    def _motors(self) -> frozenset[str]:
        return frozenset(n for n, x in self.right.circuit.loads.items() if isinstance(x, Motor))

    def moved(self, before: Setting, to: Setting, running: frozenset[str]) -> Moved | None:
        """The quantity that a move changes, if any. running: the loads that run before it."""
        for q, (a, b) in enumerate(zip(before.ranges, to.ranges, strict=True)):
            if a != b:
                name, up, home = self.world.quantities[q], b > a, self.homes[q]
                if q not in self.pressures:
                    return Moved(name, up, "by hand")
                if abs(b - home) < abs(a - home):
                    return Moved(name, up, "back")
                how: How = "driven" if self.comes_about(q, up, running) else "forced"
                return Moved(name, up, how, self._named(self.drivers[q, up] & running))
        return None

    def away(self, setting: Setting, running: frozenset[str]) -> Iterator[Moved]:
        """The pressures away from home that do not come there with these loads running.

        "driven" where they may still be there from a run of the loads of `by`, else "forced".
        """
        for q in sorted(self.pressures):
            up = setting.ranges[q] > self.homes[q]
            if setting.ranges[q] != self.homes[q] and not self.comes_about(q, up, running):
                how: How = "driven" if self.drives(q, up) else "forced"
                yield Moved(self.world.quantities[q], up, how, self._named(self.drivers[q, up]))

    def _named(self, loads: frozenset[str]) -> tuple[str, ...]:
        return tuple(n for n in self.right.circuit.loads if n in loads)


def homes(world: World) -> tuple[int, ...]:
    """The range of each quantity in operation: its switches at normal, the nearest to a set point."""
    return tuple(_home(world, name) for name in world.quantities)


def _home(world: World, name: str) -> int:
    own = [v for v in world.variables if v.set_points is not None and v.set_points.quantity == name]
    ranges = range(len(world.cuts[name]) + 1)
    between = [r for r in ranges if any(len(world.placed(v, r)) > 1 for v in own)]
    fits = [r for r in ranges if all(v.normal in world.placed(v, r) for v in own)]
    sure = [r for r in fits if r not in between] or fits or [0]
    return min(sure, key=lambda r: min((abs(r - b) for b in between), default=0))


def ordinary_setting(world: World, homes: tuple[int, ...]) -> Setting:
    """Every input at normal, every quantity where it lies in operation."""
    return Setting(tuple(v.normal for v in world.variables), homes)


def near(world: World, start: Setting, moves: int) -> list[Setting]:
    """The possible settings that a few moves lead to, the nearest first."""
    found = dict.fromkeys([start] if world.possible(start) else [])
    for _ in range(moves):
        found |= dict.fromkeys(to for here in list(found) for _, to in world.moves(here))
    return list(found)


def runs(words: Words) -> frozenset[str]:
    """The loads that run or are on."""
    return frozenset(n for n, word in words.loads.items() if word in (RUNS, ON))
