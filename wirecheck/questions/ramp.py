"""`ramp`: what happens, in order, as one quantity rises or falls past the set points, and back."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct, field

from wirecheck.engine.ask import ask
from wirecheck.engine.delays import pending
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World
from wirecheck.questions.meter import at_normal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.world import Setting

Stand = tuple[dict[str, str], dict[str, str], dict[str, str]]  # words of switches, relays, loads
MOST_DELAYS = 100  # delays that run out one after the other before it is taken to go on for ever


class NotSensed(Exception):
    """No switch of the unit senses this quantity, or none is looked at."""


class Happening(Struct, frozen=True):
    """One thing in order. at: the value passed, base unit; None at the start and where a delay runs out.

    what: "start", "rises", "falls", "NAME runs out". changed: name -> (word before, word now), of switches,
    relays and loads; at the start the words of all. raced: relays race, and one of the ends is shown.
    """

    what: str
    at: float | None
    switches: dict[str, tuple[str, str]] = field(default_factory=dict)
    relays: dict[str, tuple[str, str]] = field(default_factory=dict)
    loads: dict[str, tuple[str, str]] = field(default_factory=dict)
    raced: bool = False

    @property
    def changes(self) -> bool:
        """Does anything change?"""
        return bool(self.switches or self.relays or self.loads or self.raced)


class Ramp(Struct, frozen=True):
    """The answer of `ramp`. ways: (from, to) of each leg, base unit. fields: those on which it depends."""

    quantity: str
    ways: tuple[tuple[float, float], ...]
    happenings: tuple[Happening, ...]
    fields: tuple[str, ...] = ()


def ramp(circuit: Circuit, quantity: str, values: tuple[float, ...], held: Mapping[str, bool]) -> Ramp:
    """Take a quantity from the first of the values to the next, and so on (base unit).

    Inputs not held stand at normal; a switch between its set points at the start too; delays run out as they
    may before the quantity goes on. Raises NotSensed, TooMany.
    """
    world = World(circuit, held={**at_normal(circuit, held), **held})
    if quantity not in world.cuts:
        raise NotSensed(quantity)

    def run(scenario: Mapping[str, int]) -> tuple[tuple[Happening, ...], list[Estimate]]:
        plain = Plain(circuit, scenario)
        return tuple(Walk(world, plain, quantity, values).happenings), list(plain.sensitive.values())

    asked = ask(run)
    return Ramp(quantity, tuple(pairwise(values)), asked.nominal, asked.deciding(str))


class Walk:
    """A walk of the plain evaluator along one quantity: where it stands, and what has happened."""

    def __init__(self, world: World, plain: Plain, quantity: str, values: tuple[float, ...]) -> None:
        self.world, self.plain, self.quantity = world, plain, quantity
        self.explorer = Explorer(world, plain)
        self.place = world.quantities.index(quantity)
        self.cuts = world.cuts[quantity]
        joints = self.explorer.powered(self.start(values[0]))
        self.joint = joints[0]
        self.happenings = [seen("start", None, None, self.words(), len(joints) > 1)]
        self.run_out()
        for start, end in pairwise(values):
            self.leg(start, end)

    def start(self, value: float) -> Setting:
        """The setting nearest to ordinary operation with the quantity at this value."""
        there = self.range_of(value)
        fits = (s for s in self.world.settings() if s.ranges[self.place] == there)
        return min(fits, key=lambda s: (self.world.away(s), s.ranges, s.bits))

    def range_of(self, value: float) -> int:
        """The range that a value lies in; at a set point, the one below."""
        return sum(value > cut for cut in self.cuts)

    def leg(self, start: float, end: float) -> None:
        """From one value to another, range by range."""
        what, by = ("rises", 1) if end > start else ("falls", -1)
        here, there = self.range_of(start), self.range_of(end)
        while here != there:
            self.go(f"{self.quantity} {what}", what, self.cuts[here if by > 0 else here - 1])
            here += by
            self.run_out()

    def run_out(self) -> None:
        """Let delays run out until none is left."""
        for _ in range(MOST_DELAYS):
            names = [n for state in self.joint.after.onward for n in pending(self.plain, state)]
            if not names:
                return
            self.go(f"{names[0]} runs out", f"{names[0]} runs out", None)

    def go(self, move: str, what: str, at: float | None) -> None:
        """Make one move, and keep what differs."""
        before = self.words()
        fits = [to for words, to in self.explorer.successors(self.joint) if words == move]
        self.joint = fits[0]
        self.happenings.append(seen(what, at, before, self.words(), len(fits) > 1))

    def words(self) -> Stand:
        """The words of switches, relays and loads where it stands."""
        found = self.explorer.words(True, self.joint.setting, self.joint.after)
        return self.world.words(self.joint.setting), found.relays, found.loads


def seen(what: str, at: float | None, before: Stand | None, now: Stand, raced: bool) -> Happening:
    """What differs from the state before; of the start, everything."""
    old = before if before is not None else tuple(dict.fromkeys(d, "") for d in now)
    changed = [
        {n: (was[n], w) for n, w in new.items() if was[n] != w} for was, new in zip(old, now, strict=True)
    ]
    return Happening(what, at, changed[0], changed[1], changed[2], raced)
