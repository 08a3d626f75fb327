"""The questions of the drill as values, each with its judge. The engine decides what is right.

Each kind is made by a function of the ground and a random source; None where the unit has none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.checks.pair import Pair
from wirecheck.circuit.elements import Conductor
from wirecheck.engine.answers import SHORT, WORKING
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.route import route
from wirecheck.engine.question import EVERYWHERE, SameWord, Word, every
from wirecheck.engine.question import Not as Isnt
from wirecheck.questions.drill import plainly
from wirecheck.questions.drill.ground import UNSURE
from wirecheck.questions.find.said import value_of
from wirecheck.questions.find.tell import returns
from wirecheck.questions.lift import without
from wirecheck.questions.meter import of_outcomes
from wirecheck.questions.mistakes.meters import held
from wirecheck.questions.mistakes.places import circuit_nets, used, ways
from wirecheck.questions.read.moves import changed_loads, single_moves, told_apart

if TYPE_CHECKING:
    from random import Random

    from wirecheck.checks.case import Case
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.meter import Reading

NEAR = 40  # states that a question is made from, those nearest to ordinary operation
TRIES = 60  # how often a random choice is made anew before a kind is given up
# An answer in volts counts within this share, or this many volts. Project rule.
CLOSE_SHARE, CLOSE_VOLTS = 0.1, 2.0


class Judged(Struct, frozen=True):
    """Is the answer right, and what else would have been."""

    right: bool
    answers: tuple[str, ...]


class Name(Struct, frozen=True):
    """Which load is it whose current takes this way? hops: its name taken out."""

    case: Case
    load: str
    hops: tuple[str, ...]
    answers: tuple[str, ...]

    def judge(self, ground: Ground, text: str) -> Judged:
        """The load, or another whose way reads the same."""
        return Judged(plainly.name(text, ground.circuit.loads, "load") in self.answers, self.answers)


class Trace(Struct, frozen=True):
    """Which part comes at the gap of the current's way? at: the terminals on both its sides."""

    case: Case
    load: str
    hops: tuple[str, ...]
    gap: int
    at: tuple[str, str]
    answers: tuple[str, ...]

    def judge(self, ground: Ground, text: str) -> Judged:
        """Any conductor or contact between the two terminals."""
        names = {
            n: n for n in (*ground.circuit.conductors, *ground.circuit.devices, *ground.circuit.elements)
        }
        said = plainly.name(text.split("(")[0], names, "conductor or part")
        return Judged(said in self.answers, self.answers)


class Runs(Struct, frozen=True):
    """What does a load do in a state?"""

    case: Case
    load: str

    def judge(self, _: Ground, text: str) -> Judged:
        """The word that the engine has for it."""
        word = self.case.after.loads[self.load]
        return Judged(plainly.does(text) == plainly.so(word), (word,))


class Starts(Struct, frozen=True):
    """One switch moves: which loads change?"""

    case: Case
    end: Case
    switch: str
    word: str
    loads: tuple[str, ...]

    def judge(self, ground: Ground, text: str) -> Judged:
        """All of them and no other."""
        said = plainly.several(text, ground.circuit.loads, "load")
        return Judged(said == frozenset(self.loads), self.loads or ("none",))


class Meter(Struct, frozen=True):
    """What does a voltmeter of low impedance show between two terminals?"""

    case: Case
    points: tuple[str, str]
    reading: Reading

    def judge(self, _: Ground, text: str) -> Judged:
        """The volts, near enough; 0 where nothing ties the two together."""
        volts = self.reading.volts or 0.0
        shown = f"{volts:.0f} V" + (", floating" if self.reading.reads == "floating" else "")
        if "float" in text.casefold():
            return Judged(self.reading.reads == "floating", (shown,))
        found = value_of(text)
        if found is None or found[0] != "volts" or found[1] is None:
            raise plainly.NotUnderstood("Say the volts: 24, or 0.")
        near = abs(found[1] - volts) <= max(CLOSE_VOLTS, CLOSE_SHARE * volts)
        return Judged(near, (shown,))


class Opens(Struct, frozen=True):
    """A contact is put in line in a conductor, and opens in a state: what does a load do?"""

    case: Case
    load: str
    wire: str
    word: str

    def judge(self, _: Ground, text: str) -> Judged:
        """The word that the engine has for it with the conductor open."""
        return Judged(plainly.does(text) == plainly.so(self.word), (self.word,))


