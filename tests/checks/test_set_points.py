"""Set points against each other and against `trips`; saturation temperatures and the ambient in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from wirecheck.checks import set_points

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding

# One contactor string with both cut-outs, a fan on the line behind the contactor, a bleed valve of its own.
UNIT = """\
unit: {name: bench cooler, refrigerant: R410A}
supplies:
  MAINS: {kind: split-phase, volts: 240}
  CTL: {kind: single-phase, volts: 24}
conditions:
  head: {unit: psig}
  suction: {unit: psig}
  bench: {unit: degF}
devices:
  HP: {type: pressure-switch, senses: head, opens_above: 610 psig, closes_below: 420 psig, trips: above}
  LP:
    {type: pressure-switch, senses: suction, opens_below: 50 psig, closes_above: 95 psig,
     trips: below, normal: closed}
  K1: {type: contactor-2p, coil: {volts: 24, va: 8, inrush: 33}}
  FAN: {type: motor-1ph, volts: 240, fla: 1.4, lra: 2.9}
  V: {type: solenoid-valve, volts: 24, va: 8, inrush: 20}
wires:
  - {id: W1, from: MAINS.L1, to: K1.L1}
  - {id: W2, from: MAINS.L2, to: K1.L2}
  - {id: W3, from: K1.T1, to: FAN.1}
  - {id: W4, from: K1.T2, to: FAN.2}
  - {id: W5, from: CTL.L, to: V.1}
  - {id: W6, from: V.2, to: CTL.N}
rungs:
  - {id: C1, path: [CTL.L, HP, LP, K1.coil, CTL.N]}
"""


def in_line(device: str, wire: str = "W3", end: str = "K1.T1") -> str:
    """A switch, tag PS, in line with the fan; `impossible` and `affects` play no part here."""
    return f"""\
change: {{name: a control, affects: {{FAN: less, V: less}}}}
devices:
  PS: {device}
steps:
  - in-series: {{device: PS, in: {wire}, at: {end}}}
