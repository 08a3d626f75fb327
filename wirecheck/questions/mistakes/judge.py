"""What a mistake would do: the unit with it beside the unit as it should be, over every reachable state."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.checks import (
    isolation,
    no_chatter,
    no_cross_feed,
    no_earth_return,
    no_short,
    no_sneak,
    no_stall,
    protections,
    ratings,
)
from wirecheck.checks.case import in_order
from wirecheck.checks.earthing import unearthed
from wirecheck.checks.live import live_terminals
from wirecheck.circuit.elements import Estimate
from wirecheck.circuit.graph import Changed, Terms
from wirecheck.engine.answers import OFF, UNKNOWN
from wirecheck.engine.question import At, Live, Not, RelayAt, SameWord, Word, every, some
from wirecheck.questions.lift import same_relay
from wirecheck.questions.mistakes.same import senses

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.finding import Finding
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Impedance
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.plain.explore import Joint
    from wirecheck.engine.question import Question, Side
    from wirecheck.engine.solver import View
    from wirecheck.questions.mistakes.trial import Trial

Severity = Literal[
    "hurts someone",
    "destroys something",
    "protection lost",
    "does not do its job",
    "seen at once",
    "not in this model",
    "never seen",
]
SEVERITIES: tuple[Severity, ...] = (
    "hurts someone",
    "destroys something",
    "protection lost",
    "does not do its job",
    "seen at once",
    "not in this model",
    "never seen",
)
# The rule: what a mistake is called is the first of these that some state shows, beside the right circuit.
# Parts that an open disconnect leaves live, current in the protective earth, two circuits that feed into
# each other, a case without earth, or a loose end that is live can hurt someone; a short, a stalled, weak
# or overfed load and a relay that finds no rest destroy something. A load that does otherwise in some state
# does not do its job, or is seen at once where nothing but a hand has to bring that state about; nor does it
# where it is fed through another, or where an element is at other volts. Where nothing does otherwise, but
# a device feels other volts at a terminal whose working the file does not describe, this model cannot tell.
# Where all that does the same, too much for a contact or conductor destroys it, and a load that stays live
# when it is off does not do its job.
RULES: tuple[tuple[Severity, Callable[[Pair], Iterator[Finding]]], ...] = (
    ("hurts someone", isolation.check),
    ("hurts someone", no_earth_return.check),
    ("hurts someone", no_cross_feed.check),
    ("destroys something", no_short.check),
    ("destroys something", no_stall.check),
    ("destroys something", no_chatter.check),
    ("protection lost", protections.check),
)
# An element does otherwise where its volts differ by this share of those that it is made for (engine.md,
# "takes effect"); where the file does not say those, they are taken for this many. Project rules.
APART, MAINS = 0.1, 120.0
MOST_COMPARED = 1 << 12  # states, some seconds


class Differs(Struct, frozen=True):
    """A load, or a relay that works something outside the file, that does otherwise; the smallest such state.

    joint: that state, of both circuits side by side. at_hand: in some such state nothing but what a hand sets
    stands away from ordinary operation.
    """

    name: str
    right: str
    wrong: str
    inputs: dict[str, str]
    ranges: dict[str, str]
    joint: Joint
    at_hand: bool


class Does(Struct, frozen=True):
    """What one mistake does. says: what the checks find beside the right circuit, the worst first."""

    severity: Severity
    differs: tuple[Differs, ...]
    says: tuple[str, ...]

    @property
    def matters(self) -> bool:
        return self.severity != "never seen"


NOTHING = Does("never seen", (), ())
SIDES: tuple[Side, Side] = ("before", "after")


def beside(right: Circuit, wrong: Circuit) -> Changed:
    """The mistake as a change of the right circuit, of which nothing is declared and nothing is new."""
    return Changed("mistake", right, wrong, terms=Terms())


def does(trial: Trial) -> Does:
    """What the mistake does beside the right circuit: the worst by the stated rule, and what shows it."""
    differs = tuple(differences(trial))
    lost = unearthed(trial.changed.before, trial.changed.after)
    plain = (*live_ends(trial), *(f"{t} is no longer earthed" for t in lost))
    for severity, rules in groupby(RULES, key=lambda r: r[0]):
        found = [f.says for _, check in rules for f in check(trial) if f.verdict == "fail"]
        says = (*(plain if severity == "hurts someone" else ()), *dict.fromkeys(found))
        if says:
            return Does(severity, differs, says)
    if differs:
        hand = any(d.at_hand for d in differs)
        return Does("seen at once" if hand else "does not do its job", differs, ())
    sneaks = tuple(f.says for f in no_sneak.check(trial) if f.verdict == "fail")
    if not sneaks and (why := too_many(trial)):
        return Does("not in this model", (), (why,))
    if says := sneaks or tuple(other_volts(trial)):
        return Does("does not do its job", (), says)
    if says := tuple(f.says for f in ratings.check(trial) if f.verdict == "fail"):
        return Does("destroys something", (), says)
    if says := tuple(left_live(trial)):
        return Does("does not do its job", (), says)
    says = tuple(unmodelled(trial))
    return Does("not in this model", (), says) if says else NOTHING


def left_live(trial: Trial) -> Iterator[str]:
    """Terminals of loads that stay live when the load is off, and did not."""
    circuits = trial.changed.before, trial.changed.after
    for name, load in circuits[1].loads.items():
        there = [t for t in circuits[1].devices[load.device].terminals if t in circuits[0].terminals]
        off = [word_is(side, trial, name, OFF) for side in SIDES if name in circuits[0].loads]
        for t in there if off else ():
            if trial.exists(every(*off, Live("after", t), Not(Live("before", t)))):
                yield f"{t} stays live when {name} is off"


def too_many(trial: Trial) -> str:
    """Why volts inside are not compared, "" where they are: that is done a state at a time."""
    return f"volts inside are not compared in {trial.count} states" if trial.count > MOST_COMPARED else ""


def differences(trial: Trial) -> Iterator[Differs]:
    """Each load, and each relay that works something outside, with each pair of words that ever differ.

    The nearest to ordinary operation first.
    """
    names = [n for n in watched(trial.changed.after) if n in watched(trial.changed.before)]
    found = [d for name in names for d in _differs(trial, name)]
    return iter(sorted(found, key=lambda d: _near(trial, d)))


def _near(trial: Trial, found: Differs) -> tuple[object, ...]:
    setting = found.joint.setting
    return trial.world.away(setting), in_order(setting)


def _differs(trial: Trial, name: str) -> Iterator[Differs]:
    """The pairs of words, right and wrong, that a load or relay ever has; each in the nearest state."""
    left = _otherwise(trial, name)
    while (case := _first(trial, name, left)) is not None:
        now, was = word(case, name), words_before(case, name)[0]
        pair = every(left, word_is("before", trial, name, was), word_is("after", trial, name, now))
        hand = _first(trial, name, every(pair, *_set_by_hand(trial))) is not None
        yield Differs(name, was, now, trial.inputs(case), trial.ranges(case.setting), case.joint, hand)
        left = every(left, Not(pair))


def _first(trial: Trial, name: str, question: Question) -> Case | None:
    """The nearest state in which a question holds and the word differs from every one before."""
    for case in trial.where(question):
        now, was = word(case, name), words_before(case, name)
        if now not in was and UNKNOWN not in (now, *was):
            return case
    return None


def _otherwise(trial: Trial, name: str) -> Question:
    """The word of a load or relay is known on both sides, and not the same."""
    if name in trial.changed.after.loads:
        known = (Not(word_is(side, trial, name, UNKNOWN)) for side in SIDES)
        return every(Not(SameWord(name, name)), *known)
    return Not(same_relay(name))


def word_is(side: Side, trial: Trial, name: str, said: str) -> Question:
    """A load or a relay has this word."""
    if name in trial.changed.after.loads:
        return Word(side, name, frozenset({said}))
    return RelayAt(side, name, frozenset({said}))


def _set_by_hand(trial: Trial) -> Iterator[Question]:
    """Every switch that no hand sets stands as in operation: protections, and those on a quantity."""
    for v in trial.world.variables:
        if v.after is not None and v.after in trial.guarded:
            yield At("after", v.after, v.normal)


def watched(circuit: Circuit) -> tuple[str, ...]:
    """What does the unit's work: loads, and relays that work something outside the file."""
    return (*circuit.loads, *(r.name for r in circuit.relays.values() if r.external))


