"""Start capacitors, potential relays and PTC devices."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, across, valves
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path


KIT = """\
    change: {name: hard-start kit}
    devices:
      SC: {type: start-capacitor, capacitance: 88 uF, volts: 330}
      PR: {type: potential-relay, contact: {volts: 370, fla: 20, lra: 50}}
    steps:
      - run: {id: W30, from: CR.1, to: SC.1}
      - run: {id: W31, from: SC.2, to: PR.1}
      - run: {id: W32, from: PR.2, to: %s}
      - run: {id: W33, from: PR.5, to: K1.T1}
    """


def test_start_capacitor_behind_a_potential_relay(tmp_path: Path) -> None:
    found = findings(tmp_path, ratings.check, PLANT, KIT % "CR.2")
    assert (found["SC"].verdict, found["PR"].verdict) == ("pass", "pass")
    assert "is out of circuit at speed" in found["SC"].says
    assert "raises the starting torque of COMP" in found["PR"].says


def test_start_capacitor_that_nothing_takes_out(tmp_path: Path) -> None:
    change = across("SC", "{type: start-capacitor, capacitance: 88 uF, volts: 330}", "CR.1", "CR.2")
    found = findings(tmp_path, ratings.check, PLANT, change)["SC"]
    assert found.verdict == "fail"
    assert "is left in circuit at speed" in found.says


def test_start_capacitor_that_does_not_raise_the_torque(tmp_path: Path) -> None:
    """Landed on the line's other side it lies across the line and in no winding's circuit."""
    found = findings(tmp_path, ratings.check, PLANT, KIT % "K1.T1")
    assert found["SC"].verdict == "fail"
    assert "does not raise the starting torque of any motor" in found["SC"].says
    assert found["PR"].verdict == "fail"


def test_start_capacitor_switched_out_by_a_timer(tmp_path: Path) -> None:
    """A delay-on relay's contact lets it go; until the delay has run out the motor is not at speed."""
    change = """\
        change: {name: start by timer}
        devices:
          SC: {type: start-capacitor, capacitance: 88 uF, volts: 330}
          T: {type: delay-on-relay, coil: {volts: 24, va: 4}, contact: {volts: 370, fla: 20, lra: 50}}
        steps:
          - run: {id: W30, from: CR.1, to: SC.1}
          - run: {id: W31, from: SC.2, to: T.C}
          - run: {id: W32, from: T.%s, to: CR.2}
          - run: {id: W33, from: T.A1, to: K1.A1}
          - run: {id: W34, from: T.A2, to: K1.A2}
        """
    assert findings(tmp_path, ratings.check, PLANT, change % "NC")["SC"].verdict == "pass"
    assert findings(tmp_path, ratings.check, PLANT, change % "NO")["SC"].verdict == "fail"


@pytest.mark.parametrize(("ends", "verdict"), [(("CR.1", "CR.2"), "pass"), (("K1.T1", "K1.T2"), "fail")])
def test_ptc(tmp_path: Path, ends: tuple[str, str], verdict: str) -> None:
    found = findings(tmp_path, ratings.check, PLANT, across("P", "{type: ptc-start}", *ends))["P"]
    assert found.verdict == verdict


def test_a_start_device_that_is_left_without_effect(tmp_path: Path) -> None:
    """The unit's own PTC raises the torque until the change lifts it off the start winding."""
    unit = PLANT.replace("  GND:", "  P: {type: ptc-start}\n  GND:").replace(
        "  - {id: W7,", "  - {id: W20, from: P.1, to: CR.1}\n  - {id: W21, from: P.2, to: CR.2}\n  - {id: W7,"
    )
    lifted = (
        "change: {name: moved}\nsteps:\n  - lift: {wire: W21, end: CR.2}\n  - land: {wire: W21, on: K1.T1}\n"
    )
    assert findings(tmp_path, ratings.check, unit, lifted)["P"].verdict == "fail"
    assert "P" not in findings(tmp_path, ratings.check, unit, valves((9, 9)))


@pytest.mark.parametrize(("jumper", "verdict"), [(True, "fail"), (False, "note")])
def test_a_start_capacitor_left_in_where_it_was_not(tmp_path: Path, jumper: bool, verdict: str) -> None:
    """A hand switch leaves the unit's own in where it is closed; a jumper does so where it is open too."""
    unit = PLANT.replace(
        "  GND:",
        "  SC: {type: start-capacitor, capacitance: 88 uF, volts: 330}\n  SH: {type: switch}\n  GND:",
    )
    unit += "  - {id: W20, from: CR.1, to: SC.1}\n  - {id: W21, from: SC.2, to: SH.1}\n"
    unit += "  - {id: W22, from: SH.2, to: CR.2}\n"
    to = "SH.2" if jumper else "GND.3"
    run = f"run: {{id: J1, from: {'SH.1' if jumper else 'MAINS.PE'}, to: {to}}}"
    change = f"change: {{name: jumper, affects: {{COMP: either}}}}\nsteps: [{run}]\n"
    found = findings(tmp_path, ratings.check, unit, change)["SC"]
    assert found.verdict == verdict, found.says
    assert "is left in circuit at speed" in found.says
