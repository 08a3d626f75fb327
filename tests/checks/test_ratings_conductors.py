"""Conductors: current, insulation, heat class, the fuse ahead of them, and volts lost along them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, in_lead
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding

SWITCH = "{type: pressure-switch, rests: closed, contact: {volts: 240, fla: 30, lra: 150}}"


def of_lead(folder: Path, run: str, wire: str = "W3", unit: str = PLANT) -> dict[str, Finding]:
    return findings(folder, ratings.check, unit, in_lead(wire, "K1.T1", SWITCH, run))


# COMP runs at 14.1 A; with 125 % (NEC 440.32) 17.6 A. NEC 310.16: 10 AWG 30 A, 14 AWG 15 A at 60 degC,
# 18 AWG 14 A at 90 degC. By diameter 22 AWG carries 14 x (0.644/1.024)^1.5 = 6.98 A; twice that is 13.96 A.
@pytest.mark.parametrize(
    ("gauge", "verdict", "words"),
    [
        ("10 AWG", "pass", "carries 14.1 A of COMP, within 30 A (W30.gauge, 10 AWG, NEC table 310.16"),
        ("14 AWG", "note", "should carry 17.6 A for COMP, 125 % of the largest motor"),
        ("18 AWG", "note", "above 14 A (W30.gauge, 18 AWG, NEC table 310.16"),
        ("20 AWG", "note", "above 9.89 A (W30.gauge, 20 AWG, by its diameter"),
        ("22 AWG", "fail", "carries 14.1 A of COMP, above 14 A (W30.gauge, 22 AWG, 2 times 6.98 A"),
        ("6 mm2", "pass", "within 30 A (W30.gauge, 6 mm2"),  # between 10 AWG (5.26 mm2) and 8 AWG
    ],
)
def test_current(tmp_path: Path, gauge: str, verdict: str, words: str) -> None:
    run = f"gauge: {gauge}, insulation: {{volts: 600, degC: 105}}"
    found = of_lead(tmp_path, run)["W30"]
    assert (found.verdict, words in found.says) == (verdict, True), found.says


# W3, which W30 goes on from at K1.T1, is for 105 degC.
@pytest.mark.parametrize(("degc", "verdict"), [(90, "fail"), (105, "pass"), (125, "pass")])
def test_heat_class(tmp_path: Path, degc: int, verdict: str) -> None:
    found = of_lead(tmp_path, f"gauge: 10 AWG, insulation: {{volts: 600, degC: {degc}}}")["W30"]
    assert found.verdict == verdict
    assert "W3.insulation.degC" in found.says


def test_heat_class_at_a_splice(tmp_path: Path) -> None:
    change = """\
        change: {name: longer}
        steps:
          - cut: {wire: W7}
          - splice: {name: J1, join: [W7.a]}
          - splice: {name: J2, join: [W7.b]}
          - run: {id: W30, from: J1, to: J2, gauge: 18 AWG, insulation: {volts: 600, degC: 75}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)["W30"]
    assert found.verdict == "fail"
    assert "below the 105 degC of W7.a, which it extends" in found.says


def test_figures_that_are_not_given_are_one_note(tmp_path: Path) -> None:
    found = of_lead(tmp_path, "route: harness")["conductors"]
    assert found.verdict == "note"
    assert found.fields == ("W30.gauge", "W30.insulation.volts", "W30.insulation.degC")


# 240 V stand on the compressor's common, 120 V to earth.
@pytest.mark.parametrize(("volts", "verdict"), [(200, "fail"), (240, "pass"), (600, "pass")])
def test_insulation_of_a_new_conductor(tmp_path: Path, volts: int, verdict: str) -> None:
    found = of_lead(tmp_path, f"gauge: 10 AWG, insulation: {{volts: {volts}, degC: 105}}")["W30"]
    assert found.verdict == verdict
    assert "stands at 240 V" in found.says


HEATER = """\
    change: {name: a heater by way of the bench tray}
    devices:
      FR: {type: heater, volts: %d, watts: 500}
    steps:
      - run: {id: W40, from: MAINS.L1, to: FR.1, gauge: 14 AWG, route: %s}
      - run: {id: W41, from: MAINS.%s, to: FR.2, gauge: 14 AWG, route: %s}
    """


