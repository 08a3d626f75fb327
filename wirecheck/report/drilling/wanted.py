"""What an answer to a question of the drill looks like."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.questions.drill import asked
from wirecheck.questions.drill.dead import Dead

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.drill.kinds import Question


def wanted(circuit: Circuit, q: Question) -> str:
    """In a few words, for somebody who typed nothing."""
    match q:
        case asked.Name():
            return f"the name of a load, such as {next(iter(circuit.loads))}"
        case asked.Trace():
            return f"the name of a conductor or part, such as {next(iter(circuit.conductors))}"
        case asked.Starts():
            return f"the names of the loads that change, such as {next(iter(circuit.loads))}, or none"
        case asked.Meter():
            return "a number of volts, such as 24, or floating"
        case Dead():
            return f"the names of switches and fuses, such as {next(iter(circuit.inputs))}, or none"
        case asked.Lift():
            return f"the name of a conductor, such as {next(iter(circuit.conductors))}"
        case asked.Runs() | asked.Opens() | asked.Jumper() | asked.Change():
            return f"one word of {choice(circuit, q.load)}"
        case _:
            return "two terminals to measure, or the name of the broken part"


def choice(circuit: Circuit, load: str) -> str:
    """The words that a load may have."""
    if isinstance(circuit.loads[load], Motor):
        return "runs, off, hums, backward, over, short"
    return "on, off, weak, over, short"
