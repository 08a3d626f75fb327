"""Transformers and capacitors."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, across, valves
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path


# facts.md W7 adds 27 VA on 40; here K1's coil has 8 and an inrush of 20, or 33 where it is said.
GENTLE = PLANT.replace("inrush: 33", "inrush: 20")


@pytest.mark.parametrize(
    ("change", "verdict", "words"),
    [
        (
            valves((9, 9), (5, 5), (5, 5)),
            "pass",
            "feeds 27 VA on together (K1, V0, V1, V2), within 40 VA (X1.va",
        ),
        (
            valves((8, 8), (8, 8), (8, 8), (8, 8)),
            "note",
            "feeds 52 VA with the largest inrush on top",
        ),  # 40 + 12
        (
            valves((11, 11), (11, 11), (11, 11)),
            "fail",
            "feeds 41 VA on together (K1, V0, V1, V2), above 40 VA (X1.va",
        ),
    ],
)
def test_transformer(tmp_path: Path, change: str, verdict: str, words: str) -> None:
    found = findings(tmp_path, ratings.check, GENTLE, change)["X1"]
    assert (found.verdict, words in found.says) == (verdict, True), found.says


def test_inrush_on_top(tmp_path: Path) -> None:
    """8 + 9 sealed and 24 more while a valve pulls in: 41 VA. K1's own inrush adds 25: 42 VA."""
    found = findings(tmp_path, ratings.check, PLANT, valves((9, 33)))["X1"]
    assert found.verdict == "note"
    assert "feeds 42 VA with the largest inrush on top, above 40 VA (X1.va)" in found.says


def test_transformer_without_va(tmp_path: Path) -> None:
    found = findings(tmp_path, ratings.check, PLANT.replace(", va: 40", ""), valves((9, 9)))["X1"]
    assert (found.verdict, found.fields) == ("note", ("X1.va",))


@pytest.mark.parametrize(
    ("valve", "verdict", "words"),
    [
        ("va: 9, inrush: 30", "pass", "feeds 17 VA on together (K1, X2), within 40 VA"),
        ("va: 35, inrush: 35", "fail", "feeds 43 VA on together (K1, X2), above 40 VA"),
    ],
)
def test_a_transformer_on_a_transformer_on_a_transformer(
    tmp_path: Path, valve: str, verdict: str, words: str
) -> None:
    """K1's 8 VA, and what the valve behind both draws through them."""
    change = f"""\
        change: {{name: in a row}}
        devices:
          X2: {{type: transformer, volts: [24, 12], va: 60}}
          X3: {{type: transformer, volts: [12, 24], va: 60}}
          V: {{type: solenoid-valve, volts: 24, {valve}}}
        steps:
          - run: {{id: W40, from: K1.A1, to: X2.H1}}
          - run: {{id: W41, from: K1.A2, to: X2.H2}}
          - run: {{id: W42, from: X2.R, to: X3.H1}}
          - run: {{id: W43, from: X2.C, to: X3.H2}}
          - run: {{id: W44, from: X3.R, to: V.1}}
          - run: {{id: W45, from: V.2, to: X3.C}}
        """
    found = findings(tmp_path, ratings.check, GENTLE, change)["X1"]
    assert (found.verdict, words in found.says) == (verdict, True), found.says


def test_a_coil_without_va_is_estimated(tmp_path: Path) -> None:
    """8 VA, 2 to 20 (contract): with K1's 8 it is 16, 10 to 28; on 15 VA a note, on 9 a fail at every end."""
    change = across("V", "{type: solenoid-valve, volts: 24}", "K1.A1", "K1.A2")
    note = findings(tmp_path, ratings.check, PLANT.replace("va: 40", "va: 15"), change)["X1"]
    assert (note.verdict, note.fields) == ("note", ("V.coil.va",))
    fail = findings(tmp_path, ratings.check, PLANT.replace("va: 40", "va: 9"), change)["X1"]
    assert fail.verdict == "fail"