"""


def of_switch(folder: Path, device: str, unit: str = UNIT, **where: str) -> Finding:
    return findings(folder, set_points.check, unit, in_line(device, **where))["PS"]


# HP trips above 610 psig, LP below 50. 80 % of 610 is 488 (common practice).
@pytest.mark.parametrize(
    ("device", "verdict", "words"),
    [
        ("senses: head, closes_above: 375 psig, opens_below: 275 psig", "pass", "closes above 375 psig"),
        (
            "senses: head, closes_above: 640 psig, opens_below: 500 psig",
            "fail",
            "it cannot move before HP trips",
        ),
        (
            "senses: head, closes_above: 610 psig, opens_below: 500 psig",
            "fail",
            "it cannot move before HP trips",
        ),
        ("senses: head, closes_above: 480 psig, opens_below: 380 psig", "pass", ""),
        (
            "senses: head, closes_above: 500 psig, opens_below: 380 psig",
            "note",
            "little margin (82 %; up to 80 % is usual",
        ),
        # Opens on rise beyond the cut-out: it never stops the fan.
        (
            "senses: head, opens_above: 650 psig, closes_below: 550 psig",
            "fail",
            "it cannot move before HP trips",
        ),
        (
            "senses: suction, closes_above: 80 psig, opens_below: 40 psig",
            "fail",
            "it cannot move before LP trips",
        ),
        ("senses: suction, closes_above: 100 psig, opens_below: 70 psig", "pass", "opens below 70 psig"),
        ("senses: suction, closes_above: 100 psig, opens_below: 60 psig", "note", "little margin (83 %"),
        # 60 to 125 psi is usual of head pressure (common practice).
        (
            "senses: head, closes_above: 375 psig, opens_below: 335 psig",
            "note",
            "a differential of 40 psig may short-cycle",
        ),
        (
            "senses: suction, closes_above: 103 psig, opens_below: 99 psig",
            "note",
            "a differential of 4 psig may",
        ),
        (
            "senses: bench, closes_above: 85 degF, opens_below: 84 degF",
            "note",
            "a differential of 1 degF may short-cycle",
        ),
        (
            "senses: bench, closes_above: 85 degF, opens_below: 80 degF",
            "pass",
            "closes above 85 degF, opens below 80 degF",
        ),
        ("senses: bench, closes_above: 85 degF, opens_below: 85 degF", "note", "no differential"),
    ],
)
def test_control(tmp_path: Path, device: str, verdict: str, words: str) -> None:
    found = of_switch(tmp_path, f"{{type: pressure-switch, {device}}}")
    assert (found.verdict, words in found.says) == (verdict, True), found.says


def test_external_and_protecting_switches_may_lie_beyond(tmp_path: Path) -> None:
    beyond = "type: pressure-switch, senses: head, opens_above: 640 psig, closes_below: 500 psig"
    assert of_switch(tmp_path, f"{{{beyond}, external: true}}").verdict == "pass"
    assert of_switch(tmp_path, f"{{{beyond}, trips: above}}").verdict == "pass"  # a second cut-out


def test_a_control_that_works_an_external_relay(tmp_path: Path) -> None:
    """What the relay works is in another file; it is kept like a load."""
    change = """\
        change: {name: alarm elsewhere}
        devices:
          PS: {type: pressure-switch, senses: head, closes_above: 640 psig, opens_below: 500 psig}
          R: {type: relay-no, coil: {volts: 24, va: 5, inrush: 15}, external: true}
        steps:
          - run: {id: W40, from: CTL.L, to: PS.1}
          - run: {id: W41, from: PS.2, to: R.A1}
          - run: {id: W42, from: R.A2, to: CTL.N}
        """
    assert findings(tmp_path, set_points.check, UNIT, change)["PS"].verdict == "fail"


def test_a_switch_that_stops_nothing_may_lie_beyond(tmp_path: Path) -> None:
    """Bridged by a conductor it moves no load; `takes-effect` says so."""
    change = in_line("{type: pressure-switch, senses: head, closes_above: 640 psig, opens_below: 500 psig}")
    change += "  - run: {id: W40, from: PS.1, to: PS.2}\n"
    assert findings(tmp_path, set_points.check, UNIT, change)["PS"].verdict == "pass"


OWN = UNIT.replace(
    "  FAN:",
    "  FC:\n    {type: pressure-switch, senses: head, closes_above: 640 psig, opens_below: 500 psig}\n  FAN:",
).replace("to: FAN.1}", "to: FC.1}\n  - {id: W9, from: FC.2, to: FAN.1}")


def test_what_stood_before_is_a_note(tmp_path: Path) -> None:
    change = "change: {name: earth}\nsteps:\n  - run: {id: W40, from: MAINS.PE, to: CTL.PE}\n"
    found = findings(tmp_path, set_points.check, OWN, change)["FC"]
    assert found.verdict == "note"
    assert "it cannot move before HP trips, as before the change" in found.says


def test_a_cut_out_set_lower_fails_at_the_control_that_it_overtakes(tmp_path: Path) -> None:
    unit = OWN.replace("640 psig, opens_below: 500", "480 psig, opens_below: 380")
    change = """\
        change: {name: lower cut-out}
        devices:
          HP:
            {type: pressure-switch, senses: head, opens_above: 450 psig, closes_below: 350 psig, trips: above}
        steps:
          - replace: {device: HP, with: HP}
        """
    assert findings(tmp_path, set_points.check, unit, change)["FC"].verdict == "fail"


@pytest.mark.parametrize(
    ("device", "verdict"),
    [
        ("senses: head, opens_above: 450 psig, closes_below: 350 psig, trips: above", "pass"),
        ("senses: head, opens_above: 450 psig, closes_below: 350 psig, trips: below", "fail"),
        ("senses: head, closes_above: 450 psig, opens_below: 350 psig, trips: above", "fail"),
        ("senses: suction, closes_above: 95 psig, opens_below: 55 psig, trips: below", "pass"),
        ("senses: suction, closes_above: 95 psig, opens_below: 55 psig, trips: above", "fail"),
    ],
)
def test_sides_against_trips(tmp_path: Path, device: str, verdict: str) -> None:
    found = of_switch(tmp_path, f"{{type: pressure-switch, {device}}}")
    assert found.verdict == verdict
    assert ("lets loads run and stops none" in found.says) is (verdict == "fail")


def test_a_closing_protection_that_stops_by_a_relay(tmp_path: Path) -> None:
    """It closes on rise and pulls in a relay that opens the string: its tripped side stops the fan."""
    change = """\
        change: {name: lockout on rise, affects: {FAN: less}}
        devices:
          PS:
            {type: pressure-switch, senses: head, closes_above: 450 psig, opens_below: 350 psig, trips: above}
          R: {type: relay-nc, coil: {volts: 24, va: 5, inrush: 15}}
        steps:
          - run: {id: W40, from: CTL.L, to: PS.1}
          - run: {id: W41, from: PS.2, to: R.A1}
          - run: {id: W42, from: R.A2, to: CTL.N}
          - in-series: {device: R.C-NC, in: W3, at: K1.T1}
        """
    assert findings(tmp_path, set_points.check, UNIT, change)["PS"].verdict == "pass"


# facts.md 2.6: 410A off at 275 psig is 89.9 degF, on at 400 psig 116.4 degF; dew by CoolProp 8.0.0.
def test_saturation_temperatures_stand_beside_pressures(tmp_path: Path) -> None:
    device = "{type: pressure-switch, senses: head, closes_above: 400 psig, opens_below: 275 psig}"
    found = of_switch(tmp_path, device)
    assert "closes above 400 psig (bubble 116.4, dew 116.7 degF saturated)" in found.says
    assert "opens below 275 psig (bubble 89.9, dew 90.1 degF saturated)" in found.says
    bar = UNIT.replace("R410A", "R134a").replace("{unit: psig}", "{unit: bar}")
    metric = of_switch(tmp_path, device, bar)
    assert "degC saturated)" in metric.says
    assert "bubble" not in metric.says  # one value where there is no glide
    assert "saturated" not in of_switch(tmp_path, device, UNIT.replace(", refrigerant: R410A", "")).says


@pytest.mark.parametrize(
    ("name", "words"), [("R41A", "Meant R410A?"), ("steam", "no saturation table for steam")]
)
def test_unknown_refrigerant(tmp_path: Path, name: str, words: str) -> None:
    device = "{type: pressure-switch, senses: head, closes_above: 375 psig, opens_below: 275 psig}"
    found = findings(tmp_path, set_points.check, UNIT.replace("R410A", name), in_line(device))
    assert (found["unit"].verdict, found["unit"].fields) == ("note", ("unit.refrigerant",))
    assert words in found["unit"].says
    assert "saturated" not in found["PS"].says


# R410A at rest (facts.md 2.5): 48.4 psig at 0 degF, 118.8 at 40, 318.5 at 100, 419.5 at 120.
@pytest.mark.parametrize(
    ("design", "subject", "words"),
    [
        ("lowest_ambient: 40", "PS", "the pressure is 119 psig: PS can move back there"),
        ("lowest_ambient: 100 degF", "PS", "so PS never moves back: what it starts, it never stops"),
        ("highest_ambient: 100", "PS", "the pressure is 319 psig: PS moves once the unit runs"),
        ("highest_ambient: 120", "PS", "PS has moved before the unit starts"),
        ("lowest_ambient: 0", "LP", "the pressure is 48.4 psig: LP trips with the unit standing still"),
        ("lowest_ambient: 20", "LP", "once tripped, LP does not come back by itself"),
        ("highest_ambient: 150", "HP", "HP trips with the unit standing still"),
    ],
)
def test_design_ambient(tmp_path: Path, design: str, subject: str, words: str) -> None:
    unit = UNIT.replace("refrigerant: R410A", f"refrigerant: R410A, design: {{{design}}}")
    device = "{type: pressure-switch, senses: head, closes_above: 375 psig, opens_below: 275 psig}"
    found = findings(tmp_path, set_points.check, unit, in_line(device))[subject]
    assert found.verdict == "note"
    assert words in found.says


def test_ambients_that_mean_nothing_are_not_spoken_of(tmp_path: Path) -> None:
    design = "design: {lowest_ambient: 40, highest_ambient: 95}"
    unit = UNIT.replace("refrigerant: R410A", f"refrigerant: R410A, {design}")
    device = "{type: temperature-switch, senses: bench, closes_above: 85 degF, opens_below: 80 degF}"
    found = findings(tmp_path, set_points.check, unit, in_line(device))
    assert {s: f.verdict for s, f in found.items()} == {"HP": "pass", "LP": "pass", "PS": "pass"}


def test_no_set_points(tmp_path: Path) -> None:
    high = "senses: head, opens_above: 610 psig, closes_below: 420 psig, trips: above"
    unit = UNIT.replace(high, "rests: closed")
    unit = unit.replace(
        "senses: suction, opens_below: 50 psig, closes_above: 95 psig,\n     trips: below, ", ""
    )
    change = "change: {name: earth}\nsteps:\n  - run: {id: W40, from: MAINS.PE, to: CTL.PE}\n"
    assert findings(tmp_path, set_points.check, unit, change)["unit"].verdict == "pass"
