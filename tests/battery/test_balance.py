"""The balance itself: it weighs, and a wrong solution does not pass it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.balance import weigh
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.states import states

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """
unit: {name: reflected}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  X1: {type: transformer, volts: [120, 24], va: 40}
  HP: {type: heater, volts: 120, watts: 100}
  HS: {type: heater, volts: 24, watts: 100}
rungs:
  - {id: A, path: [MAINS.L, HP, X1.H1]}
  - {id: B, path: [MAINS.N, X1.H2]}
  - {id: C, path: [X1.R, HS, X1.C]}
"""


def test_every_solution_is_weighed(tmp_path: Path, weighed: list[int]) -> None:
    states(written(tmp_path))
    assert weighed[0] > 0


@pytest.mark.parametrize("wrong", ["volts", "amps", "winding"])
def test_a_wrong_solution_is_refused(tmp_path: Path, wrong: str) -> None:
    plain = Plain(written(tmp_path))
    view = plain.look((), *plain.cold())
    (placed,) = view.network.parts
    right = view.solution(0, {})
    weigh(placed.part, plain.transformers, {}, right)
    found = {
        "volts": replace(right, volts=tuple(1.01 * v for v in right.volts)),
        "amps": replace(right, amps={i: 1.01 * a for i, a in right.amps.items()}),
        "winding": replace(
            right, winding_amps={c: tuple(-i for i in w) for c, w in right.winding_amps.items()}
        ),
    }[wrong]
    with pytest.raises(AssertionError):
        weigh(placed.part, plain.transformers, {}, found)


def written(folder: Path):  # type: ignore[no-untyped-def]
    file = folder / "unit.yaml"
    file.write_text(UNIT, encoding="utf-8")
    return load_circuit(file)
