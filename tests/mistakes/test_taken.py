"""What a change takes out or cuts, left or done to another conductor."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.mistakes.answer import mistakes
from wirecheck.questions.mistakes.generate import generate

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """\
unit: {name: a bypassed limit}
supplies: {MAINS: {kind: single-phase, volts: 120}}
conditions: {tank: {unit: degF}}
devices:
  S1: {type: switch}
  HL: {type: temperature-switch, senses: tank, opens_above: 180, closes_below: 150, trips: above}
  PUMP: {type: motor-1ph, volts: 120, fla: 2, lra: 8}
  LAMP: {type: lamp, volts: 120, watts: 25}
wires:
  - {id: W1, from: MAINS.L, to: S1.1, color: black}
  - {id: W2, from: S1.2, to: HL.1, color: red}
  - {id: W3, from: HL.2, to: PUMP.1, color: red}
  - {id: W4, from: PUMP.2, to: MAINS.N, color: white}
  - {id: W5, from: S1.2, to: LAMP.1, color: blue}
  - {id: W6, from: LAMP.2, to: MAINS.N, color: white}
  - {id: W9, from: HL.1, to: HL.2, color: red}
"""
BYPASS_OUT = """\
change: {name: the bypass out, affects: [PUMP]}
steps: [remove: {wire: W9}]
"""
LAMP_CUT = """\
change: {name: a switch in the lamp's conductor, affects: [LAMP]}
devices: {T: {type: switch}}
steps:
  - cut: {wire: W5}
  - land: {wire: W5.a, on: T.1}
  - land: {wire: W5.b, on: T.2}
"""
LAMP_OUT = """\
change: {name: the lamp out, retires: [LAMP]}
steps: [remove: {wire: W5}, remove: {wire: W6}, remove: {device: LAMP}]
"""


def ids(tmp_path: Path, change: str) -> list[str]:
    """The mistakes of this module in a change."""
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(change, encoding="utf-8")
    found = generate(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    return [m.id for m in found if m.kind.endswith((" taken out", " cut", "left in"))]


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (
            BYPASS_OUT,
            ["left in: W9", "look-alike taken out: W2 for W9", "look-alike taken out: W3 for W9"],
        ),
        (LAMP_CUT, ["wrong conductor cut: W2 for W5"]),
        (LAMP_OUT, []),  # with the lamp gone neither can stay where it was
    ],
)
def test_which(tmp_path: Path, change: str, found: list[str]) -> None:
    assert ids(tmp_path, change) == found


def test_what_they_do(tmp_path: Path) -> None:
    """With the bypass left the pump runs with the limit open; without W2 or W3 never. Each is seen."""
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(BYPASS_OUT, encoding="utf-8")
    answer = mistakes(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    assert answer.not_shown == ()
    rows = {row.mistake.id: row for row in answer.rows}
    does = {i: [(d.name, d.right, d.wrong) for d in row.does.differs] for i, row in rows.items()}
    assert does["left in: W9"] == [("PUMP", "off", "runs")] and rows["left in: W9"].shown_by
    assert ("PUMP", "runs", "off") in does["look-alike taken out: W2 for W9"]


def test_another_conductor_cut(tmp_path: Path) -> None:
    """W2 cut at S1.2: T lies in the line of the pump, S1.2 to HL.1; the conductor of the lamp is whole."""
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(LAMP_CUT, encoding="utf-8")
    changed = load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml")
    made = next(m for m in generate(changed) if m.id == "wrong conductor cut: W2 for W5").after.conductors
    assert {i: (w.a, w.b) for i, w in made.items() if i.startswith(("W2", "W5"))} == {
        "W5": ("S1.2", "LAMP.1"),
        "W2.a": ("S1.2", "T.1"),
        "W2.b": ("T.2", "HL.1"),
    }
