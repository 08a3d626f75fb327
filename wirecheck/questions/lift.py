"""`lift`: for every conductor, what opening it alone would do to a load and to everything else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.checks.pair import Pair
from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import (
    BACKWARD,
    CHATTERS,
    IN,
    OFF,
    ON,
    OUT,
    OVER,
    RUNS,
    SHORT,
    STALLS,
    UNKNOWN,
    WEAK,
    WORKING,
)
from wirecheck.engine.ask import ask
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.question import Not, RelayAt, SameWord, Shorted, every, some, word
from wirecheck.progress import steps

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Conductor, Estimate
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.question import Question

LOAD_WORDS = (OFF, STALLS, BACKWARD, WEAK, OVER, RUNS, ON, SHORT, CHATTERS, UNKNOWN)
Stops = Literal["always", "sometimes", "never"]


class Lifted(Struct, frozen=True):
    """What opening one conductor does. leaves: the words of the load where it ran before.

    others, relays: those whose word differs in some reachable state. clean: the load is only ever left off,
    nothing else differs, nothing starts.
    """

    wire: str
    stops: Stops
    leaves: tuple[str, ...]
    others: tuple[str, ...]
    relays: tuple[str, ...]
    clean: bool


class Lift(Struct, frozen=True):
    """The answer of `lift`: a row for each conductor, in the order of the file."""

    load: str
    conductors: tuple[Lifted, ...]


def without(circuit: Circuit, wire: str) -> Circuit:
    """The circuit with one conductor open."""
    return replace(circuit, conductors={i: w for i, w in circuit.conductors.items() if i != wire})


def lift(circuit: Circuit, load: str, plain: bool = False) -> Lift:
    """Open each conductor alone and compare with the unit as it is, over every reachable state of both."""
    last: dict[tuple[tuple[str, int], ...], Pair] = {}
    wires = steps("conductors", list(circuit.conductors.values()))
    rows = [opened(circuit, load, wire, last, plain) for wire in wires]
    return Lift(load, tuple(rows))


def opened(
    circuit: Circuit,
    load: str,
    wire: Conductor,
    last: dict[tuple[tuple[str, int], ...], Pair],
    plain: bool,
) -> Lifted:
    """The row of one conductor over all ends of the estimates. last: scenario -> the pair asked before."""
    changed = Changed(wire.id, circuit, without(circuit, wire.id))

    def run(scenario: Mapping[str, int]) -> tuple[Lifted, list[Estimate]]:
        key = tuple(sorted(scenario.items()))
        like = last.get(key)
        before = Plain(circuit, scenario) if like is None else like.before
        last[key] = pair = Pair(changed, scenario, before=before, plain=plain, like=like)
        return row(pair, load, wire.id), list(pair.sensitive.values())

    asked = ask(run)
    answers = list(asked.answers.values())
    return answers[0] if len(set(answers)) == 1 else blended(answers)


def row(pair: Pair, load: str, wire: str) -> Lifted:
    """The row of one conductor in one scenario."""
    after = pair.changed.after
    ran = word("before", load, WORKING)
    leaves = tuple(w for w in LOAD_WORDS if pair.exists(every(ran, word("after", load, {w}))))
    works = any(w in WORKING for w in leaves)
    stops: Stops = "never" if all(w in WORKING for w in leaves) else "sometimes" if works else "always"
    others = tuple(n for n in after.loads if n != load and differs(pair, SameWord(n, n)))
    relays = tuple(n for n in after.relays if differs(pair, same_relay(n)))
    same_or_off = some(SameWord(load, load), word("after", load, {OFF}))
    quiet = not (others or relays) and not differs(pair, same_or_off)
    shorted = pair.exists(every(Shorted("after"), Not(Shorted("before"))))
    clean = stops == "always" and leaves == (OFF,) and quiet and not shorted
    return Lifted(wire, stops, leaves, others, relays, clean)


def same_relay(name: str) -> Question:
    """A relay has the same word before and after."""
    words = [frozenset({w}) for w in (IN, OUT, CHATTERS)]
    return some(*(every(RelayAt("before", name, w), RelayAt("after", name, w)) for w in words))


def differs(pair: Pair, same: Question) -> bool:
    """Is there a state in which a question fails against every outcome before?"""
    return pair.exists(Not(same), every_outcome=True)


def blended(answers: list[Lifted]) -> Lifted:
    """One row for answers that differ with what is estimated: every word, and clean only where all are."""
    stops = {a.stops for a in answers}
    leaves = tuple(dict.fromkeys(w for a in answers for w in a.leaves))
    if len({a.leaves for a in answers}) > 1:
        leaves = tuple(dict.fromkeys((*leaves, UNKNOWN)))
    return Lifted(
        answers[0].wire,
        stops.pop() if len(stops) == 1 else "sometimes",
        leaves,
        joined(a.others for a in answers),
        joined(a.relays for a in answers),
        all(a.clean for a in answers),
    )


def joined(lists: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Every name of these, once."""
    return tuple(dict.fromkeys(n for names in lists for n in names))