def test_what_hangs_on_another_secondary_does_not_count(tmp_path: Path) -> None:
    """Both commons lie on the same earth bar; X2's valve of 35 VA is none of X1's business."""
    change = """\
        change: {name: a second transformer}
        devices:
          X2: {type: transformer, volts: [240, 24], va: 40}
          V: {type: solenoid-valve, volts: 24, va: 35, inrush: 35}
        steps:
          - run: {id: W40, from: MAINS.L1, to: X2.H1}
          - run: {id: W41, from: MAINS.L2, to: X2.H2}
          - run: {id: W42, from: X2.R, to: V.1}
          - run: {id: W43, from: V.2, to: X2.C}
          - run: {id: W44, from: X2.C, to: GND.3}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert "X1" not in found
    assert "feeds 35 VA on together (V), within 40 VA" in found["X2"].says


def swapped(device: str, tag: str = "CR") -> str:
    return f"""\
change: {{name: new part, affects: {{COMP: either}}}}
devices:
  {tag}: {device}
steps:
  - replace: {{device: {tag}, with: {tag}}}
"""


# 45 uF are needed; labels allow 5 or 6 % (common practice): 42.3 to 47.7.
@pytest.mark.parametrize(
    ("farads", "verdict"),
    [("45 uF", "pass"), ("47 uF", "pass"), ("50 uF", "fail"), ("40 uF", "fail"), ("5 uF", "fail")],
)
def test_capacitor_value(tmp_path: Path, farads: str, verdict: str) -> None:
    change = swapped(f"{{type: run-capacitor, capacitance: {farads}, volts: 440}}")
    found = findings(tmp_path, ratings.check, PLANT, change)["COMP"]
    assert found.verdict == verdict
    assert f"has {farads} at its auxiliary and needs 45 uF (COMP.needs, as marked)" in found.says


def test_wrong_capacitor_section(tmp_path: Path) -> None:
    """The fan on the compressor's 45 uF, and the compressor on the fan's 5."""
    change = """\
        change: {name: sections exchanged}
        steps:
          - lift: {wire: W6, end: CR.2}
          - lift: {wire: W10, end: CF.2}
          - land: {wire: W6, on: CF.2}
          - land: {wire: W10, on: CR.2}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert (found["COMP"].verdict, found["FAN"].verdict) == ("fail", "fail")
    assert "has 5 uF at its auxiliary and needs 45 uF" in found["COMP"].says


def test_a_wrong_capacitor_that_stood_before_is_a_note(tmp_path: Path) -> None:
    unit = PLANT.replace("capacitance: 45 uF", "capacitance: 40 uF")
    found = findings(tmp_path, ratings.check, unit, valves((9, 9)))["COMP"]
    assert found.verdict == "note"
    assert "has 40 uF at its auxiliary and needs 45 uF (COMP.needs, as marked), as before" in found.says


@pytest.mark.parametrize(
    ("device", "unit", "subject", "fields"),
    [
        ("{type: run-capacitor, volts: 440}", PLANT, "COMP", ("CR.capacitance",)),
        ("{type: run-capacitor, capacitance: 45 uF}", PLANT, "CR", ("CR.volts",)),
        (
            "{type: run-capacitor, capacitance: 40 uF, volts: 440}",
            PLANT.replace(", needs: 45 uF", ""),
            "COMP",
            ("COMP.needs",),
        ),
    ],
)
def test_missing_figures_of_capacitors(
    tmp_path: Path, device: str, unit: str, subject: str, fields: tuple[str, ...]
) -> None:
    found = findings(tmp_path, ratings.check, unit, swapped(device))[subject]
    assert (found.verdict, found.fields) == ("note", fields)


