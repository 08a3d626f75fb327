"""Figures of `ratings` at their edges, worked by hand: fuses ahead, marks of a contact, long conductors."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, across, in_lead
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

LINE = """\
unit: {{name: bench}}
supplies: {{M: {{kind: single-phase, volts: 120}}}}
devices:
  FA: {{type: fuse, contact: {{volts: 250, fla: {first}}}}}
  FB: {{type: fuse, contact: {{volts: 250, fla: {second}}}}}
  S: {{type: switch, contact: {{volts: 250, fla: {switch}}}}}
  LA: {{type: lamp, volts: 120, watts: 60}}
rungs: [{{id: A, path: [M.L, FA, FB, S, LA, M.N]}}]
"""
FEED = """\
change: {name: a lamp more}
devices: {LN: {type: lamp, volts: 120, watts: 60}}
steps:
  - run: {id: J1, from: S.2, to: LN.1, gauge: 14 AWG}
  - run: {id: J2, from: LN.2, to: M.N, gauge: 14 AWG}
"""


# 240.4(D): 15 A ahead of 14 AWG; the least fuse counts, and a switch is none.
@pytest.mark.parametrize(
    ("first", "second", "switch", "said"),
    [(30, 15, 40, ""), (15, 30, 40, ""), (30, 20, 40, "FB of 20 A"), (20, 30, 15, "FA of 20 A")],
)
def test_the_least_fuse_ahead(tmp_path: Path, first: int, second: int, switch: int, said: str) -> None:
    unit = LINE.format(first=first, second=second, switch=switch)
    says = findings(tmp_path, ratings.check, unit, FEED)["J1"].says
    assert (said or "ahead of it") in says if said else "ahead of it" not in says


def test_nothing_is_ahead_of_what_carries_nothing(tmp_path: Path) -> None:
    change = """\
        change: {name: a spare}
        devices: {TS: {type: terminal-strip, terminals: 2}}
        steps: [{run: {id: J1, from: S.2, to: TS.1, gauge: 14 AWG}}]
        """
    found = findings(tmp_path, ratings.check, LINE.format(first=30, second=30, switch=40), change)
    assert "J1" not in found or "ahead of it" not in found["J1"].says


# K1's coil takes 8 VA sealed through W14.
@pytest.mark.parametrize(("va", "verdict"), [(5, "fail"), (50, "pass")])
def test_pilot_duty_beside_running_amps(tmp_path: Path, va: int, verdict: str) -> None:
    rating = f"{{type: pressure-switch, rests: closed, contact: {{volts: 240, fla: 5, lra: 30, va: {va}}}}}"
    found = findings(tmp_path, ratings.check, PLANT, in_lead("W14", "K1.A1", rating, "gauge: 18 AWG"))["PS"]
    assert found.verdict == verdict, found.says


# Across X2's primary lie 240 V, to earth 120.
@pytest.mark.parametrize(("volts", "verdict"), [(150, "fail"), (300, "pass")])
def test_insulation_before_a_primary(tmp_path: Path, volts: int, verdict: str) -> None:
    change = f"""\
        change: {{name: a second transformer}}
        devices:
          X2: {{type: transformer, volts: [240, 24], va: 40}}
          V: {{type: solenoid-valve, volts: 24, va: 9}}
        steps:
          - run: {{id: J1, from: MAINS.L1, to: X2.H1, insulation: {{volts: {volts}}}}}
          - run: {{id: J2, from: MAINS.L2, to: X2.H2}}
          - run: {{id: J3, from: X2.R, to: V.1}}
          - run: {{id: J4, from: V.2, to: X2.C}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)["J1"]
    assert found.verdict == verdict, found.says


# 14 AWG has 3.1 ohm a thousand feet (NEC chapter 9, table 8, from memory: 3.14 at 75 degC). 10 A over 100 ft
# lose 3.1 V of 120 in each leg, 2.6 %; over 130 ft 3.4 %.
@pytest.mark.parametrize(("feet", "noted"), [(100, False), (130, True)])
def test_volts_lost_by_a_three_phase_motor(tmp_path: Path, feet: int, noted: bool) -> None:
    unit = """\
        unit: {name: pump}
        supplies: {M: {kind: three-phase, volts: 208}}
        devices: {S: {type: disconnect-3p}, P: {type: motor-3ph, volts: 208, fla: 10, lra: 60}}
        wires:
          - {id: A1, from: M.L1, to: S.L1}
          - {id: A2, from: M.L2, to: S.L2}
          - {id: A3, from: M.L3, to: S.L3}
          - {id: B1, from: S.T1, to: P.T1}
          - {id: B2, from: S.T2, to: P.T2}
          - {id: B3, from: S.T3, to: P.T3}
        """
    ends = "\n".join(f"  - {{remove: {{wire: B{k}}}}}" for k in (1, 2, 3))
    runs = "\n".join(
        f"  - {{run: {{id: J{k}, from: S.T{k}, to: P.T{k}, gauge: 14 AWG, length: {feet} ft}}}}"
        for k in (1, 2, 3)
    )
    found = findings(tmp_path, ratings.check, unit, f"change: {{name: far}}\nsteps:\n{ends}\n{runs}\n")
    assert ("P" in found and "of its volts along its conductors" in found["P"].says) is noted


