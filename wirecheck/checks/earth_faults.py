"""Earth faults: what would start, or could no longer be stopped, if a conductor of the change touched earth.

Always notes. Each net on which the change brings or moves a conductor is joined to the protective earth, one
at a time, and the unit with that fault is driven beside the sound one through all that can be reached. That
is no check of the change as it is made, so it stands under the check that only ever notes.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.finding import Finding
from wirecheck.checks.live_parts import NAME
from wirecheck.circuit.elements import Conductor
from wirecheck.circuit.graph import Changed, Terms
from wirecheck.engine.answers import (
    BACKWARD,
    CHATTERS,
    IN,
    OFF,
    OUT,
    OVER,
    STALLS,
    UNKNOWN,
    WEAK,
    WORKING,
    TooMany,
)
from wirecheck.engine.question import Not, RelayAt, Shorted, Word, every

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Short
    from wirecheck.engine.question import Question, Side

# Joint states looked at for all conductors together; a unit with more is told so. Project rule.
LOOKS = 1_000_000
AILING = frozenset({STALLS, WEAK, OVER, BACKWARD, CHATTERS})

Stand = tuple[int, bool]  # number of a variable, moved?


def notes(pair: Pair) -> Iterator[Finding]:
    """One note for each thing that an earth fault would do, with the conductors that do it."""
    poles, earth = pair.changed.after.poles, pair.changed.after.earth
    pole = next((t for t in poles if t in earth), None)
    if pole is None:
        return
    nets = touched(pair)
    most = LOOKS // pair.count if pair.count else 0
    found: dict[str, tuple[list[str], dict[str, None]]] = {}
    last: Pair | None = None
    for wires in nets[:most]:
        fault = faulty(pair, wires, pole, last)
        try:
            says, needs = told(pair, fault)
            last = fault
        except TooMany:
            says, needs = "not looked at, it comes to too many states", ()
        names, fields = found.setdefault(says, ([], {}))
        names += [w.id for w in wires]
        fields |= dict.fromkeys(needs)
    for says, (names, fields) in found.items():
        guess = f" (with the usual figures of what is not given: {', '.join(fields)})" if fields else ""
        yield finding(names, f"{says}{guess}", tuple(fields))
    if left := [w.id for wires in nets[most:] for w in wires]:
        yield finding(left, f"not looked at, it would be over {LOOKS} states")


def finding(wires: list[str], says: str, fields: tuple[str, ...] = ()) -> Finding:
    """A note on conductors, under the first of them."""
    return Finding(NAME, wires[0], "note", f"{', '.join(wires)} touching earth: {says}", None, fields)


def touched(pair: Pair) -> list[list[Conductor]]:
    """The conductors that the change brings or moves, by net; those that lie at earth anyhow are left out."""
    before, after, of = pair.changed.before, pair.changed.after, pair.after.nets.of
    earth = {of[t] for t in after.earth}
    found: dict[int, list[Conductor]] = {}
    for wire in after.conductors.values():
        old = before.conductors.get(wire.id)
        if (old is None or (old.a, old.b) != (wire.a, wire.b)) and of[wire.a] not in earth:
            found.setdefault(of[wire.a], []).append(wire)
    return list(found.values())


def faulty(pair: Pair, wires: list[Conductor], pole: str, like: Pair | None) -> Pair:
    """The sound unit beside the one in which these conductors touch earth."""
    right = pair.changed.after
    touch = Conductor(f"{wires[0].id} to earth", wires[0].a, pole)
    wrong = replace(right, conductors={**right.conductors, touch.id: touch})
    changed = Changed("earth fault", right, wrong, terms=Terms())
    return type(pair)(changed, pair.after.scenario, before=pair.after, like=like)


def told(pair: Pair, fault: Pair) -> tuple[str, tuple[str, ...]]:
    """What a fault does, in words, and the estimates that this rests on. Raises TooMany."""
    known = set(pair.sensitive)
    return Fault(fault).says(), tuple(f for f in fault.sensitive if f not in known)


class Fault:
    """What one earth fault does. pair: the sound unit before it, the unit with it after."""

    def __init__(self, pair: Pair) -> None:
        self.pair, self.circuit = pair, pair.changed.after
        self.places = tuple(range(len(pair.world.variables)))
        external = (r.name for r in self.circuit.relays.values() if r.external)
        self.watched = (*self.circuit.loads, *external)

    def says(self) -> str:
        """All of it in a sentence, what is worst first."""
        working = {name: self._works(name) or self._ails(name) for name in self.watched}
        still = [name for name, says in working.items() if not says]
        parts = [
            *together(working),
            self._shorts(),
            *together({name: self._stops(name) for name in still}),
            *together({name: self._unsure(name) for name in still}),
        ]
        return "; ".join(filter(None, parts)) or "no load does otherwise"

    def _at(self, side: Side, name: str, words: frozenset[str]) -> Question:
        """A load, or a relay that works something outside, has one of these words."""
        if name in self.circuit.loads:
            return Word(side, name, words)
        return RelayAt(side, name, words)

    def _word(self, case: Case, name: str) -> str:
        return case.after.loads.get(name) or case.after.relays[name]

    def _off(self, name: str) -> Question:
        return self._at("before", name, frozenset({OFF, OUT}))

    def _works(self, name: str) -> str:
        """It works where it would be off."""
        return self._otherwise(name, WORKING | {IN})

    def _ails(self, name: str) -> str:
        """It stalls, or is weak or overfed, where it would be off."""
        return self._otherwise(name, AILING)

    def _otherwise(self, name: str, words: frozenset[str]) -> str:
        question = every(self._off(name), self._at("after", name, words))
        case = next(self.pair.where(question), None)
        if case is None:
            return ""
        now, kept = self._word(case, name), self._keeps_off(name)
        if kept is None:
            return f"{now}, which it never is otherwise"
        lost = kept & self._stands(question)
        if not lost:
            return f"{now} {self._where(case)}, where it would be off"
        which = "which keeps" if len(lost) == 1 else "each of which keeps"
        return f"{now} with {listed(self._positions(lost), 'or')}, {which} it off otherwise"

    def _keeps_off(self, name: str) -> set[Stand] | None:
        """The positions of switches in each of which it is off in every state; None where it is so in all."""
        at_work = self._stands(self._at("before", name, WORKING | AILING | {IN}))
        both = {(k, moved) for k in self.places for moved in (False, True)}
        return both - at_work if at_work or not self.places else None

    def _stands(self, question: Question) -> set[Stand]:
        """Where each switch stands in some state in which a question holds."""
        return {s for bits in self.pair.positions(question, self.places) for s in enumerate(bits)}

    def _shorts(self) -> str:
        case = next(self.pair.where(self._new_short), None)
        short = None if case is None else case.joint.after.short
        if case is None or short is None:
            return ""
        return f"{shorted(self.circuit, short)} is shorted {self._where(case)}: {opens(self.circuit, short)}"

    @cached_property
    def _new_short(self) -> Question:
        return every(Shorted("after"), Not(Shorted("before")))

    def _stops(self, name: str) -> str:
        """It does not work where it would. Not told of what a short puts out."""
        words = AILING if self.pair.exists(self._new_short) else AILING | {OFF, OUT}
        working = self._at("before", name, WORKING | {IN})
        question = every(working, self._at("after", name, words), Not(Shorted("after")))
        case = next(self.pair.where(question), None)
        return "" if case is None else f"{self._word(case, name)} {self._where(case)}, where it would run"

    def _unsure(self, name: str) -> str:
        """What it does cannot be told."""
        if name not in self.circuit.loads:
            return ""
        unknown = frozenset({UNKNOWN})
        case = next(
            self.pair.where(every(Word("after", name, unknown), Not(Word("before", name, unknown)))), None
        )
        if case is None:
            return ""
        return f"cannot be told {self._where(case)} without {', '.join(case.after.why.get(name, ()))}"

    def _positions(self, stands: set[Stand]) -> list[str]:
        """Positions in words: "TH.cool open"."""
        variables = self.pair.world.variables
        return [f"{variables[k].name} {variables[k].word(moved)}" for k, moved in sorted(stands)]

    def _where(self, case: Case) -> str:
        """A state in words: what stands otherwise than in ordinary operation."""
        bits = self.pair.shown(case).setting.bits
        places = enumerate(zip(self.pair.world.variables, bits, strict=True))
        away = self._positions({(k, moved) for k, (v, moved) in places if moved != v.normal})
        return f"with {listed(away, 'and')}" if away else "in ordinary operation"


def together(said: dict[str, str]) -> Iterator[str]:
    """What is said of each name, of several at once where it is the same."""
    names: dict[str, list[str]] = {}
    for name, says in said.items():
        names.setdefault(says, []).append(name)
    for says, of in names.items():
        if says:
            yield f"{', '.join(of)}: {says}" if len(of) > 1 else f"{of[0]} {says}"


def shorted(circuit: Circuit, short: Short) -> str:
    """What feeds a short: the transformer whose secondary its way begins at, else its supplies."""
    device = circuit.device_of(short.path[0])
    return ", ".join(sorted(short.supplies)) if device is None else device.tag


def opens(circuit: Circuit, short: Short) -> str:
    """The fuses and breakers on the way of a short."""
    devices = {d.tag: d for t in short.path if (d := circuit.device_of(t)) is not None}
    found = [tag for tag, d in devices.items() if d.fuse or d.symbol == "breaker"]
    return f"{listed(found, 'or')} opens" if found else "no fuse or breaker of the file is on its way"


def listed(names: list[str], last: str) -> str:
    """A, B or C."""
    return f" {last} ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
