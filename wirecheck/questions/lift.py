"""`lift`: for every conductor, what opening it alone would do to a load and to everything else."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from wirecheck.checks.pair import Pair
from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import OFF, UNKNOWN, WORKING
from wirecheck.engine.ask import ask
from wirecheck.engine.plain.evaluator import Plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Conductor, Estimate
    from wirecheck.circuit.graph import Circuit

Stops = Literal["always", "sometimes", "never"]


@dataclass(frozen=True)
class Lifted:
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


@dataclass(frozen=True)
class Lift:
    load: str
    conductors: tuple[Lifted, ...]


def without(circuit: Circuit, wire: str) -> Circuit:
    """The circuit with one conductor open."""
    return replace(circuit, conductors={i: w for i, w in circuit.conductors.items() if i != wire})


def lift(circuit: Circuit, load: str) -> Lift:
    """Open each conductor alone and compare with the unit as it is, over every reachable state of both."""
    units: dict[tuple[tuple[str, int], ...], Plain] = {}
    rows = [opened(circuit, load, wire, units) for wire in circuit.conductors.values()]
    return Lift(load, tuple(rows))


def opened(
    circuit: Circuit, load: str, wire: Conductor, units: dict[tuple[tuple[str, int], ...], Plain]
) -> Lifted:
    changed = Changed(wire.id, circuit, without(circuit, wire.id))

    def run(scenario: Mapping[str, int]) -> tuple[Lifted, list[Estimate]]:
        before = units.setdefault(tuple(sorted(scenario.items())), Plain(circuit, scenario))
        pair = Pair(changed, scenario, before=before)
        return row(pair, load, wire.id), [*before.sensitive.values(), *pair.after.sensitive.values()]

    asked = ask(run)
    answers = list(asked.answers.values())
    return answers[0] if len(set(answers)) == 1 else blended(answers)


def row(pair: Pair, load: str, wire: str) -> Lifted:
    """The row of one conductor in one scenario."""
    ran = [c for c in pair.cases if any(b.loads[load] in WORKING for b in c.befores)]
    leaves = tuple(dict.fromkeys(c.after.loads[load] for c in ran))
    after = pair.changed.after
    others = tuple(n for n in after.loads if n != load and differs(pair, "loads", n))
    relays = tuple(n for n in after.relays if differs(pair, "relays", n))
    starts = any(
        c.after.loads[load] in WORKING and all(b.loads[load] not in WORKING for b in c.befores) for c in pair.cases
    )
    stopped = [w not in WORKING for w in (c.after.loads[load] for c in ran)]
    stops: Stops = "never" if not any(stopped) else "always" if all(stopped) else "sometimes"
    only_off = all(
        c.after.loads[load] == OFF or any(b.loads[load] == c.after.loads[load] for b in c.befores) for c in pair.cases
    )
    shorted = any(c.shorted and not c.shorted_before for c in pair.cases)
    clean = stops == "always" and leaves == (OFF,) and only_off and not (others or relays or starts or shorted)
    return Lifted(wire, stops, leaves, others, relays, clean)


def differs(pair: Pair, kind: str, name: str) -> bool:
    return any(all(getattr(b, kind)[name] != getattr(c.after, kind)[name] for b in c.befores) for c in pair.cases)


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
        tuple(dict.fromkeys(n for a in answers for n in a.others)),
        tuple(dict.fromkeys(n for a in answers for n in a.relays)),
        all(a.clean for a in answers),
    )
