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