class Jumper(Struct, frozen=True):
    """A jumper lies across a contact in a state: what does a load do?"""

    case: Case
    load: str
    points: tuple[str, str]
    word: str

    def judge(self, _: Ground, text: str) -> Judged:
        """The word that the engine has for it with the jumper on."""
        return Judged(plainly.does(text) == plainly.so(self.word), (self.word,))


class Change(Struct, frozen=True):
    """The change has been made: what does a load do in a state, where it did this before?"""

    case: Case
    load: str
    before: str
    word: str
    stands: tuple[str, ...]

    def judge(self, _: Ground, text: str) -> Judged:
        """The word that the engine has for it after the change."""
        return Judged(plainly.does(text) == plainly.so(self.word), (self.word,))


class Lift(Struct, frozen=True):
    """Which conductor, opened alone, stops this load and touches nothing else?"""

    load: str
    answers: tuple[str, ...]

    def judge(self, ground: Ground, text: str) -> Judged:
        """Any that is clean by the engine."""
        said = plainly.name(text.split("(")[0], ground.circuit.conductors, "conductor")
        return Judged(said in self.answers, self.answers)


# --- how each is made ---------------------------------------------------------------------------------


def working(ground: Ground, random: Random) -> tuple[Case, str, tuple[str, ...]] | None:
    """A state, a load that works in it, and the way of its current."""
    for _ in range(TRIES):
        load = random.choice(ground.loads)
        case = random.choice([c for c in ground.cases if c.after.loads[load] in WORKING][:NEAR])
        hops = route(ground.view(case), load)
        if len(hops) > 3:
            return case, load, hops
    return None


def hidden(ground: Ground, load: str, hops: tuple[str, ...]) -> tuple[str, ...]:
    """A way without the name of the load's device."""
    tag = ground.circuit.loads[load].device
    return tuple(h.replace(f" {tag}.", " ?.").replace(f"{tag}.", "?.", h.startswith(f"{tag}.")) for h in hops)


def name(ground: Ground, random: Random) -> Name | None:
    """Name the load."""
    found = working(ground, random)
    if found is None or len(ground.loads) < 2:
        return None
    case, load, hops = found
    shown, view = hidden(ground, load, hops), ground.view(case)
    alike = [n for n in ground.loads if hidden(ground, n, route(view, n)) == shown]
    return Name(case, load, shown, tuple(alike))


def trace(ground: Ground, random: Random) -> Trace | None:
    """Trace the path."""
    found = working(ground, random)
    if found is None:
        return None
    case, load, hops = found
    own = ground.circuit.loads[load].device
    gaps = [k for k in range(1, len(hops)) if not hops[k].startswith(f"{own}.")]
    gap = random.choice(gaps)
    a = hops[0] if gap == 1 else hops[gap - 1].rpartition(" to ")[2]
    b = hops[gap].rpartition(" to ")[2]
    return Trace(case, load, hops, gap, (a, b), tuple(parts_between(ground, a, b)))


def parts_between(ground: Ground, a: str, b: str) -> list[str]:
    """The conductors between two terminals; else the elements there, and their devices."""
    circuit = ground.circuit
    wires = [w.id for w in circuit.conductors.values() if {w.a, w.b} == {a, b}]
    parts = [e for e in circuit.elements.values() if {getattr(e, "a", ""), getattr(e, "b", "")} == {a, b}]
    return [*wires, *dict.fromkeys(e.device for e in parts), *(e.id for e in parts)]


def runs(ground: Ground, random: Random) -> Runs | None:
    """Will it run?"""
    load, on = random.choice(ground.loads), random.random() < 0.5
    fits = [c for c in ground.cases if (c.after.loads[load] in WORKING) == on]
    return Runs(random.choice(fits[:NEAR]), load) if fits else None


def starts(ground: Ground, random: Random) -> Starts | None:
    """What does this switch do?"""
    world = ground.pair.world
    names = {v.name for v in world.variables if v.held is None and not v.by_motor}
    for _ in range(TRIES):
        case = random.choice(ground.cases[:NEAR])
        moves = list(single_moves(ground.pair, case, names))
        if not moves:
            continue
        switch, end = random.choice(moves)
        loads = tuple(changed_loads(ground.pair, case, end))
        if UNSURE & set(end.after.loads.values()) or (not loads and random.random() < 0.8):
            continue
        k = world.index[switch]
        return Starts(case, end, switch, world.variables[k].word(end.setting.bits[k]), loads)
    return None


