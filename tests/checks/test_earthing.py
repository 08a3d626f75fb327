"""Earth taken away, or given to another end: a note each, by hand from the conductors of the example."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from wirecheck.checks.finding import Finding

UNIT = Path(__file__).parents[2] / "examples/tidewater-playhouse/unit.yaml"


def notes(tmp_path: Path, steps: str) -> list[Finding]:
    change = tmp_path / "change.yaml"
    change.write_text(f"change: {{name: earth}}\nsteps: [{steps}]\n", encoding="utf-8")
    answer = verify(load_change_pair(UNIT, change), noted=False)
    return [f for f in answer.findings if f.check == "live-parts" and f.other == "earth"]


@pytest.mark.parametrize(
    ("steps", "subject", "says"),
    [
        ("remove: {wire: W42}", "FRAMES.2", "no longer earthed"),  # GND.3 to FRAMES.2
        ("remove: {wire: W40}", "GND", "no conductor joins GND to the supply's PE"),  # MAINS.PE to GND.1
        ("remove: {wire: W39}", "X1", "X1.C is earthed before, no end of its secondary is after"),
    ],
)
def test_note(tmp_path: Path, steps: str, subject: str, says: str) -> None:
    found = notes(tmp_path, steps)
    assert [(f.subject, f.verdict) for f in found] == [(subject, "note")]
    assert says in found[0].says


def test_none_where_nothing_is_taken(tmp_path: Path) -> None:
    steps = "{lift: {wire: W42, end: GND.3}}, {land: {wire: W42, on: GND.5}}"
    assert notes(tmp_path, steps) == []


def test_none_of_what_the_change_brings(tmp_path: Path) -> None:
    change = tmp_path / "change.yaml"
    change.write_text(
        """
change: {name: a second transformer}
devices: {X2: {type: transformer, volts: [240, 24], va: 20}}
steps: [{run: {id: J1, from: X2.C, to: GND.5}}]
""",
        encoding="utf-8",
    )
    answer = verify(load_change_pair(UNIT, change), noted=False)
    assert [f for f in answer.findings if f.check == "live-parts" and f.other == "earth"] == []
