"""What is asked of a unit or a change. All raise BadInput."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from wirecheck.api.files import (
    circuit_of,
    holding_of,
    pair_of,
    quantity_of,
    said,
    standing_of,
    terminals,
    unit_of,
    value_of,
)
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.questions.lift import Lift
    from wirecheck.questions.lookalikes import Advice
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.ohms import Ohms
    from wirecheck.questions.ramp import Ramp
    from wirecheck.questions.states import States
    from wirecheck.questions.verify import Verified


def verify(unit: str, change: str, plain: bool = False) -> tuple[Changed, Verified]:
    """Is the change right? Where both are unit files: is what differs between them?"""
    from wirecheck.api.comparing import compared_of, is_unit
    from wirecheck.questions import verify as question

    changed = compared_of(unit, change) if is_unit(change) else pair_of(unit, change)
    return changed, question.verify(changed, plain=plain)


def states(
    unit: str, change: str | None = None, when: str = "", plain: bool = False
) -> tuple[Circuit, States]:
    """Every reachable settled state of the unit, or of the unit as changed. Raises TooMany."""
    from wirecheck.questions import states as question

    circuit = circuit_of(unit, change)
    holding = holding_of(circuit, when)
    found = question.states(holding.circuit, holding.inputs, plain)
    rows = tuple(row for row in found.rows if holding.admits(row.inputs, row.relays))
    return circuit, question.States(found.inputs, rows)


def lift(unit: str, load: str, plain: bool = False) -> tuple[Lift, Advice]:
    """What opening each conductor alone would do to a load, and which one to lift. Raises TooMany."""
    from wirecheck.circuit.ask import bind_load
    from wirecheck.questions import lift as question
    from wirecheck.questions.lookalikes import advice

    circuit = unit_of(unit)
    name = said("LOAD", load, lambda place: bind_load(load, circuit, place))
    found = question.lift(circuit, name, plain)
    return found, advice(circuit, found, plain)


def meter(
    unit: str, change: str | None, a: str, b: str, when: str = "", at_step: int | None = None
) -> tuple[Circuit, Reading]:
    """What a voltmeter reads between two terminals. Raises TooMany.

    at_step: in the middle of the change, after so many of its plain steps.
    """
    from wirecheck.questions import meter as question
    from wirecheck.questions import reached
    from wirecheck.questions.holding import not_reached, ordinary

    circuit = standing_of(unit, change, at_step)
    ends = terminals(circuit, a, b)
    holding = holding_of(circuit, when)
    said("--when", when, lambda place: ordinary(holding, when, place))
    if not holding.delays and not holding.relays:
        return circuit, question.meter(holding.circuit, *ends, holding.inputs)
    reading = reached.meter(holding, *ends)
    return circuit, reading or said("--when", when, not_reached)


def live(
    unit: str, change: str | None, when: str = "", at_step: int | None = None
) -> tuple[Circuit, Reading]:
    """What is live, no meter put anywhere. Raises TooMany."""
    from msgspec.structs import replace

    earth = next(iter(standing_of(unit, change, at_step).terminals), "")
    circuit, reading = meter(unit, change, earth, earth, when, at_step)
    return circuit, replace(reading, touching=tuple(circuit.loads))


def ohms(
    unit: str, change: str | None, a: str, b: str, when: str = "", at_step: int | None = None
) -> tuple[Circuit, Ohms]:
    """What an ohmmeter reads between two terminals, the supplies away. Raises TooMany."""
    from wirecheck.questions import ohms as question
    from wirecheck.questions.holding import ordinary, switches_only

    circuit = standing_of(unit, change, at_step)
    ends = terminals(circuit, a, b)
    holding = holding_of(circuit, when)
    said("--when", when, lambda place: switches_only(holding, place))
    said("--when", when, lambda place: ordinary(holding, when, place))
    return circuit, question.ohms(holding.circuit, *ends, holding.inputs)


def ramp(
    unit: str, change: str | None, quantity: str, values: tuple[str, ...], when: str = ""
) -> tuple[Circuit, Ramp]:
    """What happens as a quantity goes from one value to the next, and so on. Raises TooMany."""
    from wirecheck.questions import ramp as question
    from wirecheck.questions.holding import ordinary, switches_only

    circuit = circuit_of(unit, change)
    name = said("QUANTITY", quantity, lambda place: quantity_of(circuit, quantity, place))
    found = tuple(said("VALUE", v, partial(value_of, circuit, name, v)) for v in values)
    holding = holding_of(circuit, when)
    said("--when", when, lambda place: switches_only(holding, place))
    said("--when", when, lambda place: ordinary(holding, when, place))
    try:
        return circuit, question.ramp(holding.circuit, name, found, holding.inputs)
    except question.NotSensed:
        message = f"no switch that is wired senses {name}."
        raise BadInput([Problem("unknown-condition", message, Place("QUANTITY", 1, 1, len(name)))]) from None


def mistakes(unit: str, change: str, plain: bool = False) -> Mistakes:
    """Every single wiring mistake of a change, and the observations that show them. Raises TooMany."""
    from wirecheck.questions.mistakes import answer

    return answer.mistakes(pair_of(unit, change), plain)