def word(case: Case, name: str) -> str:
    """The word of a load or relay of the mistaken unit."""
    return case.after.loads.get(name) or case.after.relays[name]


def words_before(case: Case, name: str) -> list[str]:
    """The words of a load or relay of the right unit, one for each outcome."""
    return [b.loads.get(name) or b.relays[name] for b in case.befores]


def live_ends(trial: Trial) -> tuple[str, ...]:
    """The first loose end of the mistake that is live in some state, in words."""
    ends = trial.changed.after.loose - trial.changed.before.loose
    live = some(*(Live("after", end) for end in sorted(ends)))
    for case in trial.where(live) if ends else ():
        for view in trial.views(trial.shown(case).joint):
            for end, volts in live_terminals(view).items():
                if end in ends:
                    return (f"{end.partition(':')[0]} hangs loose and is live, {volts:.0f} V to earth",)
    return ()


def other_volts(trial: Trial) -> Iterator[str]:
    """Elements that have other volts in some state though every load does the same, in words."""
    seen: set[str] = set()
    for case in trial.distinct():
        now, was = next(trial.views(case.joint)), list(trial.views_before(case.joint))
        for name, z in trial.after.impedances.items():
            if name in seen or name not in trial.before.impedances:
                continue
            volts = [abs(v.across(name, v.plain.scenario)) for v in (now, *was)]
            if all(abs(volts[0] - v) >= APART * rated(z) for v in volts[1:]):
                seen.add(name)
                trial.shown(case)
                yield f"{name} is at {volts[0]:.0f} V where it should be at {volts[1]:.0f} V"


def unmodelled(trial: Trial) -> Iterator[str]:
    """Terminals that feel other volts than they should, where the file does not say what follows."""
    left = set(senses(trial.changed.before))
    for case in trial.distinct() if left else ():
        now, was = next(trial.views(case.joint)), list(trial.views_before(case.joint))
        for t in sorted(left):
            if all(_felt(now, t) != _felt(v, t) for v in was):
                left.discard(t)
                trial.shown(case)
                yield f"{t} feels other volts than it should, and the file does not say what follows"


def _felt(view: View, terminal: str) -> tuple[bool, int]:
    """Whether a terminal's potential is known, and its volts to earth, to ten."""
    found = view.potential(terminal)
    known = found.ref == "" and found.driven
    return known, int(round(abs(found.volts), -1)) if known else 0


def rated(z: Impedance) -> float:
    """The volts that an element is made for; those of mains where the file does not say."""
    volts = getattr(z, "volts", None)
    return MAINS if volts is None else volts.nominal if isinstance(volts, Estimate) else float(volts)
