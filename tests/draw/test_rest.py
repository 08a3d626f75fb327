"""What a plain drawing says of the state it shows, the letters in coils, and where a line says it leads."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent
from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.build import load_circuit
from wirecheck.draw.choice import symbol
from wirecheck.draw.ladder import whole
from wirecheck.draw.pieces import Label
from wirecheck.draw.rest import AT_REST, at_rest

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit

ECONOMIZER = Path(__file__).parents[2] / "wirecheck/library/units/packaged-economizer/unit.yaml"


def circuit_of(folder: Path, text: str) -> Circuit:
    path = folder / "unit.yaml"
    path.write_text("unit: {name: U}\n" + dedent(text), encoding="utf-8")
    return load_circuit(path)


@pytest.mark.parametrize(
    ("points", "but"),
    [
        ("senses: room, moves_above: 25 degC, returns_below: 22 degC", ""),
        ("senses: room, moves_above: 10 degC, returns_below: 5 degC", "T as below its set points"),
        ("senses: room, moves_below: 25 degC, returns_above: 28 degC", "T as above its set points"),
        ("senses: room, moves_below: 10 degC, returns_above: 12 degC", ""),
    ],
)
def test_at_rest_tells_of_a_switch_that_the_shelf_would_move(tmp_path: Path, points: str, but: str) -> None:
    circuit = circuit_of(
        tmp_path,
        f"""
        conditions: {{room: {{unit: degC}}}}
        devices: {{T: {{type: changeover-switch, {points}}}}}
    """,
    )
    assert at_rest(circuit) == (f"{AT_REST}; but {but}." if but else f"{AT_REST}.")


def test_a_coil_of_a_load_has_the_letters_of_its_tag(tmp_path: Path) -> None:
    """Three at the most fit the circle; where a tag has more, or none, it stays empty. A valve says SV."""
    circuit = circuit_of(
        tmp_path,
        """
        types: {act: {terminals: [A, C], elements: {m: {kind: coil, across: [A, C], volts: 24, va: 5}}}}
        devices:
          DM: {type: act}
          CK2: {type: act}
          CLOCK: {type: act}
          LV: {type: solenoid-valve, volts: 24, va: 8}
    """,
    )
    assert [symbol(circuit, e)[1] for e in circuit.elements.values()] == ["DM", "CK", "", "SV"]


def test_a_line_to_an_earthed_secondary_leads_to_its_rail_not_to_earth() -> None:
    ladder = next(p for p in whole(load_circuit(ECONOMIZER)).panels if p.name == "ladder")
    texts = [p.text for p in ladder.pieces if isinstance(p, Label)]
    assert "MAINS.PE" not in texts
    assert texts.count("X1.C") > 1  # the rail itself, and the ends of lines 16 and 17
