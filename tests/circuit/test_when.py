"""`--when`: what is wrong in it is told by the option and the column."""

from __future__ import annotations

from pathlib import Path

import pytest

from wirecheck.circuit.ask import bind_when
from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput

UNIT = Path(__file__).parent / "data" / "unit.yaml"


@pytest.mark.parametrize(
    ("text", "column"),
    [("DS closed and", 14), ("DS closed,  TH.cool or", 21), ("DX closed", 1), ("DS closed, DX open", 12)],
)
def test_place(text: str, column: int) -> None:
    with pytest.raises(BadInput) as bad:
        bind_when(text, load_circuit(UNIT))
    place = bad.value.problems[0].place
    assert (str(place.file), place.line, place.column) == ("--when", 1, column)
