"""Figures of `ratings` that rest on an estimate, against limits between its ends: `unknown`, and the field.

M is estimated at 120 / 6 = 20 ohm at 0.6, three quarters to five quarters of it (engine.md 2). Behind 55 ohm:

    times   |55 + Zm|   amps    volts of M.1
    0.75    65.1        1.843   27.6
    1       68.9        1.742   34.8
    1.25    72.8        1.648   41.2
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """\
unit: {name: heater in line}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  R: {type: resistor, ohms: 55}
  S: {type: switch}
  TS: {type: terminal-strip, terminals: 2}
  M: {type: motor-1ph, volts: 120, fla: 1, lra: 6}
rungs:
  - {id: A, path: [MAINS.L, S, R, M, MAINS.N]}
"""
SPARE = """\
change: {{name: a spare conductor}}
steps:
  - run: {{id: J3, from: TS.1, to: M.1, gauge: 18 AWG, insulation: {{volts: {limit}}}}}
"""
CONTACT = """\
change: {{name: a second switch, affects: {{M: less}}}}
devices: {{T: {{type: switch, contact: {{volts: 240, fla: {limit}, lra: 30}}}}}}
steps:
  - in-series: {{device: T, in: A.2, at: R.1}}
"""
ACROSS = """\
change: {{name: a switch across the motor, affects: {{M: less}}}}
devices: {{T: {{type: switch, contact: {{volts: {limit}, fla: 6, lra: 30}}}}}}
steps:
  - across: {{device: T, terminals: [M.1, M.2]}}
"""
STRIP = """\
change: {{name: a strip}}
types: {{small-strip: {{terminals: [1], joined: true, volts: {limit}}}}}
devices: {{P: {{type: small-strip}}}}
steps:
  - run: {{id: J3, from: M.1, to: P.1}}
"""


# Limits within an end, between nominal and an end, and beyond. A contact's volts may be 1.05 times what it is
# marked for (NAMEPLATE), a terminal's 1.5 times what its type states.
@pytest.mark.parametrize(
    ("change", "subject", "limit", "verdict"),
    [
        (SPARE, "J3", 42, "pass"),
        (SPARE, "J3", 38, "unknown"),
        (SPARE, "J3", 30, "unknown"),
        (SPARE, "J3", 27, "fail"),
        (CONTACT, "T", 1.9, "pass"),
        (CONTACT, "T", 1.8, "unknown"),
        (CONTACT, "T", 1.7, "unknown"),
        (CONTACT, "T", 1.6, "fail"),
        (ACROSS, "T", 40, "pass"),
        (ACROSS, "T", 36, "unknown"),
        (ACROSS, "T", 30, "unknown"),
        (ACROSS, "T", 26, "fail"),
        (STRIP, "P.1", 26, "unknown"),
        (STRIP, "P.1", 20, "unknown"),
        (STRIP, "P.1", 18, "fail"),
    ],
)
def test_limits_between_the_ends(
    tmp_path: Path, change: str, subject: str, limit: float, verdict: str
) -> None:
    (tmp_path / "unit.yaml").write_text(UNIT, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(change.format(limit=limit), encoding="utf-8")
    answer = verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    found = {f.subject: f for f in answer.findings if f.check == "ratings"}
    assert found[subject].verdict == verdict
    assert (found[subject].fields == ("M.main",)) == (verdict == "unknown")


# Across M of 240 V behind 10 ohm: Zm = 240 / 12 = 20 ohm at 0.6, so 160.2, 176.5 and 187.4 V; to earth 120.
BEHIND = """\
unit: {name: a motor behind a resistor}
supplies: {MAINS: {kind: split-phase, volts: 240}}
devices:
  R: {type: resistor, ohms: 10}
  M: {type: motor-1ph, volts: 240, fla: 2, lra: 12}
wires:
  - {id: W1, from: MAINS.L1, to: R.1}
  - {id: W2, from: R.2, to: M.1, gauge: 14 AWG, insulation: {volts: 600}}
  - {id: W3, from: M.2, to: MAINS.L2}
"""
# 96 to 144 V across H, by how the two supplies stand to each other; 120 V to earth.
BETWEEN = """\
unit: {name: a heater between two supplies}
supplies: {A: {kind: single-phase, volts: 120}, B: {kind: single-phase, volts: 24}}
devices:
  H: {type: heater, volts: 80, watts: 100}
wires:
  - {id: W2, from: A.L, to: H.1, gauge: 14 AWG, insulation: {volts: 600}}
  - {id: W3, from: H.2, to: B.L, gauge: 14 AWG, insulation: {volts: 600}}
"""
OTHER = """\
change: {{name: another conductor}}
steps:
  - remove: {{wire: W2}}
  - run: {{id: J1, from: {end}, to: {load}.1, gauge: 14 AWG, insulation: {{volts: {limit}}}}}
