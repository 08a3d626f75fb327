"""Volts lost along conductors in the company of other loads, before and after; volts of what they feed.

18 AWG has 6.385 ohm/kft at 20 degC (facts.md W3). V: 0.625 A sealed, 2.5 A at inrush, 9.6 ohm at 0.3.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding

VALVE = "{type: solenoid-valve, volts: 24, va: 15, inrush: 60%s}"
LAMP = "{type: lamp, volts: 24, watts: 24}"
FAR = """\
  - {{id: W40, from: S1.2, to: V.1, gauge: 18 AWG, length: {feet} ft}}
  - {{id: W41, from: V.2, to: X1.C, gauge: 18 AWG, length: {feet} ft}}
"""
HEATER = """\
  - {id: W42, from: MAINS.L1, to: FR.1, gauge: 14 AWG, length: 150 ft}
  - {id: W43, from: FR.2, to: MAINS.L2, gauge: 14 AWG, length: 150 ft}
"""
LAMP_AT_THE_VALVE = f"""\
change: {{name: a lamp at the valve}}
devices:
  S: {{type: switch}}
  L: {LAMP}
steps:
  - run: {{id: J1, from: V.1, to: S.1}}
  - run: {{id: J2, from: S.2, to: L.1}}
  - run: {{id: J3, from: L.2, to: V.2}}
"""
LAMP_AT_THE_COIL = f"""\
change: {{name: a lamp at the contactor}}
devices: {{L: {LAMP}}}
steps: [across: {{device: L, terminals: [K1.A1, K1.A2]}}]
"""


def unit(feet: int, pick_up: str = "") -> str:
    """PLANT with a valve and a heater at the end of long conductors."""
    devices = f"  V: {VALVE % pick_up}\n  FR: {{type: heater, volts: 240, watts: 2400}}\n"
    return PLANT.replace("wires:\n", devices + "wires:\n" + FAR.format(feet=feet) + HEATER)


def of(folder: Path, before: str, change: str, subject: str) -> Finding | None:
    return findings(folder, ratings.check, before, change).get(subject)


def test_what_flows_beside_a_coil_counts(tmp_path: Path) -> None:
    """1.277 ohm: the valve alone loses 3.19 V and pulls in with 20.8. The lamp's 1 A, where its switch is
    closed, takes 1.28 V more: 19.5, below 20.4 V; at its angle 24 x 9.6 / |2.88 + 1.79 + j9.16| = 22.4 V.
    """
    found = of(tmp_path, unit(100, ", pick_up: 85"), LAMP_AT_THE_VALVE, "V")
    assert found is not None
    assert found.verdict == "note"
    assert "gets 19.5 to 22.4 V at inrush over W40, W41 and may not pull in at 20.4 V" in found.says


def test_a_pick_up_that_is_estimated_fails_at_its_low_end_only(tmp_path: Path) -> None:
    """5.108 ohm and 3.5 A: 6.12 V; 24 x 9.6 / |2.88 + 7.15 + j9.16| = 17.0 V is above 60 % of 24, 14.4 V."""
    found = of(tmp_path, unit(400), LAMP_AT_THE_VALVE, "V")
    assert found is not None
    assert found.verdict == "note"
    assert "gets 6.12 to 17 V at inrush over W40, W41 and may not pull in at 20.4 V" in found.says


@pytest.mark.parametrize("subject", ["V", "FR"])
def test_what_was_lost_before_is_not_told(tmp_path: Path, subject: str) -> None:
    """V gets 11.2 V at inrush, and FR loses 3.8 %, before and after alike."""
    assert of(tmp_path, unit(400), LAMP_AT_THE_COIL, subject) is None


def test_a_coil_without_its_volts_is_not_told_to_pull_in(tmp_path: Path) -> None:
    """Two valves in series have 12 V each, by their own fault, not by that of their conductors."""
    change = f"""\
change: {{name: in series}}
devices:
  V1: {VALVE % ""}
  V2: {VALVE % ""}
steps:
  - run: {{id: J1, from: S1.2, to: V1.1, gauge: 18 AWG, length: 400 ft}}
  - run: {{id: J2, from: V1.2, to: V2.1}}
  - run: {{id: J3, from: V2.2, to: X1.C, gauge: 18 AWG, length: 400 ft}}
"""
    assert of(tmp_path, PLANT, change, "V1") is None


ACROSS_THE_LINE = """\
change: {{name: between the legs}}
devices:
  D: {device}
steps:
  - run: {{id: J1, from: MAINS.L1, to: D.1, gauge: 14 AWG, insulation: {{volts: {limit}}}}}
  - run: {{id: J2, from: D.2, to: MAINS.L2, gauge: 14 AWG}}
"""


# Either leg is 120 V to earth; across what it feeds there are 240.
@pytest.mark.parametrize("device", ["{type: solenoid-valve, volts: 240, va: 15}", "{type: lamp, volts: 240}"])
@pytest.mark.parametrize(("limit", "verdict"), [(230, "fail"), (240, "pass")])
def test_insulation_against_the_volts_of_what_it_feeds(
    tmp_path: Path, device: str, limit: int, verdict: str
) -> None:
    found = of(tmp_path, PLANT, ACROSS_THE_LINE.format(device=device, limit=limit), "J1")
    assert found is not None
    assert "stands at 240 V" in found.says
    assert found.verdict == verdict
