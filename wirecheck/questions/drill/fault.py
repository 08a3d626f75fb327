"""Fault finding: something is broken; measure until it is plain what, with as few measurements as will do."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.points import bind_terminal
from wirecheck.engine.answers import WORKING
from wirecheck.problem import BadInput, Place
from wirecheck.questions.drill.asked import Judged
from wirecheck.questions.drill.plainly import NotUnderstood
from wirecheck.questions.find.answer import find
from wirecheck.questions.find.bench import candidates
from wirecheck.questions.find.evidence import Measured, Seen
from wirecheck.questions.find.said import dead_or
from wirecheck.questions.mistakes import meters
from wirecheck.questions.mistakes.looks import ANY
from wirecheck.questions.mistakes.scene import Act

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random

    from wirecheck.engine.world import Setting
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.find.answer import Found
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.find.fault import Fault
    from wirecheck.questions.mistakes.looks import Look

TRIES = 40
STATES = 2  # states in which most loads work, the nearest to ordinary operation first
MOST = 8  # tests after which a fault is not asked for: nobody would look on so long


class Hunt(Struct, frozen=True):
    """A fault, how the unit looks with it in one state, and the tests that the tool itself needs."""

    fault: Fault
    setting: Setting
    look: Look
    alike: tuple[Fault, ...]
    tests: tuple[Evidence, ...]
    open: int

    @property
    def answers(self) -> tuple[str, ...]:
        """The names of the part that count, those of faults that no meter tells from it too."""
        return tuple(dict.fromkeys(n for f in self.alike for n in names_of(f)))

    def judge(self, ground: Ground, text: str) -> Judged:
        """The part at fault, by any of its names."""
        said = [w.casefold() for w in re.split(r"[\s,;()]+", text.strip()) if w]
        known = {n.casefold() for f in ground.bench.faults for n in names_of(f)}
        if not known & set(said):
            raise NotUnderstood("Name the part: W7, HP, K1.coil. Or measure: two terminals, or ohms and two.")
        return Judged(bool({n.casefold() for n in self.answers} & set(said)), self.answers)


def names_of(fault: Fault) -> tuple[str, ...]:
    """A part's own name, and its device's where it is no conductor."""
    if fault.kind == "open conductor":
        return (fault.part,)
    element = fault.circuit.elements.get(fault.part)
    return (fault.part,) if element is None else (fault.part, element.device)


def hunt(ground: Ground, random: Random) -> Hunt | None:
    """A fault that shows in some state, with the looks that show it."""
    bench = ground.bench
    busy = sorted(ground.cases, key=lambda c: -sum(w in WORKING for w in c.after.loads.values()))
    settings = [c.setting for c in busy if WORKING & set(c.after.loads.values())][:STATES]
    for _ in range(TRIES if settings else 0):
        fault, setting = random.choice(bench.faults), random.choice(settings)
        found = seen(ground, fault, setting)
        if found is not None and not bench.fits(None, [found]):
            made = solved(ground, fault, found)
            if made is not None:
                return made
    return None


def seen(ground: Ground, fault: Fault, setting: Setting) -> Seen | None:
    """How the unit looks with a fault, what is sure of it; None where it may end in several ways."""
    looks = ground.bench.looks(ground.bench.plain(fault), fault, setting)
    if len(looks) != 1:
        return None
    external = [r.name for r in ground.circuit.relays.values() if r.external]
    shown = (*ground.circuit.loads, *external)
    return Seen(
        setting, {n: how for n, how in looks[0].items() if n in shown and how != ANY and len(how) == 1}
    )


def solved(ground: Ground, fault: Fault, first: Seen) -> Hunt | None:
    """The tests by which the tool comes to one place; None where none are needed, or too many."""
    evidence: list[Evidence] = [first]
    found = find(ground.bench, evidence)
    count = len(found.groups)
    while len(found.groups) > 1 and found.test is not None and len(evidence) <= MOST:
        outcome = answered(ground, fault, found)
        if outcome is None:
            return None
        evidence.append(outcome)
        found = find(ground.bench, evidence)
    if len(found.groups) != 1 or len(evidence) < 2:
        return None
    key = ground.bench.signature(fault)
    alike = tuple(f for f in found.faults if ground.bench.signature(f) == key)
    return Hunt(fault, first.setting, first.look, alike, tuple(evidence[1:]), count) if alike else None


def answered(ground: Ground, fault: Fault, found: Found) -> Evidence | None:
    """What a test shows of the unit with this fault; None where that is not sure."""
    test = found.test
    if test is None:
        return None
    if test.points is None:
        look = seen(ground, fault, test.setting)
        look_of = ground.bench.looks(ground.bench.plain(fault), fault, test.setting)[0]
        told = {n: look_of[n] for n in test.names if look_of[n] != ANY}
        return Seen(test.setting, told) if look is not None and told else None
    return read(ground, fault, test.kind, test.setting, test.points)


def read(ground: Ground, fault: Fault, kind: str, setting: Setting, at: tuple[str, str]) -> Measured | None:
    """A meter's reading on the unit with a fault; None where it is not one for certain."""
    bench = ground.bench
    plain = bench.plain(fault)
    if kind == "volts":
        found = bench.volts(plain, setting, at)
        volts = {round(r.volts or 0.0, 1) for r in found}
        if len(volts) != 1 or any(r.reads not in ("value", "floating") for r in found):
            return None
        return Measured(setting, "volts", at, volts.pop())
    if not set(at) <= plain.nets.of.keys():
        return None
    ohms = meters.ohms_read(bench.scene, plain, (Act(setting),), *at)
    if len(ohms) != 1:
        return None
    value = ohms[0].ohms
    continuity = ohms[0].reads == "unknown"  # a way through a winding whose ohms the file does not give
    return Measured(setting, "ohms", at, None if value is None else round(value, 2), continuity=continuity)


def measurement(ground: Ground, q: Hunt, text: str) -> Measured | None:
    """The measurement that a text asks for: two terminals, `ohms` before them; None where it asks for none.

    Raises NotUnderstood where the meter shows nothing certain there.
    """
    words = [w for w in re.split(r"[\s,;]+", text.strip()) if w]
    kind = "ohms" if words and words[0].casefold() in ("ohm", "ohms") else "volts"
    words = words[1:] if words and words[0].casefold() in ("ohm", "ohms", "volts", "v", "measure") else words
    if len(words) != 2:
        return None
    known = {t.casefold(): t for t in ground.circuit.terminals}
    place = Place("answer")
    try:
        a, b = (bind_terminal(known.get(w.casefold(), w), ground.circuit, place) for w in words)
    except BadInput as bad:
        raise NotUnderstood("; ".join(p.message for p in bad.problems)) from None
    setting = dead_or(ground.bench, q.setting, kind)
    found = read(ground, q.fault, kind, setting, (a, b))
    if found is None:
        raise NotUnderstood("The model cannot say for certain what the meter shows there. Measure elsewhere.")
    return found


def left(ground: Ground, q: Hunt, taken: Sequence[Evidence]) -> int:
    """How many faults still fit after these measurements."""
    return len(candidates(ground.bench, [Seen(q.setting, q.look), *taken]))