# W13 and W14, insulated for 150 V, lie in the bench tray; beside a 240 V circuit that is too little.
@pytest.mark.parametrize(
    ("volts", "pole", "route", "verdict"),
    [(240, "L2", "bench tray", "fail"), (120, "N", "bench tray", "pass"), (240, "L2", "own conduit", None)],
)
def test_control_conductors_in_the_same_space(
    tmp_path: Path, volts: int, pole: str, route: str, verdict: str | None
) -> None:
    found = findings(tmp_path, ratings.check, PLANT, HEATER % (volts, route, pole, route)).get("W13")
    assert (found and found.verdict) == verdict
    if verdict == "fail":
        assert found is not None
        assert (
            "stands at 240 V beside W40, on the same route, above 150 V (W13.insulation.volts" in found.says
        )


def test_insulation_that_was_too_little_before_is_a_note(tmp_path: Path) -> None:
    unit = PLANT.replace("{volts: 600, degC: 90}, route: roof", "{volts: 150, degC: 90}, route: roof")
    found = of_lead(tmp_path, "gauge: 10 AWG, insulation: {volts: 600, degC: 105}", unit=unit)["W1"]
    assert found.verdict == "note"
    assert "stands at 240 V, above 150 V (W1.insulation.volts, as marked), as before the change" in found.says


# 240.4(D): 15 A ahead of 14 AWG.
@pytest.mark.parametrize(("amps", "said"), [(20, True), (15, False)])
def test_the_fuse_ahead_of_a_small_conductor(tmp_path: Path, amps: int, said: bool) -> None:
    change = f"""\
        change: {{name: a heater}}
        devices:
          FU: {{type: fuse, contact: {{volts: 250, fla: {amps}}}}}
          FR: {{type: heater, volts: 240, watts: 2400}}
        steps:
          - run: {{id: W40, from: MAINS.L1, to: FU.1, gauge: 10 AWG}}
          - run: {{id: W41, from: FU.2, to: FR.1, gauge: 14 AWG}}
          - run: {{id: W42, from: FR.2, to: MAINS.L2, gauge: 10 AWG}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)["W41"]
    assert ("has FU of 20 A ahead of it (FU.contact.fla), above 15 A for 14 AWG" in found.says) is said
    assert found.verdict == ("note" if said else "pass")


# facts.md W3: 2.5 A of inrush, 18 AWG at 20 degC, 2 x 6.385 ohm/kft. 100 ft: 24 - 3.19 = 20.81 V,
# above 20.4 V; 200 ft: 17.62 V with the volts in phase, and at power factor 0.3
# 24 x 9.6 / |2.88 + 2.55 + j9.16| = 21.6 V: may not pull in; 1000 ft:
# 24 x 9.6 / |2.88 + 12.77 + j9.16| = 12.7 V even so.
@pytest.mark.parametrize(
    ("feet", "verdict", "words"),
    [
        (100, None, ""),
        (
            200,
            "note",
            "gets 17.6 to 21.6 V at inrush over W40, W41 and may not pull in at 20.4 V (V.coil.pick_up)",
        ),
        (1000, "fail", "gets at most 12.7 V at inrush over W40, W41 and pulls in at 20.4 V"),
    ],
)
def test_volts_of_a_coil_at_the_end_of_its_conductors(
    tmp_path: Path, feet: int, verdict: str | None, words: str
) -> None:
    change = f"""\
        change: {{name: a valve on the far bench}}
        devices:
          V: {{type: solenoid-valve, volts: 24, va: 15, inrush: 60, pick_up: 85}}
        steps:
          - run: {{id: W40, from: S1.2, to: V.1, gauge: 18 AWG, length: {feet} ft}}
          - run: {{id: W41, from: V.2, to: X1.C, gauge: 18 AWG, length: {feet} ft}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change).get("V")
    assert (found and found.verdict) == verdict
    assert words in (found.says if found else "")


# 2400 W at 240 V is 10 A; 14 AWG at 75 degC 2 x 3.071 ohm/kft (facts.md W2): 150 ft lose 9.2 V, 3.8 %.
@pytest.mark.parametrize(("feet", "said"), [(150, "loses 3.8 % of its volts"), (100, "")])
def test_volts_lost_on_the_line(tmp_path: Path, feet: int, said: str) -> None:
    change = f"""\
        change: {{name: a heater}}
        devices:
          FR: {{type: heater, volts: 240, watts: 2400}}
        steps:
          - run: {{id: W41, from: MAINS.L1, to: FR.1, gauge: 14 AWG, length: {feet} ft}}
          - run: {{id: W42, from: FR.2, to: MAINS.L2, gauge: 14 AWG, length: {feet} ft}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change).get("FR")
    assert (found is not None) is bool(said)
    assert found is None or (found.verdict == "note" and said in found.says)
