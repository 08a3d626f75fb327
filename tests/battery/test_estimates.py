"""What `states` says where another end of an estimate leads to more rests than the nominal one
(engine.md 2).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.build import load_circuit
from wirecheck.circuit.elements import Estimate
from wirecheck.engine.ask import ask
from wirecheck.engine.estimates import value
from wirecheck.questions.states import states

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

# K sealed is 115.2 ohm at power factor 0.3. With S open, 180 ohm in line leave it 47.8 % of its volts: below
# drop_out at nominal (60 %) and high (75 %), above it at low (20 %). Out it has a quarter of that
# impedance, at most the same: it never pulls in through the resistor. So with S open K is out at power-up,
# and after S was closed it is not known: where a word differs it is unknown.
UNIT = """
unit: {name: holds or not}
supplies: {MAINS: {kind: single-phase, volts: 24}}
devices:
  S: {type: switch}
  R: {type: resistor, ohms: 180}
  K: {type: relay-no, coil: {volts: 24, va: 5}}
  LA: {type: lamp, volts: 24, watts: 5}
rungs:
  - {id: A, path: [MAINS.L, R, K.coil, MAINS.N]}
  - {id: B, path: [MAINS.L, S, K.A1]}
  - {id: C, path: [MAINS.L, K.C-NO, LA, MAINS.N]}
"""


def test_a_rest_that_only_one_end_of_an_estimate_has(tmp_path: Path) -> None:
    file = tmp_path / "unit.yaml"
    file.write_text(UNIT, encoding="utf-8")
    rows = states(load_circuit(file)).rows
    opened = {(r.relays["K"], r.loads["LA"]) for r in rows if r.inputs["S"] == "open"}
    assert ("unknown", "unknown") in opened, opened
    assert {r.relays["K"] for r in rows if r.inputs["S"] == "closed"} == {"in"}


def test_an_estimate_that_no_scenario_names_stands_at_nominal() -> None:
    figure = Estimate("K.coil.va", 8.0, 2.0, 20.0)
    assert [value(figure, s) for s in ({}, {"K.coil.va": -1}, {"K.coil.va": 1}, {"other": 1})] == [
        8,
        2,
        20,
        8,
    ]


def test_every_end_is_asked_once_whatever_comes_up_on_the_way() -> None:
    """`b` decides only where `a` is high: nominal, the ends of a, then those of both."""
    a, b = (Estimate(name, 1.0, 0.5, 2.0) for name in "ab")
    asked: list[dict[str, int]] = []

    def run(scenario: Mapping[str, int]) -> tuple[int, list[Estimate]]:
        asked.append(dict(scenario))
        return sum(scenario.values()), [a, b] if scenario.get("a") == 1 else [a]

    found = ask(run)
    assert found.fields == ("a", "b")
    assert asked == [
        {}, {"a": -1}, {"a": 1},
        {"a": -1, "b": -1}, {"a": -1, "b": 1}, {"a": 1, "b": -1}, {"a": 1, "b": 1},
    ]  # fmt: skip
    assert found.answers == {(0, 0): 0, (-1, -1): -2, (-1, 1): 0, (1, -1): 0, (1, 1): 2}
