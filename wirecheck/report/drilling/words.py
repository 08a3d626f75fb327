"""The drill in words: what is asked, what was right, and why, each from the engine's results."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.elements import ByPosition, Conductor, Contact
from wirecheck.draw.tree import keys
from wirecheck.engine.answers import OFF, SHORT, STALLS, WORKING
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.route import describe, route
from wirecheck.questions.drill import asked
from wirecheck.questions.drill.dead import Dead
from wirecheck.questions.drill.fault import Hunt
from wirecheck.questions.find.evidence import Measured
from wirecheck.questions.lift import without
from wirecheck.report import standing
from wirecheck.report.drilling.volts import read
from wirecheck.report.drilling.wanted import choice
from wirecheck.report.finding import one_word
from wirecheck.report.lines import said, volts_text
from wirecheck.report.readings import picture, sentences

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.world import Setting
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.kinds import Question
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.lift import Lifted
    from wirecheck.report.readings.rungs import Ladder, Line

CALLED = {
    "name": "name the load",
    "trace": "trace the path",
    "runs": "will it run",
    "starts": "what does this switch do",
    "meter": "what does the meter show",
    "dead": "what makes this dead",
    "opens": "what does opening this conductor do",
    "jumper": "what does this jumper do",
    "change": "what does this change do",
    "lift": "which conductor to lift",
    "fault": "find the fault",
}
MASK = "???"
# What a load did, in words; what it does, where the engine's word is not the trade's.
DID = {"runs": "ran", "on": "was on", "off": "was off", "stalls": "hummed", "backward": "ran backward"}
SHOWN = {"stalls": "hums"}


class Asked(Struct, frozen=True):
    """A question in words. way: lines that stand as they are."""

    text: str
    way: tuple[str, ...] = ()


def question(ground: Ground, q: Question) -> Asked:
    """What is asked."""
    circuit = ground.circuit
    match q:
        case asked.Name():
            text = f"With {_state(ground, q.case)}, the current of one load goes this way. Which load is it?"
            return Asked(text, tuple(sentences.way_lines(circuit, q.hops)))
        case asked.Trace():
            does = sentences.works(circuit, q.load)
            text = f"With {_state(ground, q.case)}, {q.load} {does}. Which conductor or part is missing?"
            return Asked(text, tuple(_masked(circuit, q)))
        case asked.Runs():
            return Asked(f"With {_state(ground, q.case)}: what does {q.load} do? ({choice(circuit, q.load)})")
        case asked.Starts():
            verb = sentences.VERBS[q.word]
            start = _state(ground, q.case, q.switch)
            return Asked(f"With {start}, {q.switch} {verb}. Which loads change? (names, or none)")
        case asked.Meter():
            a, b = q.points
            return Asked(
                f"With {_state(ground, q.case)}: how many volts from {a} to {b}? (low-impedance meter)"
            )
        case Dead():
            start = f"With {_state(ground, q.case)}, {q.at} stands at {volts_text(q.volts)} to earth."
            which = "Which switches and fuses, each moved alone, leave no voltage there?"
            return Asked(f"{start} {which} (names, or none)")
        case Hunt():
            return hunted(ground, q)
        case _:
            return _changes(ground, q)


def _changes(ground: Ground, q: asked.Opens | asked.Jumper | asked.Change | asked.Lift) -> Asked:
    """What is asked of something done to the unit."""
    circuit = ground.circuit
    match q:
        case asked.Opens():
            wire = circuit.conductors[q.wire]
            what = f"{describe(wire)}, from {wire.a} to {wire.b}"
            does = sentences.works(circuit, q.load)
            start = (
                f"With {_state(ground, q.case)}, {q.load} {does}. A new contact in line with {what} opens."
            )
            return Asked(f"{start} What does {q.load} do then? ({choice(circuit, q.load)})")
        case asked.Jumper():
            a, b = q.points
            start = (
                f"A jumper was left from {a} to {b}. With {_state(ground, q.case)}: what does {q.load} do?"
            )
            return Asked(f"{start} ({choice(circuit, q.load)})")
        case asked.Change():
            name = ground.changed.name if ground.changed is not None else ""
            stands, did = said(q.stands or ["all as usual"]), DID.get(q.before, f"was {q.before}")
            start = f'The change "{name}" has been made. Before it, with {stands}, {q.load} {did}.'
            return Asked(f"{start} What does it do now? ({choice(circuit, q.load)})")
        case asked.Lift():
            return Asked(f"Which conductor, opened alone, stops {q.load} and touches nothing else?")


def _state(ground: Ground, case: Case, but: str = "") -> str:
    return sentences.state(ground.pair, case, but, ground.told(case))


def _masked(circuit: Circuit, q: asked.Trace) -> Iterator[str]:
    for k, text in enumerate(sentences.way_lines(circuit, q.hops)):
        yield text if k != q.gap else f"{MASK} to {q.at[1]}"


def hunted(ground: Ground, q: Hunt) -> Asked:
    """A fault to find."""
    world = ground.bench.scene.world
    look = ", ".join(f"{n} {one_word(ground.circuit, n, how)}" for n, how in q.look.items())
    state = standing.words(ground.circuit, world, q.setting)
    return Asked(
        f"One part is broken. With {state}, you find: {look}. {q.open} places fit that. Measure: two "
        "terminals for volts, `ohms` before them with the power off. Or name the broken part."
    )


# --- why ----------------------------------------------------------------------------------------------


def answers(q: Question) -> tuple[str, ...]:
    """What counts as right."""
    match q:
        case asked.Runs():
            word = q.case.after.loads[q.load]
            return (SHOWN.get(word, word),)
        case asked.Starts():
            return q.loads or ("none",)
        case Dead():
            return q.answers or ("none",)
        case asked.Meter():
            floats = ", floating" if q.reading.reads == "floating" else ""
            return (f"{volts_text(q.reading.volts or 0.0)}{floats}",)
        case asked.Opens() | asked.Jumper() | asked.Change():
            return (SHOWN.get(q.word, q.word),)
        case _:
            return q.answers


def right_words(q: Question) -> str:
    """The right answer in a few words."""
    found = answers(q)
    if isinstance(q, asked.Starts | Dead):
        return said(found)
    if isinstance(q, Hunt):
        return q.fault.words
    return said(found, "or") if len(found) < 5 else f"{', '.join(found[:4])} or {len(found) - 4} more"


def why(ground: Ground, q: Question, text: str = "") -> str:
    """The reason. text: what was answered, where that decides what is to be said."""
    circuit = ground.circuit
    match q:
        case asked.Name():
            return named(ground, q)
        case asked.Trace():
            return f"Between {q.at[0]} and {q.at[1]} lies {said(q.answers[:1])}."
        case asked.Runs():
            return works_or_not(ground, q.case, q.load)
        case asked.Starts():
            relays = {
                n: (w, q.end.after.relays[n])
                for n, w in q.case.after.relays.items()
                if w != q.end.after.relays[n]
            }
            loads = {n: (q.case.after.loads[n], q.end.after.loads[n]) for n in q.loads}
            words = sentences.changed(relays, loads)
            return f"{words}." if words else f"Nothing hangs on {q.switch} in this state."
        case asked.Meter():
            return read(q)
        case Dead():
            return _dead(q, text)
        case asked.Opens():
            return after(ground, q.case, q.load, q.word, without(circuit, q.wire), f"{q.wire} open")
        case asked.Jumper():
            wire = Conductor("jumper", *q.points)
            jumped = replace(circuit, conductors={**circuit.conductors, wire.id: wire})
            return after(ground, q.case, q.load, q.word, jumped, "the jumper on")
        case asked.Change():
            return sentences.load_when(circuit, ground.load(q.load))
        case asked.Lift():
            return _lift(ground, q, text)
        case Hunt():
            return solution(ground, q)


def named(ground: Ground, q: asked.Name) -> str:
    """The conductors of the way that end on the load."""
    device = ground.circuit.devices[ground.circuit.loads[q.load].device]
    shown = [h.partition(" to ")[0].partition(" (")[0] for h in q.hops]
    wires = [ground.circuit.conductors[w] for w in shown if w in ground.circuit.conductors]
    ends = [f"{w.id} ends on {t}" for w in wires for t in (w.a, w.b) if t in device.terminals]
    return f"{said(ends)}." if ends else works_or_not(ground, q.case, q.load)


def works_or_not(ground: Ground, case: Case, load: str) -> str:
    """Why a load works in a state, or what it lacks."""
    word = case.after.loads[load]
    if word in WORKING:
        return f"Its current goes {passes(ground.circuit, route(ground.view(case), load))}."
    unmet = ground.unmet(case, load)
    if word == OFF and unmet:
        return f"{load} never works without {said(unmet)}."
    return sentences.load_when(ground.circuit, ground.load(load))


def passes(circuit: Circuit, hops: tuple[str, ...]) -> str:
    """A way in one sentence: the parts that it passes, conductors left out."""
    if not hops:
        return "no way that this model can trace"
    parts = [h.partition(" to ")[0] for h in hops[1:]]
    wires = {describe(w) for w in circuit.conductors.values()}
    named = [p.removeprefix("contact ").removeprefix("link ") for p in parts if p not in wires]
    return f"from {hops[0]} through {said(named)} to {hops[-1].rpartition(' to ')[2]}"


def after(ground: Ground, case: Case, load: str, word: str, circuit: Circuit, with_: str) -> str:
    """What a load does with the circuit made otherwise, and the way of its current then."""
    plain = Plain(circuit)
    inputs = ground.inputs(case)
    ends = [o for s in case.joint.after.onward for o in plain.settle(inputs, s)]
    view = plain.views(inputs, ends[0])[0]
    hops = route(view, load)
    if word == SHORT:
        path = ends[0].short.path if ends[0].short is not None else ()
        return f"With {with_} the supply is shorted: {' - '.join(path)}. A fuse or breaker opens."
    if word in WORKING:
        return f"With {with_} its current goes {passes(circuit, hops)}."
    if word == OFF or not hops:
        now = plain.words(inputs, ends[0]).relays
        changed = {n: (w, now[n]) for n, w in case.after.relays.items() if n in now and w != now[n]}
        first = f"{sentences.changed(changed, {})}, and " if changed else ""
        return f"With {with_} {first}no current worth the name goes through {load}."
    hums = "it cannot start, and hums" if word == STALLS else f"it is {word}"
    return f"With {with_} current still goes {passes(circuit, hops)}, but {hums}."


def _dead(q: Dead, text: str) -> str:
    """What each switch does to the terminal: those that leave it dead, and the wrong ones that were named."""
    named = {w.strip(".,;").casefold() for w in re.split(r"[\s,;]+", text)}
    found, wrong = [], []
    for n, t in q.turned:
        out = ", ".join(f"{r} {now}" for r, now in t.relays)
        if n in q.answers:
            found.append(f"{n} {t.word}" + (f" ({out})" if out else ""))
        elif n.casefold() in named:
            wrong.append(f"With {n} {t.word} it still stands at {volts_text(t.volts)}.")
    does = f"{said(found, 'or')} leaves {q.at} dead" if found else "No single one of them does"
    return " ".join((f"{does}.", *wrong, "Only a meter proves it dead."))


def _lift(ground: Ground, q: asked.Lift, text: str) -> str:
    """What the conductor that was named would do."""
    named = next((w for w in ground.lifts(q.load) if w.casefold() == text.strip().casefold()), None)
    best = f"{describe(ground.circuit.conductors[q.answers[0]])} stops {q.load} alone."
    if named is None or named in q.answers:
        return best
    return f"Opening {named} {opened(ground.lifts(q.load)[named], q.load)}. {best}"


def opened(row: Lifted, load: str) -> str:
    """What opening a conductor alone does, where it is not clean."""
    if row.stops == "never":
        return f"does not stop {load}"
    others = [*row.others, *row.relays]
    left = [SHOWN.get(w, w) for w in row.leaves if w not in WORKING and w != OFF]
    found = [f"stops {load} only in some states"] if row.stops == "sometimes" else []
    found += [f"leaves it so that it {said(left, 'or')}"] if left else []
    found += [f"changes {said(others)} too"] if others else []
    return said(found or [f"stops {load}, and starts or shorts something"])


def evidence(circuit: Circuit, e: Evidence) -> str:
    """What a test showed."""
    if isinstance(e, Measured):
        return f"{e.points[0]} to {e.points[1]} {e.reading('ohm')}"
    return ", ".join(f"{n} {one_word(circuit, n, how)}" for n, how in e.look.items())


def solution(ground: Ground, q: Hunt) -> str:
    """The tests by which the tool itself finds the fault."""
    steps = []
    for e in q.tests:
        more = [f"{v} {w}" for v, w in _stands(ground, e.setting) - _stands(ground, q.setting)]
        steps.append(evidence(ground.circuit, e) + (f" (with {said(sorted(more))})" if more else ""))
    count = "One test does it" if len(steps) == 1 else f"{len(steps)} tests do it"
    return f"{count}: {'; '.join(steps)}."


def _stands(ground: Ground, setting: Setting) -> set[tuple[str, str]]:
    return set(ground.bench.scene.world.words(setting, listed_only=False).items())


# --- the picture --------------------------------------------------------------------------------------


def drawn(ground: Ground, ladder: Ladder, q: Question, width: int) -> list[str]:
    """The line of the ladder that the question is about, as text: what decides it, else the load's own."""
    told = sorted(ladder.lines, key=lambda line: -_told(ground, ladder, q, line))
    if not told or not _told(ground, ladder, q, told[0]):
        return []
    return [told[0].called, *picture.text(ladder, told[0], width)]


