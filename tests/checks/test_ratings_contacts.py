"""Contacts: volts, running and locked-rotor amps, pilot duty; figures worked by hand from nameplates."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, across, in_lead
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding

SWITCH = "{type: pressure-switch, rests: closed, contact: {%s}}"


def of_contact(folder: Path, wire: str, end: str, rating: str, unit: str = PLANT) -> Finding:
    return findings(folder, ratings.check, unit, in_lead(wire, end, SWITCH % rating))["PS"]


# COMP's common carries 14.1 A and 73 A locked, FAN's 1.4 A and 2.9 A, at 240 V; K1's coil 8 and 33 VA.
@pytest.mark.parametrize(
    ("wire", "end", "rating", "verdict", "words"),
    [
        (
            "W3",
            "K1.T1",
            "volts: 240, fla: 6, lra: 90",
            "fail",
            "carries 14.1 A of COMP, above 6 A (PS.contact.fla",
        ),
        (
            "W3",
            "K1.T1",
            "volts: 240, fla: 14.1, lra: 73",
            "pass",
            "14.1 A of COMP, within 14.1 A (PS.contact.fla",
        ),
        (
            "W3",
            "K1.T1",
            "volts: 240, fla: 15, lra: 70",
            "fail",
            "makes 73 A of COMP starting, above 70 A (PS.contact.lra",
        ),
        ("W7", "K1.T1", "volts: 240, fla: 6, lra: 2.8", "fail", "makes 2.9 A of FAN starting, above 2.8 A"),
        ("W7", "K1.T1", "volts: 24, fla: 6, lra: 36", "fail", "switches 240 V, above 24 V (PS.contact.volts"),
        ("W7", "K1.T1", "volts: 208, fla: 6, lra: 36", "fail", "switches 240 V, above 208 V"),  # 15 % above
        # 240 V nominal on a 230 V nameplate is the same system (ANSI C84.1, from memory): 4.3 % above.
        ("W7", "K1.T1", "volts: 230, fla: 6, lra: 36", "note", "switches 240 V; may be above 230 V"),
        # The auxiliary: 240 V over 62 + j95 - j530.5 ohm is 0.546 A at standstill; running 1.5 times that.
        ("W10", "FAN.aux", "volts: 240, fla: 0.8, lra: 2", "fail", "carries 0.818 A of FAN, above 0.8 A"),
        (
            "W10",
            "FAN.aux",
            "volts: 240, fla: 0.9, lra: 0.54",
            "fail",
            "makes 0.546 A of FAN starting, above 0.54 A",
        ),
        # Pilot duty: 8 VA sealed; makes 10 times (control-circuit classification sheet, facts.md 2.4).
        ("W14", "K1.A1", "volts: 240, va: 125", "pass", "breaks 8 VA of K1, within 125 VA (PS.contact.va"),
        ("W14", "K1.A1", "volts: 24, va: 5", "fail", "breaks 8 VA of K1, above 5 VA"),
        # A motor on pilot duty alone: 1.4 A x 240 V = 336 VA, 2.9 A x 240 V = 696 VA locked.
        ("W7", "K1.T1", "volts: 240, va: 180", "fail", "breaks 336 VA of FAN, above 180 VA"),
        ("W7", "K1.T1", "volts: 240, va: 720", "note", "pilot duty is not motor duty (PS.contact.fla"),
        # A coil through a motor-rated contact: 8/24 = 0.333 A, 33/24 = 1.38 A at inrush.
        ("W14", "K1.A1", "volts: 240, fla: 0.3, lra: 2", "fail", "carries 0.333 A of K1, above 0.3 A"),
        (
            "W14",
            "K1.A1",
            "volts: 240, fla: 0.4, lra: 1.3",
            "fail",
            "makes 1.38 A of K1 starting, above 1.3 A",
        ),
    ],
)
def test_contact(tmp_path: Path, wire: str, end: str, rating: str, verdict: str, words: str) -> None:
    found = of_contact(tmp_path, wire, end, rating)
    assert (found.verdict, words in found.says) == (verdict, True), found.says


def test_a_contact_that_fails_shows_the_state_and_the_way(tmp_path: Path) -> None:
    found = of_contact(tmp_path, "W3", "K1.T1", "volts: 240, fla: 6, lra: 90")
    assert found.witness is not None
    assert found.witness.inputs["S1"] == "closed"
    assert found.witness.after["COMP"] == "runs"
    assert any("W30" in line for line in found.witness.route)


# Without `lra`, six times `fla` is taken, and a note names the field: 6 x 12 = 72 A, 6 x 15 = 90 A.
def test_locked_rotor_amps_not_given_of_the_contact(tmp_path: Path) -> None:
    short = of_contact(tmp_path, "W3", "K1.T1", "volts: 240, fla: 12")
    assert short.verdict == "fail"
    assert (
        "makes 73 A of COMP starting, above 72 A (PS.contact.lra, not given: 6 times fla taken)" in short.says
    )
    enough = of_contact(tmp_path, "W3", "K1.T1", "volts: 240, fla: 15")
    assert (enough.verdict, enough.fields) == ("note", ("PS.contact.lra",))


def test_a_contact_that_makes_no_more_than_its_running_amps_needs_no_lra(tmp_path: Path) -> None:
    found = of_contact(tmp_path, "W7", "K1.T1", "volts: 240, fla: 3")
    assert (found.verdict, found.fields) == ("pass", ())


@pytest.mark.parametrize(
    ("rating", "fields"),
    [
        ("volts: 240", ("PS.contact.fla",)),
        ("fla: 6, lra: 36", ("PS.contact.volts",)),
        ("volts: 240, lra: 36", ("PS.contact.fla",)),
    ],
)
def test_missing_figures_of_a_contact_are_a_note(
    tmp_path: Path, rating: str, fields: tuple[str, ...]
) -> None:
    found = of_contact(tmp_path, "W7", "K1.T1", rating)
    assert (found.verdict, found.fields) == ("note", fields)
    assert all(f in found.says for f in fields)


def test_missing_figures_of_a_load_are_a_note(tmp_path: Path) -> None:
    unit = PLANT.replace("fla: 1.4, lra: 2.9, ", "")
    found = of_contact(tmp_path, "W7", "K1.T1", "volts: 240, fla: 6, lra: 36", unit)
    assert (found.verdict, found.fields) == ("note", ("FAN.fla", "FAN.lra"))


# FAN's lra is then 2 x 1.4 = 2.8 A, between 2.8/1.25 = 2.24 and 2.8/0.75 = 3.73 A (winding ±25 %).
@pytest.mark.parametrize(("lra", "verdict"), [(2.2, "fail"), (2.5, "note"), (3.8, "pass")])
def test_an_estimate_fails_only_at_every_end(tmp_path: Path, lra: float, verdict: str) -> None:
    unit = PLANT.replace("lra: 2.9, ", "")
    found = of_contact(tmp_path, "W7", "K1.T1", f"volts: 240, fla: 1.5, lra: {lra}", unit)
    assert found.verdict == verdict
    assert found.fields == (("FAN.lra",) if verdict == "note" else ())


# K1 feeds COMP and FAN, 15.5 A; a crankcase heater of 480 W adds 2 A.
HEATER = across("H", "{type: crankcase-heater, volts: 240, watts: 480}", "K1.T1", "K1.T2")


@pytest.mark.parametrize(
    ("fla", "verdict", "words"),
    [
        (17, "fail", "carries 17.5 A of H, COMP, FAN, above 17 A"),
        (18, "pass", "carries 17.5 A of H, COMP, FAN, within 18 A"),
        (12, "fail", "above 12 A"),  # was over before, and is more so now
    ],
)
def test_loads_of_one_contact_add_up(tmp_path: Path, fla: float, verdict: str, words: str) -> None:
    unit = PLANT.replace("fla: 30, lra: 150", f"fla: {fla}, lra: 150")
    found = findings(tmp_path, ratings.check, unit, HEATER)["K1"]
    assert (found.verdict, words in found.says) == (verdict, True), found.says


def test_an_overload_that_stood_before_is_a_note(tmp_path: Path) -> None:
    valve = across("V", "{type: solenoid-valve, volts: 24, va: 6, inrush: 10}", "K1.A1", "K1.A2")
    found = findings(tmp_path, ratings.check, PLANT.replace("fla: 30, lra: 150", "fla: 12, lra: 150"), valve)[
        "K1"
    ]
    assert found.verdict == "note"
    assert (
        "carries 15.5 A of COMP, FAN, above 12 A (K1.contact.fla, as marked), as before the change"
        in found.says
    )


def test_what_is_not_touched_is_not_spoken_of(tmp_path: Path) -> None:
    valve = across("V", "{type: solenoid-valve, volts: 24, va: 6, inrush: 10}", "K1.A1", "K1.A2")
    found = findings(tmp_path, ratings.check, PLANT, valve)
    assert "K1" not in found
    assert found["S1"].verdict == "pass"  # 14 VA of 125


# Two contacts side by side, each of which may close first: each carries all of it.
def test_contacts_side_by_side(tmp_path: Path) -> None:
    change = """\
        change: {name: two in parallel, affects: {FAN: either}}
        devices:
          PA: {type: switch, contact: {volts: 240, fla: 1, lra: 36}}
          PB: {type: switch, contact: {volts: 240, fla: 6, lra: 36}}
        steps:
          - lift: {wire: W7, end: K1.T1}
          - splice: {name: J, join: [W7]}
          - run: {id: W30, from: J, to: PA.1}
          - run: {id: W31, from: J, to: PB.1}
          - run: {id: W32, from: PA.2, to: K1.T1}
          - run: {id: W33, from: PB.2, to: K1.T1}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert found["PA"].verdict == "fail"
    assert found["PB"].verdict == "pass"


def test_a_fuse_is_not_rated_by_what_it_makes(tmp_path: Path) -> None:
    def fuse(fla: int) -> Finding:
        change = in_lead("W3", "K1.T1", f"{{type: fuse, contact: {{volts: 250, fla: {fla}}}}}")
        return findings(tmp_path, ratings.check, PLANT, change)["PS"]

    assert fuse(20).verdict == "pass"
    assert fuse(10).verdict == "fail"
