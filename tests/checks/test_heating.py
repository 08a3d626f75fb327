"""engine.md section 3: from 2 % unbalance on, a three-phase motor that runs gets a note on heating.

By hand: a winding of 208 V and 30 A locked rotor has 208 / (1.732 * 30) = 4.0 ohm. A resistance R in one leg
of a star without neutral makes V2 = V R / (3 Z + R), about R / 3 Z: 0.3 ohm 2.4 %, 0.1 ohm 0.8 %.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """
unit: {name: fan}
supplies: {MAINS: {kind: three-phase, volts: 208}}
devices: {FAN: {type: motor-3ph, volts: 208, fla: 5, lra: 30}}
wires:
  - {id: W1, from: MAINS.L1, to: FAN.T1}
  - {id: W2, from: MAINS.L2, to: FAN.T2}
  - {id: W3, from: MAINS.L3, to: FAN.T3}
"""
CHANGE = """
change: {{name: resistance in one leg}}
devices: {{R: {{type: resistor, ohms: {ohms}}}}}
steps: [in-series: {{device: R, in: W1, at: FAN.T1}}]
"""

BRIDGED = """
unit: {name: fan}
supplies: {MAINS: {kind: three-phase, volts: 208}}
devices:
  A: {type: switch}
  B: {type: switch}
  R: {type: resistor, ohms: 0.3}
  FAN: {type: motor-3ph, volts: 208, fla: 5, lra: 30}
rungs:
  - {id: A, path: [R.1, A, R.2]}
  - {id: B, path: [R.1, B, R.2]}
wires:
  - {id: W1, from: MAINS.L1, to: R.1}
  - {id: W2, from: MAINS.L2, to: FAN.T2}
  - {id: W3, from: MAINS.L3, to: FAN.T3}
  - {id: W4, from: R.2, to: FAN.T1}
"""


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize(("ohms", "noted"), [(0.1, False), (0.3, True)])
def test_note(tmp_path: Path, ohms: float, noted: bool, plain: bool) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(UNIT, encoding="utf-8")
    change.write_text(CHANGE.format(ohms=ohms), encoding="utf-8")
    answer = verify(load_change_pair(unit, change), plain=plain)
    notes = [f for f in answer.findings if f.check == "no-stall" and f.verdict == "note"]
    assert [f.subject for f in notes] == (["FAN"] if noted else [])
    assert {f.verdict for f in answer.findings if f.check == "keeps"} == {"pass"}


def test_none_where_it_was_so(tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    leg = "  R: {type: resistor, ohms: 0.3}\n"
    text = UNIT.replace("devices: {FAN", f"devices:\n{leg}  FAN").replace("lra: 30}}", "lra: 30}")
    text = text.replace("to: FAN.T1}", "to: R.1}") + "  - {id: W4, from: R.2, to: FAN.T1}\n"
    unit.write_text(text, encoding="utf-8")
    change.write_text("change: {name: nothing}\nsteps: []\n", encoding="utf-8")
    answer = verify(load_change_pair(unit, change))
    assert [f for f in answer.findings if f.check == "no-stall" and f.verdict == "note"] == []


def test_where_it_was_not_so(tmp_path: Path) -> None:
    """The resistance is bridged by A or B. B's bridge gone, FAN heats up with B closed too, A being open."""
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(BRIDGED, encoding="utf-8")
    change.write_text("change: {name: no bridge}\nsteps: [{remove: {wire: B.1}}]\n", encoding="utf-8")
    answer = verify(load_change_pair(unit, change))
    (note,) = [f for f in answer.findings if f.check == "no-stall" and f.verdict == "note"]
    assert note.witness is not None
    assert {s: note.witness.inputs[s] for s in ("A", "B")} == {"A": "open", "B": "closed"}