# Open, PS has 120 V of L1 on its one side and 120 V of L2, opposite, on the other; closed it feeds 120 V.
@pytest.mark.parametrize(("volts", "verdict"), [(150, "fail"), (250, "pass")])
def test_volts_across_an_open_contact(tmp_path: Path, volts: int, verdict: str) -> None:
    unit = """\
        unit: {name: two legs}
        supplies: {M: {kind: split-phase, volts: 240}}
        devices: {S: {type: float-switch, rests: closed}, LA: {type: lamp, volts: 120, watts: 60}}
        rungs: [{id: A, path: [M.L2, S, LA, M.N]}]
        """
    change = f"""\
        change: {{name: the other leg, affects: {{LA: more}}}}
        devices: {{PS: {{type: switch, contact: {{volts: {volts}, fla: 6, lra: 36}}}}}}
        steps: [{{across: {{device: PS, terminals: [M.L1, LA.1]}}}}]
        impossible: [S closed and PS closed]
        """
    found = findings(tmp_path, ratings.check, unit, change)["PS"]
    assert found.verdict == verdict, found.says


LAMP = "devices: {LN: {type: lamp, volts: %d, watts: 60}}"


def lamp(volts: int) -> str:
    steps = "steps: [{run: {id: J1, from: MAINS.L1, to: LN.1}}, {run: {id: J2, from: LN.2, to: MAINS.L2}}]"
    return f"change: {{name: a lamp more}}\n{LAMP % volts}\n{steps}\n"


def test_a_transformer_on_which_nothing_more_hangs(tmp_path: Path) -> None:
    assert "X1" not in findings(tmp_path, ratings.check, PLANT.replace(", va: 40", ""), lamp(240))


def test_a_terminal_names_the_part_that_says_its_volts(tmp_path: Path) -> None:
    says = findings(tmp_path, ratings.check, PLANT, lamp(60))["LN.1"].says
    assert "LN.lamp.volts" in says
    assert "contact" not in says


def test_the_highest_volts_of_a_device_count(tmp_path: Path) -> None:
    """Its coil is made for 24 V, its contact for 240: 120 V to earth at A1 are within 1.5 times 240."""
    change = """\
        change: {name: a relay more}
        devices: {K2: {type: relay-no, coil: {volts: 24, va: 5}, contact: {volts: 240, fla: 6}}}
        steps: [{run: {id: J1, from: MAINS.L1, to: K2.A1}}]
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert [s for s, f in found.items() if s.startswith("K2.A1") and f.verdict == "fail"] == []


def test_a_start_device_beside_a_motor_of_unknown_needs(tmp_path: Path) -> None:
    found = findings(
        tmp_path,
        ratings.check,
        PLANT.replace(", needs: 45 uF", ""),
        across("P", "{type: ptc-start}", "K1.T1", "K1.T2"),
    )["P"]
    assert (found.verdict, "COMP.needs" in found.fields) == ("note", True), found.says


# At 120 V the VA say it all, 60 broken by a contact of 50; below, the amps of the 120 V column are said too.
@pytest.mark.parametrize(("volts", "said"), [(120, False), (110, True)])
def test_pilot_duty_at_120_volts(tmp_path: Path, volts: int, said: bool) -> None:
    unit = f"""\
        unit: {{name: bench}}
        supplies: {{M: {{kind: single-phase, volts: {volts}}}}}
        devices: {{LA: {{type: lamp, volts: {volts}, watts: 60}}}}
        rungs: [{{id: A, path: [M.L, LA, M.N]}}]
        """
    change = """\
        change: {name: a switch in line, affects: [LA]}
        devices: {S: {type: switch, contact: {volts: 240, va: 50}}}
        steps: [{in-series: {device: S, in: A.1, at: LA.1}}]
        """
    assert ("pilot duty of" in findings(tmp_path, ratings.check, unit, change)["S"].says) is said


def test_volts_of_an_unearthed_secondary(tmp_path: Path) -> None:
    """Nothing ties it to earth: the most that lies between a terminal and another of it, 24 V, above 18."""
    change = """\
        change: {name: a lamp for 12 volts}
        devices: {LN: {type: lamp, volts: 12, watts: 5}}
        steps:
          - remove: {wire: W16}
          - run: {id: J1, from: X1.R, to: LN.1}
          - run: {id: J2, from: X1.C, to: LN.2}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert {found[t].verdict for t in ("LN.1", "LN.2")} == {"fail"}
    assert "is joined to 24 V, above 18 V" in found["LN.1"].says


def test_volts_of_a_capacitor_that_rest_on_an_estimate(tmp_path: Path) -> None:
    """Aux 132.4 ohm at 0.7, 25 % either way, with -j530.5: 240 V leave 274, 286, 297 V across 5 uF."""
    unit = PLANT.replace("lra: 2.9, main: {r: 38, x: 75}, aux: {r: 62, x: 95}", "lra: 2.9")
    change = """\
        change: {name: another capacitor}
        devices: {CN: {type: run-capacitor, capacitance: 5 uF, volts: 290}}
        steps:
          - lift: {wire: W9, end: CF.1}
          - land: {wire: W9, on: CN.1}
          - lift: {wire: W10, end: CF.2}
          - land: {wire: W10, on: CN.2}
        """
    found = findings(tmp_path, ratings.check, unit, change)["CN"]
    assert found.verdict == "note", found.says
    assert "274 to 297 V" in found.says
    assert any(f.startswith("FAN.") for f in found.fields)


def test_a_device_of_a_low_circuit_through_all_its_contacts(tmp_path: Path) -> None:
    """A lies on 24 V and leads over B to C: a device without volts counts as 30 V, and C lies on 120."""
    change = """\
        change: {name: two in a row}
        types:
          row:
            terminals: [A, B, C]
            positions: [first, second]
            elements:
              one: {kind: contact, across: [A, B], rests: open, moved_by: first}
              two: {kind: contact, across: [B, C], rests: open, moved_by: second}
        devices: {D: {type: row}}
        steps:
          - run: {id: J1, from: X1.R, to: D.A}
          - run: {id: J2, from: MAINS.L1, to: D.C}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert found["D.C"].verdict == "fail", found["D.C"].says
