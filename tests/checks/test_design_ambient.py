"""`design:` of a unit file: what it takes, and what is bad input."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from pathlib import Path

UNIT = "unit:\n  name: bench cooler\n  design: {%s}\n"


def written(folder: Path, design: str) -> Path:
    path = folder / "unit.yaml"
    path.write_text(UNIT % design, encoding="utf-8")
    return path


def test_ambients_are_kept_in_kelvin(tmp_path: Path) -> None:
    circuit = load_circuit(written(tmp_path, "lowest_ambient: 32, highest_ambient: 40 degC"))
    assert circuit.design == pytest.approx({"lowest_ambient": 273.15, "highest_ambient": 313.15})


@pytest.mark.parametrize(
    ("design", "code", "words"),
    [
        ("lowest_ambeint: 32", "unknown-key", "Meant lowest_ambient"),
        ("lowest_ambient: 3 psig", "wrong-unit", "psig"),
        ("lowest_ambient: cold", "not-a-number", "cold"),
        ("lowest_ambient: 100, highest_ambient: 90", "impossible-figure", "above the highest"),
    ],
)
def test_bad_ambients(tmp_path: Path, design: str, code: str, words: str) -> None:
    with pytest.raises(BadInput) as caught:
        load_circuit(written(tmp_path, design))
    (problem,) = caught.value.problems
    assert (problem.code, problem.place.line) == (code, 3)
    assert words in problem.message