# Across 45 uF (58.9 ohm at 60 Hz) in series with 2.4 + j4.6: 240 x 58.9 / |2.4 + j(4.6 - 58.9)| = 260 V.
@pytest.mark.parametrize(("volts", "verdict"), [(250, "fail"), (370, "pass")])
def test_capacitor_volts(tmp_path: Path, volts: int, verdict: str) -> None:
    change = swapped(f"{{type: run-capacitor, capacitance: 45 uF, volts: {volts}}}")
    found = findings(tmp_path, ratings.check, PLANT, change)["CR"]
    assert found.verdict == verdict
    assert "has 260 V across it at standstill" in found.says


# A blower of 3 A on 120 V draws 360 VA, whatever its rotor draws at standstill.
@pytest.mark.parametrize(("va", "verdict"), [(400, "pass"), (350, "fail")])
def test_a_motor_on_a_secondary_counts_by_its_running_amps(tmp_path: Path, va: int, verdict: str) -> None:
    change = f"""\
        change: {{name: a blower}}
        devices:
          X2: {{type: transformer, volts: [240, 120], va: {va}}}
          B: {{type: motor-1ph, volts: 120, fla: 3, lra: 12}}
        steps:
          - run: {{id: W40, from: MAINS.L1, to: X2.H1}}
          - run: {{id: W41, from: MAINS.L2, to: X2.H2}}
          - run: {{id: W42, from: X2.R, to: B.1}}
          - run: {{id: W43, from: B.2, to: X2.C}}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)["X2"]
    assert found.verdict == verdict
    assert "feeds 360 VA on together (B)" in found.says


# 40 VA at 208 V are 0.192 A, through the one tap that is fed.
@pytest.mark.parametrize(("fla", "verdict"), [(0.2, "pass"), (0.19, "fail")])
def test_a_transformer_with_two_taps_draws_through_the_one_that_is_fed(
    tmp_path: Path, fla: float, verdict: str
) -> None:
    unit = PLANT.replace("kind: split-phase, volts: 240", "kind: two-legs-of-wye, volts: 208")
    change = f"""\
        change: {{name: a second transformer}}
        devices:
          X2: {{type: transformer-2-tap, volts: [208, 240, 24], va: 40}}
          FU: {{type: fuse, contact: {{volts: 250, fla: {fla}}}}}
        steps:
          - run: {{id: W40, from: MAINS.L1, to: FU.1}}
          - run: {{id: W41, from: FU.2, to: X2.H1}}
          - run: {{id: W42, from: X2.H2, to: MAINS.L2}}
        """
    found = findings(tmp_path, ratings.check, unit, change)["FU"]
    assert found.verdict == verdict
    assert "carries 0.192 A of X2" in found.says


# What hangs on the secondary draws through the primary: 60 VA at 240 V are 0.25 A, whatever X1 is marked for.
@pytest.mark.parametrize("va", ["", ", va: 200", ", va: 40"])
@pytest.mark.parametrize(
    ("rating", "verdict"),
    [("va: 70", "pass"), ("va: 50", "fail"), ("fla: 0.3", "pass"), ("fla: 0.2", "fail")],
)
def test_a_primary_draws_what_its_secondary_feeds(tmp_path: Path, va: str, rating: str, verdict: str) -> None:
    unit = f"""\
unit: {{name: a valve}}
supplies: {{MAINS: {{kind: split-phase, volts: 240}}}}
devices:
  X1: {{type: transformer, volts: [240, 24]{va}}}
  S1: {{type: switch}}
  V: {{type: solenoid-valve, volts: 24, va: 60, inrush: 60}}
rungs:
  - {{id: P, path: [MAINS.L1, X1.H1-H2, MAINS.L2]}}
  - {{id: A, path: [X1.R, S1, V, X1.C]}}
"""
    change = f"""\
        change: {{name: a switch, affects: [V]}}
        devices: {{PS: {{type: switch, contact: {{volts: 240, {rating}}}}}}}
        steps: [in-series: {{device: PS, in: P.1, at: X1.H1}}]
        """
    assert findings(tmp_path, ratings.check, unit, change)["PS"].verdict == verdict