def _told(ground: Ground, ladder: Ladder, q: Question, line: Line) -> int:
    """How much of what a question is about a line shows: 2 for each thing that decides, 1 for the load."""
    edges = [ladder.wiring.edges[key] for key in keys(line.rung.tree)]
    ends = {t for e in edges for t in (e.a, e.b)}
    points, parts = _decides(ground, q)
    load = getattr(q, "load", None)
    there = sum(t in ends for t in points) + sum(_is_part(ladder, e.key, parts) for e in edges)
    return 2 * there + (load in line.loads)


def _decides(ground: Ground, q: Question) -> tuple[tuple[str, ...], frozenset[str]]:
    """The terminals, and the switches and elements, that decide a question."""
    wires = ground.circuit.conductors
    match q:
        case asked.Trace():
            return q.at, frozenset()
        case asked.Runs():
            return (), frozenset(m.rpartition(" ")[0] for m in ground.unmet(q.case, q.load)[:1])
        case asked.Starts():
            return (), frozenset({q.switch})
        case asked.Meter() | asked.Jumper():
            return q.points, frozenset()
        case Dead():
            return (q.at,), frozenset(q.answers)
        case asked.Opens():
            return (wires[q.wire].a, wires[q.wire].b), frozenset()
        case Hunt():
            wire = wires.get(q.fault.part)
            return ((wire.a, wire.b) if wire is not None else ()), frozenset({q.fault.part})
        case _:
            return (), frozenset()


def _is_part(ladder: Ladder, key: str, parts: frozenset[str]) -> bool:
    """Is an edge one of these elements, or a contact that one of these switches moves?"""
    element = ladder.element(key)
    mover = element.mover if isinstance(element, Contact) else None
    return element.id in parts or (isinstance(mover, ByPosition) and mover.input in parts)
