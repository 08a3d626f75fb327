"""The kinds of questions, easiest first. To add one: a class with `judge`, a maker, and its line here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.drill import asked, dead, fault

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

    from wirecheck.questions.drill.ground import Ground

Question = (
    asked.Name
    | asked.Trace
    | asked.Runs
    | asked.Starts
    | asked.Meter
    | dead.Dead
    | asked.Opens
    | asked.Jumper
    | asked.Change
    | asked.Lift
    | fault.Hunt
)

KINDS: dict[str, Callable[[Ground, Random], Question | None]] = {
    "name": asked.name,
    "trace": asked.trace,
    "runs": asked.runs,
    "starts": asked.starts,
    "meter": asked.meter,
    "dead": dead.dead,
    "opens": asked.opens,
    "jumper": asked.jumper,
    "change": asked.change,
    "lift": asked.lifts,
    "fault": fault.hunt,
}


def make(ground: Ground, key: str) -> Question | None:
    """The question of a key, `runs-3`: the same for the same unit, seed and key. None where there is none."""
    kind, _, number = key.rpartition("-")
    if kind not in KINDS or not ground.loads:
        return None
    return KINDS[kind](ground, ground.random(kind, int(number)))


def gist(q: Question) -> object:
    """Equal for questions of which one is enough: the same load to name, the same conductor to find."""
    match q:
        case asked.Name() | asked.Lift():
            return type(q), q.load
        case asked.Trace():
            return type(q), q.at
        case fault.Hunt():
            return type(q), q.fault.id
        case _:
            return q