def meter(ground: Ground, random: Random) -> Meter | None:
    """What does the meter show?"""
    points, plain = measured_points(ground), ground.pair.after
    for _ in range(TRIES):
        case, (a, b) = random.choice(ground.cases[:NEAR]), random.choice(points)
        reading = of_outcomes(plain, ground.inputs(case), (case.joint.after,), a, b)
        view = ground.view(case)
        sure = reading.reads == "floating" or (reading.reads == "value" and held(view, a) and held(view, b))
        if sure and (reading.volts or random.random() < 0.4):
            return Meter(case, (a, b), reading)
    return None


def measured_points(ground: Ground) -> list[tuple[str, str]]:
    """Across each contact, coil and load, and from a terminal to the return."""
    circuit = ground.circuit
    there, nets = used(circuit), circuit_nets(circuit)
    earth = {nets.root(t) for t in circuit.earth}
    found = [p for tag in circuit.devices for p in ways(circuit, tag) if set(p) <= there]
    backs = list(returns(circuit))
    hot = [t for t in circuit.terminals if t in there and nets.root(t) not in earth]
    return [*found, *((t, back) for back in backs for t in hot if t not in backs)]


def opens(ground: Ground, random: Random) -> Opens | None:
    """What does a contact in this conductor do?"""
    for _ in range(TRIES):
        found = working(ground, random)
        if found is None:
            return None
        case, load, _ = found
        wire = random.choice(list(ground.circuit.conductors))
        words = {w.loads[load] for w in ground.onward(Plain(without(ground.circuit, wire)), case)}
        same = words == {case.after.loads[load]}
        if len(words) == 1 and not words & UNSURE and (not same or random.random() < 0.2):
            return Opens(case, load, wire, words.pop())
    return None


def jumper(ground: Ground, random: Random) -> Jumper | None:
    """What does this jumper do?"""
    circuit = ground.circuit
    pairs = [p for c in circuit.contacts.values() if {*(p := (c.a, c.b))} <= used(circuit)]
    for _ in range(TRIES):
        case, (a, b), load = (
            random.choice(ground.cases[:NEAR]),
            random.choice(pairs),
            random.choice(ground.loads),
        )
        if ground.joined(case, a, b):
            continue
        jumped = replace(circuit, conductors={**circuit.conductors, "jumper": Conductor("jumper", a, b)})
        words = {w.loads[load] for w in ground.onward(Plain(jumped), case)}
        same = words == {case.after.loads[load]}
        unsure = words & (UNSURE - {SHORT})
        if len(words) == 1 and not unsure and (not same or random.random() < 0.15):
            return Jumper(case, load, (a, b), words.pop())
    return None


def change(ground: Ground, random: Random) -> Change | None:
    """What does this change do?"""
    if ground.changed is None:
        return None
    pair = Pair(ground.changed)
    both = [n for n in ground.changed.after.loads if n in ground.changed.before.loads]
    ran = {n: Word("before", n, WORKING) for n in both}
    other = [n for n in both if pair.exists(every(ran[n], Isnt(SameWord(n, n))))]
    differs = bool(other) and random.random() < 0.7
    load = random.choice(other if differs else both)
    same = SameWord(load, load)
    fits = list(pair.distinct(every(ran[load], Isnt(same) if differs else same)))[:20]
    fits = [c for c in fits if c.after.loads[load] not in UNSURE]
    if not fits:
        return None
    case = random.choice(fits)
    stands = tuple(
        f"{v.name} {v.word(b)}"
        for v, b in zip(pair.world.variables, case.setting.bits, strict=True)
        if b != v.normal or (v.after and ground.circuit.inputs[v.after].device in ground.changed.brought)
    )
    alike = [c for c in pair.distinct(EVERYWHERE) if c.setting.bits == case.setting.bits]
    more = [f"{d} moved" for d, moved in case.after.delays.items() if moved]
    more += [f"{n} {w}" for n, w in told_apart(case, alike)]
    return Change(case, load, case.befores[0].loads[load], case.after.loads[load], (*stands, *more))


def lifts(ground: Ground, random: Random) -> Lift | None:
    """Which conductor stops only this load?"""
    clean = {n: tuple(w for w, r in ground.lifts(n).items() if r.clean) for n in ground.loads}
    names = [n for n in ground.loads if clean[n]]
    if not names:
        return None
    load = random.choice(names)
    return Lift(load, clean[load])