"""


@pytest.mark.parametrize(
    ("unit", "end", "load", "limit", "verdict", "field"),
    [
        (BEHIND, "R.2", "M", 190, "pass", None),
        (BEHIND, "R.2", "M", 180, "unknown", "M.main"),
        (BEHIND, "R.2", "M", 165, "unknown", "M.main"),
        (BEHIND, "R.2", "M", 158, "fail", None),
        (BETWEEN, "A.L", "H", 150, "pass", None),
        (BETWEEN, "A.L", "H", 130, "unknown", "supplies.B.same_source_as"),
        (BETWEEN, "A.L", "H", 110, "fail", None),
    ],
)
def test_insulation_by_what_is_fed(
    tmp_path: Path, unit: str, end: str, load: str, limit: float, verdict: str, field: str | None
) -> None:
    (tmp_path / "unit.yaml").write_text(unit, encoding="utf-8")
    change = OTHER.format(end=end, load=load, limit=limit)
    (tmp_path / "change.yaml").write_text(change, encoding="utf-8")
    answer = verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    found = {f.subject: f for f in answer.findings if f.check == "ratings"}
    assert (found["J1"].verdict, found["J1"].fields) == (verdict, () if field is None else (field,))


# M as above, 1 A at its volts by its nameplate, behind R of 55 ohm: 27.6 + 186.8 = 214.4 VA,
# 34.8 + 166.8 = 201.6, 41.2 + 149.4 = 190.6. With R0 in line before, less.
SECONDARY = """\
unit: {{name: a motor on a secondary}}
supplies: {{MAINS: {{kind: single-phase, volts: 120}}}}
devices:
  X1: {{type: transformer, volts: [120, 120], va: {limit}}}
  R0: {{type: resistor, ohms: 200}}
  R: {{type: resistor, ohms: 55}}
  M: {{type: motor-1ph, volts: 120, fla: 1, lra: 6}}
rungs:
  - {{id: P, path: [MAINS.L, X1.H1-H2, MAINS.N]}}
  - {{id: A, path: [X1.R, R0, R, M, X1.C]}}
"""
JUMPER = """\
change: {name: R0 bridged, affects: {M: either}}
steps:
  - run: {id: J1, from: R0.1, to: R0.2}
"""


@pytest.mark.parametrize(
    ("limit", "verdict"), [(220, "pass"), (205, "unknown"), (196, "unknown"), (185, "fail")]
)
def test_the_burden_of_a_transformer(tmp_path: Path, limit: float, verdict: str) -> None:
    (tmp_path / "unit.yaml").write_text(SECONDARY.format(limit=limit), encoding="utf-8")
    (tmp_path / "change.yaml").write_text(JUMPER, encoding="utf-8")
    answer = verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    found = {f.subject: f for f in answer.findings if f.check == "ratings"}
    assert found["X1"].verdict == verdict
    assert (found["X1"].fields == ("M.main",)) == (verdict == "unknown")


# K has 24 / 1.667 = 14.4 ohm at inrush, 4.32 + 13.74j, and pulls in at 20.4 V, with up to 5.585 ohm in line:
# 5.585 * 1.667 = 9.31 V lost along J1. It carries the 1.667 A of K and what M draws behind R, a fifth of the
# volts and ohms above: 1.843, 1.742, 1.648 A. So K pulls in up to 2.652, 2.731, 2.808 ohm; 18 AWG has
# 1.7241e-8 ohm m / 8.231e-7 m2 = 0.020946 ohm a metre, 6.384e-3 a foot: 415, 428 and 440 ft.
LINE = """\
unit: {name: a coil and a motor on one conductor}
supplies: {MAINS: {kind: single-phase, volts: 24}}
devices:
  R: {type: resistor, ohms: 11}
  M: {type: motor-1ph, volts: 24, fla: 1, lra: 6}
  K: {type: relay-no, coil: {volts: 24, va: 10, inrush: 40, pick_up: 85, drop_out: 60}}
wires:
  - {id: W1, from: MAINS.L, to: K.A1, gauge: 18 AWG, length: 4 ft}
  - {id: W2, from: K.A2, to: MAINS.N}
  - {id: W3, from: K.A1, to: R.1}
  - {id: W4, from: R.2, to: M.1}
  - {id: W5, from: M.2, to: MAINS.N}
"""
LONGER = """\
change: {{name: a longer conductor}}
steps:
  - remove: {{wire: W1}}
  - run: {{id: J1, from: MAINS.L, to: K.A1, gauge: 18 AWG, length: {feet} ft}}
"""


@pytest.mark.parametrize(
    ("feet", "verdict"), [(405, "note"), (421, "unknown"), (434, "unknown"), (450, "fail")]
)
def test_volts_lost_on_the_way_to_a_coil(tmp_path: Path, feet: float, verdict: str) -> None:
    (tmp_path / "unit.yaml").write_text(LINE, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(LONGER.format(feet=feet), encoding="utf-8")
    answer = verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    found = {f.subject: f for f in answer.findings if f.check == "ratings"}
    assert found["K"].verdict == verdict
    assert (found["K"].fields == ("M.main",)) == (verdict == "unknown")
