"""Every reachable state by the plain evaluator alone: what the sentences are held against."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from wirecheck.api import circuit_of
from wirecheck.circuit.bind import bind, names_of
from wirecheck.condition import parse_condition
from wirecheck.engine.holds import holds
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World
from wirecheck.problem import Place

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.plain.explore import Joint
    from wirecheck.engine.world import Setting

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
# With latches, delays, races, a heater fed through a winding, three phases, two supplies.
UNITS = (
    ("anti-short-cycle", "change.yaml"),
    ("bakery-proofer", None),
    ("crankcase-heater", None),
    ("greenhouse-fan", "change.yaml"),
    ("lockout", "change.yaml"),
    ("off-delay-fan", "change.yaml"),
    ("smoke-shutdown", None),
    ("tidewater-playhouse", None),
    ("two-pumps", "change.yaml"),
    ("walk-in-pump-down", "change.yaml"),
)


class State(NamedTuple):
    setting: Setting
    words: Words
    joint: Joint


class Walked:
    """A unit walked everywhere."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.world = World(circuit)
        self.plain = Plain(circuit)
        self.explorer = Explorer(self.world, self.plain).run()
        self.states = [State(j.setting, self.words(j), j) for j in self.explorer.came]

    def words(self, joint: Joint) -> Words:
        return self.explorer.words(True, joint.setting, joint.after)

    def holds(self, condition: str, state: State) -> bool:
        found = bind(parse_condition(condition), names_of(self.circuit), condition, Place("test"))
        truth = holds(found, self.world, self.circuit, state.setting, state.words)
        assert truth is not None
        return truth

    def standing(self, said: str) -> list[State]:
        """The states that words like `TH.cool closed, HP open, all else as usual` mean."""
        named = dict(p.rsplit(" ", 1) for p in said.replace(" and ", ", ").split(", ") if " usual" not in p)
        found = []
        for s in self.states:
            places = zip(self.world.variables, s.setting.bits, strict=True)
            away = {v.name: v.word(b) for v, b in places if b != v.normal}
            moved = {d: "moved" for d, at in s.words.delays.items() if at}
            if away | moved == named:
                found.append(s)
        return found


def paths(name: str, change: str | None) -> tuple[str, str | None]:
    folder = EXAMPLES / name
    return str(folder / "unit.yaml"), None if change is None else str(folder / change)


@cache
def walked(name: str, change: str | None) -> Walked:
    return Walked(circuit_of(*paths(name, change)))
