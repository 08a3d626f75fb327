"""`no-stall`: no motor hums, turns backward or is overfed, no coil is weak or overfed, that was not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.decide import decide
from wirecheck.checks.finding import Finding
from wirecheck.checks.keeps import same_currents
from wirecheck.checks.picked import volts_word
from wirecheck.circuit.elements import Estimate, Motor
from wirecheck.engine import figures
from wirecheck.engine.answers import BACKWARD, ON, OVER, STALLS, UNKNOWN, WEAK
from wirecheck.engine.figures import SLACK
from wirecheck.engine.question import CoilVolts, Heats, Not, every, some, word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.question import Question
    from wirecheck.engine.solver import View

NAME = "no-stall"
BAD = frozenset({STALLS, BACKWARD, WEAK, OVER})
MEANS = {
    STALLS: "carries current and cannot start: it hums, and its windings overheat",
    BACKWARD: "turns backward",
    WEAK: "works at less than 85 % of its volts",
    OVER: "is fed more than it is made for",
}


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each load and each relay of the unit after."""
    yield from (of_load(pair, name) for name in pair.changed.after.loads)
    yield from (of_coil(pair, name) for name in pair.changed.after.relays)
    yield from heated(pair)


def heated(pair: Pair) -> Iterator[Finding]:
    """A note on each three-phase motor that runs on unbalanced voltages where it did not."""
    for name, motor in pair.changed.after.loads.items():
        if not isinstance(motor, Motor) or motor.kind != "3ph":
            continue
        old = pair.old_name.get(name)
        anew: Question = Heats("after", name)
        if old is not None:
            anew = every(anew, Not(Heats("before", old)))
        case = next((c for c in pair.where(anew) if any(v.heats(name) for v in pair.views(c.joint))), None)
        if case is not None:
            says = f"{name} runs on voltages unbalanced by {figures.UNBALANCE_NOTE:.0%} or more: it heats"
            yield Finding(NAME, name, "note", says, pair.witness(case), other="unbalance")


def of_load(pair: Pair, name: str) -> Finding:
    """The words of one load over every state."""
    return decide(
        pair,
        NAME,
        name,
        some(word("after", name, BAD), word("after", name, {UNKNOWN})),
        lambda case: load_holds(pair, case, name),
        good=f"{name} never hums, turns backward, or is weak or overfed where it was not",
        bad=lambda case: bad_words(pair, case, name),
        loads=(name,),
    )


def of_coil(pair: Pair, name: str) -> Finding:
    """The volts across one relay's coil over every state; of one without rated volts they decide nothing."""
    rated = pair.changed.after.coils[pair.changed.after.relays[name].coil].volts
    unrated = isinstance(rated, Estimate)
    ails = pair.exists(CoilVolts("after", name, BAD | {UNKNOWN}))
    found = decide(
        pair,
        NAME,
        name,
        CoilVolts("after", name, BAD | {ON, UNKNOWN} if unrated else BAD | {UNKNOWN}),
        lambda case: same_volts(pair, case, name) if unrated else coil_holds(pair, case, name),
        good=f"the coil of {name} has its volts or none" + (" wherever it had before" if ails else ""),
        bad=lambda case: f"the coil of {name} is at {coil_word(pair, case, name)} volts",
        loads=(name,),
        why=lambda case: coil_why(pair, case, name),
    )
    if isinstance(rated, Estimate) and found.verdict == "unknown":
        says = f"the coil of {name}: cannot be decided without {rated.field}"
        return replace(found, says=says, fields=(rated.field,))
    return found


def load_holds(pair: Pair, case: Case, name: str) -> bool | None:
    """Is a load neither BAD nor worse than before? None where it is unknown and its volts are others."""
    word = case.after.loads[name]
    old = pair.old_name.get(name)
    was = {b.loads[old] for b in case.befores} if old is not None else set()
    if word == UNKNOWN:
        return True if old is not None and UNKNOWN in was and same_currents(pair, case, old, name) else None
    return word not in BAD or bool(was & BAD)


def bad_words(pair: Pair, case: Case, name: str) -> str:
    """What a load does here and what that means; of a motor, whether its leads stand exchanged."""
    word = case.after.loads[name]
    exchanged = any(v.exchanged(name) for v in pair.views(case.joint))
    which = "main and auxiliary, common and auxiliary, or those of its capacitor"
    leads = f"; its leads stand exchanged: {which}" if exchanged else ""
    return f"{name} {word}: it {MEANS[word]}{leads}" if word in MEANS else f"{name} {word}"


def coil_word(pair: Pair, case: Case, relay: str) -> str:
    """The word for the volts across a coil here; in a chattering set the first bad one, else unknown."""
    words = [volts_word(v, relay) for v in pair.views(case.joint)]
    return next((w for bad in (BAD, {UNKNOWN}) for w in words if w in bad), words[0])


def same_volts(pair: Pair, case: Case, relay: str) -> bool | None:
    """Has a coil the volts that it had before? None where it has others: nothing says what it is made for."""
    old = pair.old_name.get(relay)
    was = [] if old is None else [coil_volts(v, old) for v in pair.views_before(case.joint)]
    now = [coil_volts(v, relay) for v in pair.views(case.joint)]
    return True if all(any(same_either_way(n, w) for w in was) for n in now) else None


def same_either_way(now: complex, was: complex) -> bool:
    """Are these the same volts, whichever end of the coil is called the first?"""
    return min(abs(now - was), abs(now + was)) < SLACK


def coil_volts(view: View, relay: str) -> complex:
    """Volts across a relay's coil."""
    return view.across(view.circuit.relays[relay].coil, view.plain.scenario)


def coil_holds(pair: Pair, case: Case, relay: str) -> bool | None:
    """Is a coil not BAD here, or was it so before? None where its word is unknown and its volts are others.

    What a short has put out is off; a coil of another supply goes on.
    """
    now = coil_word(pair, case, relay)
    if now not in BAD | {UNKNOWN}:
        return True
    old = pair.old_name.get(relay)
    was = set() if old is None else {volts_word(v, old) for v in pair.views_before(case.joint)}
    if now == UNKNOWN:
        return same_volts(pair, case, relay) if UNKNOWN in was else None
    return bool(was & BAD)


def coil_why(pair: Pair, case: Case, relay: str) -> tuple[str, ...]:
    """The fields that would decide the word of a coil's volts here."""
    coil = pair.changed.after.coil_loads[relay]
    unknown = (v for v in pair.views(case.joint) if volts_word(v, relay) == UNKNOWN)
    return tuple(dict.fromkeys(f for v in unknown for f in v.plain.why_unknown(coil, v)))
