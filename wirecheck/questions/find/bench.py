"""The unit and every single fault of it, side by side in the states that somebody looks at."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.source import Source
from wirecheck.engine.answers import SHORT
from wirecheck.engine.delays import pending, run_out
from wirecheck.engine.estimates import ends_of
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.question import At, every
from wirecheck.engine.world import World
from wirecheck.progress import steps
from wirecheck.quantity import unit
from wirecheck.questions.find.evidence import Measured, Seen
from wirecheck.questions.find.fault import faults
from wirecheck.questions.lookalikes import apart
from wirecheck.questions.meter import Reading
from wirecheck.questions.mistakes import looks, meters
from wirecheck.questions.mistakes.looks import ANY
from wirecheck.questions.mistakes.same import signature
from wirecheck.questions.mistakes.scene import Act, Scene

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Outcome, State
    from wirecheck.engine.world import Setting
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.find.fault import Fault
    from wirecheck.questions.mistakes.looks import Look
    from wirecheck.questions.mistakes.scene import End, Probe
    from wirecheck.questions.ohms import Ohms


STAYS = ("temperature", "length")  # what stays as it is with the power off: heat for a while, a level
MOST_LOOSE = 5  # switches that are looked at in both positions


@dataclass
class Stood(Scene):
    """A scene in which nobody knows how a unit came to where it stands: what any way there may leave.

    A probe is one act, the setting; or two, a switch moved from there. Where relays or delays keep what
    went before, every reachable state counts, so that no fault is ruled out by a history that was not told.
    """

    keeps: bool = False
    _sources: dict[int, Source] = field(default_factory=dict)

    def _walked(self, plain: Plain, probe: Probe) -> Iterable[End]:
        setting = probe[-1].setting
        found: dict[End, None] = {}
        for bits in self.bits(plain.circuit, setting):
            ends = [(bits, o) for s in self._starts(plain, probe) for o in plain.settle(bits, s)]
            if self.keeps and len(probe) == 1:
                ends += [(bits, o) for o in self._reached(plain, setting)]
            for end in ends:
                if end not in found:
                    found[end] = None
                    ends += [(bits, o) for o in self._run_out(plain, end)]
        return found

    def _starts(self, plain: Plain, probe: Probe) -> list[State]:
        """All coils out; after a move, where it began."""
        if len(probe) == 1:
            return [plain.cold()]
        return list(dict.fromkeys(s for _, o in self.ends(plain, probe[:-1]) for s in o.onward))

    def _run_out(self, plain: Plain, end: End) -> Iterator[Outcome]:
        bits, outcome = end
        for state in outcome.onward:
            for name in pending(plain, state):
                yield from plain.settle(bits, run_out(plain, state, name))

    def _reached(self, plain: Plain, setting: Setting) -> Iterator[Outcome]:
        """Every end that any history leads to with the switches so, where this circuit keeps any."""
        if id(plain) not in self._sources:
            world = World(plain.circuit, named=self.world.named)
            self._sources[id(plain)] = Source(world, plain, None)
        source = self._sources[id(plain)]
        if not source.remembers:
            return
        places = zip((v.name for v in self.world.variables), setting.bits, strict=True)
        here = every(*(At("after", n, moved) for n, moved in places if n in plain.circuit.inputs))
        yield from (joint.after for joint in source.where(here))


@dataclass
class Bench:
    """Every single fault of a unit. named: inputs looked at though nothing is wired to them.

    plains: an evaluator for each circuit that is not electrically the same as another.
    """

    unit: Circuit
    named: frozenset[str] = frozenset()
    plains: dict[Hashable, Plain] = field(default_factory=dict)
    _moved: dict[tuple[int, tuple[tuple[str, int], ...]], Plain] = field(default_factory=dict)
    _signatures: dict[Hashable, int] = field(default_factory=dict)
    _numbers: dict[str, int] = field(default_factory=dict)

    @cached_property
    def right(self) -> Circuit:
        """The unit; what its sentences say of a quantity divides no ranges here: nobody sees it."""
        return replace(self.unit, expects=())

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        return faults(self.right)

    @cached_property
    def scene(self) -> Stood:
        plain = Plain(self.right)
        world = World(self.right, named=self.named)
        return Stood(plain, world, keeps=Source(world, plain, None).remembers)

    def plain(self, fault: Fault | None) -> Plain:
        """The evaluator of the unit with a fault; of the right unit, None."""
        if fault is None:
            return self.scene.right
        key = self.signature(fault)
        if key not in self.plains:
            self.plains[key] = Plain(fault.circuit)
        return self.plains[key]

    def signature(self, fault: Fault) -> Hashable:
        """Equal for faults that make the same circuit electrically; hashed once."""
        if fault.id not in self._numbers:
            known = self._signatures.setdefault(signature(fault.circuit), len(self._signatures))
            self._numbers[fault.id] = known
        return self._numbers[fault.id]

    def at_ends(self, plain: Plain) -> Iterator[Plain]:
        """A circuit at nominal figures, then at every end of the estimates that its answers rest on."""
        yield plain
        fields = tuple(sorted(plain.sensitive))
        for ends in ends_of(len(fields))[1:]:
            scenario = {f: e for f, e in zip(fields, ends, strict=True) if e}
            key = id(plain), tuple(sorted(scenario.items()))
            if key not in self._moved:
                self._moved[key] = plain.under(scenario)
            yield self._moved[key]

    # --- what fits -------------------------------------------------------------------------------------

    def fits(self, fault: Fault | None, found: Sequence[Evidence]) -> bool:
        """May the unit with this fault, None for the right one, show all that was found?

        It may if it does so at some end of what is estimated.
        """
        plain = self.plain(fault)
        return any(all(self._shows(p, fault, e) for e in found) for p in self.at_ends(plain))

    def _shows(self, plain: Plain, fault: Fault | None, e: Evidence) -> bool:
        if isinstance(e, Seen):
            return any(looks_so(found, e.look) for found in self.looks(plain, fault, e.setting))
        if e.meter == "volts":
            return any(volts_so(r, e.value or 0.0) for r in self.volts(plain, e.setting, e.points))
        return self._ohms_fit(plain, e)

    def _ohms_fit(self, plain: Plain, e: Measured) -> bool:
        """A way through a winding of unknown ohms may read anything, but not open."""
        found = self.ohms(plain, e.setting, e.points, e.named)
        if e.continuity:
            return any(r.reads != "open" for r in found)
        return any(e.value is not None if r.reads == "unknown" else not apart(r.ohms, e.value) for r in found)

    def ohms(
        self, plain: Plain, setting: Setting, points: tuple[str, str], named: frozenset[str] = frozenset()
    ) -> list[Ohms]:
        """What an ohmmeter may read with the power off. named: switches that surely stand as in the setting.

        A pressure or a flow does not stay where the running machine keeps it: its switches stand either way.
        """
        if not set(points) <= plain.nets.of.keys():
            return []
        loose = [k for n, k in self.kept_by_running.items() if n not in named][:MOST_LOOSE]
        found: dict[Ohms, None] = {}
        for places in product((False, True), repeat=len(loose)):
            bits = list(setting.bits)
            for k, moved in zip(loose, places, strict=True):
                bits[k] = moved
            act = Act(setting._replace(bits=tuple(bits)))
            found |= dict.fromkeys(meters.ohms_read(self.scene, plain, (act,), *points))
        return list(found)

    @cached_property
    def kept_by_running(self) -> dict[str, int]:
        """The switches, by variable, on what only the running machine keeps where it is."""
        world = self.scene.world
        felt = {v.name: (k, v.set_points.quantity) for k, v in enumerate(world.variables) if v.set_points}
        units = {q: unit(x.unit).kind for q, x in self.right.quantities.items()}
        return {n: k for n, (k, q) in felt.items() if units[q] not in STAYS}

    def volts(self, plain: Plain, setting: Setting, points: tuple[str, str]) -> list[Reading]:
        """What a voltmeter may read in a state; nothing where a terminal is not there any more."""
        if not set(points) <= plain.nets.of.keys():
            return [Reading("unknown")]
        found = meters.readings(self.scene, plain, (Act(setting),), *points)
        one, other = (plain.nets.of[t] for t in points)  # across what a short bridges there are no volts
        return [Reading("value", 0.0) if r.reads == "short" and one == other else r for r in found]

    def looks(
        self, plain: Plain, fault: Fault | None, setting: Setting, moved_from: Setting | None = None
    ) -> list[Look]:
        """How loads and relays may look in a state, each possible end of settling by itself.

        moved_from: where the switches stood before; else nobody knows.
        """
        shows = fault.shows if fault is not None else {}
        probe = tuple(Act(s) for s in (moved_from, setting) if s is not None)
        ends = sorted(self.scene.ends(plain, probe), key=lambda e: (e[0], e[1].members))
        return [look_of(plain, end, shows) for end in ends]


def look_of(plain: Plain, end: End, shows: Mapping[str, frozenset[str]]) -> Look:
    """How every load and relay looks where settling ended. shows: relays whose coil does not tell.

    A short between the poles of a supply opens what protects it, and all is dead. What one behind a
    transformer leaves running depends on what gives way first.
    """
    words = plain.words(*end)
    found = looks.looks(plain.circuit, words)
    if _behind_a_transformer(plain, end[1]):
        found |= {n: ANY for n, word in words.loads.items() if word == SHORT}
    for name, word in words.relays.items():
        found[name] = (
            ANY if _behind_a_transformer(plain, end[1]) else frozenset(looks.SAME_FOR_ALL.get(word, ANY))
        )
    return found | dict(shows)


def _behind_a_transformer(plain: Plain, outcome: Outcome) -> bool:
    """Is this a short that does not reach from pole to pole of a supply?"""
    path = outcome.short.path if outcome.short is not None else ()
    return bool(path) and not {path[0], path[-1]} <= plain.circuit.poles.keys()


def looks_so(found: Look, seen: Look) -> bool:
    """May what was seen be what this looks like?"""
    return all(found[n] == ANY or found[n] & how for n, how in seen.items())


def volts_so(found: Reading, volts: float) -> bool:
    """May a meter of low impedance show so many volts where this is what it reads?"""
    return found.reads not in ("value", "floating") or not meters.apart(found, volts)


def candidates(bench: Bench, found: Sequence[Evidence]) -> tuple[Fault, ...]:
    """The faults that fit all that was found."""
    return tuple(f for f in steps("faults", bench.faults) if bench.fits(f, found))
