"""Transformers, capacitors, start devices, terminals."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT, across
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding


def valves(*va: tuple[float, float]) -> str:
    """Valves of (sealed, inrush) VA beside K1's coil."""
    devices = "".join(
        f"  V{k}: {{type: solenoid-valve, volts: 24, va: {s}, inrush: {i}}}\n" for k, (s, i) in enumerate(va)
    )
    steps = "".join(f"  - across: {{device: V{k}, terminals: [K1.A1, K1.A2]}}\n" for k in range(len(va)))
    return f"change: {{name: valves}}\ndevices:\n{devices}steps:\n{steps}"


# facts.md W7 adds 27 VA on 40; here K1's coil has 8 and an inrush of 20, or 33 where it is said.
GENTLE = PLANT.replace("inrush: 33", "inrush: 20")


@pytest.mark.parametrize(
    ("change", "verdict", "words"),
    [
        (valves((9, 9), (5, 5), (5, 5)), "pass", "feeds 27 VA on together (K1, V0, V1, V2), within 40 VA (X1.va"),
        (valves((8, 8), (8, 8), (8, 8), (8, 8)), "note", "feeds 52 VA with the largest inrush on top"),  # 40 + 12
        (valves((11, 11), (11, 11), (11, 11)), "fail", "feeds 41 VA on together (K1, V0, V1, V2), above 40 VA (X1.va"),
    ],
)  # fmt: skip
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


def test_a_coil_without_va_is_estimated(tmp_path: Path) -> None:
    """8 VA, 2 to 20 (contract): with K1's 8 that is 16, 10 to 28; on 15 VA a note, on 9 VA a fail at every end."""
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
    return f"change: {{name: new part, affects: {{COMP: either}}}}\ndevices:\n  {tag}: {device}\nsteps:\n  - replace: {{device: {tag}, with: {tag}}}\n"


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
        ("{type: run-capacitor, capacitance: 40 uF, volts: 440}", PLANT.replace(", needs: 45 uF", ""), "COMP", ("COMP.needs",)),
    ],
)  # fmt: skip
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
          T: {type: delay-on-relay, coil: {volts: 24, va: 4, inrush: 6}, contact: {volts: 370, fla: 20, lra: 50}}
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


def moved(wire: str, end: str, on: str) -> str:
    return f"change: {{name: moved, affects: {{COMP: either, FAN: either}}}}\nsteps:\n  - lift: {{wire: {wire}, end: {end}}}\n  - land: {{wire: {wire}, on: {on}}}\n"


# L1 stands 120 V from earth.
@pytest.mark.parametrize(
    ("switch", "terminal", "words"),
    [
        ("S1: {type: switch, contact: {volts: 24, va: 125}}", "S1.1", "joined to 120 V, above 36 V (S1.contact.volts, 1.5 times 24 V)"),
        ("S1: {type: switch}", "S1.1", "joined to 120 V, above 45 V (S1.volts, not given: 1.5 times 30 V"),
        ("S1: {type: switch, contact: {volts: 240, va: 125}}", "S1.1", None),
        ("S1: {type: bench-switch, contact: {va: 125}}", "S1.1", "joined to 120 V, above 45 V (bench-switch.volts, 1.5 times 30 V)"),
    ],
)  # fmt: skip
def test_terminal_on_the_line(tmp_path: Path, switch: str, terminal: str, words: str | None) -> None:
    """The line lands on the 24 V switch in the place of R."""
    own = "\ntypes:\n  bench-switch:\n    terminals: [1, 2]\n    volts: 30\n    elements:\n      c: {kind: contact, across: [1, 2], rests: open}\n"
    unit = PLANT.replace("S1: {type: switch, contact: {volts: 240, va: 125}}", switch) + own
    change = """\
        change: {name: a wrong feed, affects: {COMP: either, FAN: either}}
        steps:
          - lift: {wire: W13, end: S1.1}
          - splice: {name: CAP, join: [W13]}
          - run: {id: W30, from: MAINS.L1, to: S1.1}
        """
    found: Finding | None = findings(tmp_path, ratings.check, unit, change).get(terminal)
    assert (found and found.verdict) == (words and "fail")
    assert (words or "") in (found.says if found else "")


def test_contacts_beside_a_coil_are_not_rated_by_it(tmp_path: Path) -> None:
    """A relay with a 24 V coil whose contacts state nothing: a note of what is missing, no fail."""
    change = """\
        change: {name: a heater behind a relay}
        devices:
          R: {type: relay-no, coil: {volts: 24, va: 5, inrush: 15}}
          FR: {type: heater, volts: 240, watts: 500}
        steps:
          - run: {id: W50, from: MAINS.L1, to: R.C}
          - run: {id: W51, from: R.NO, to: FR.1}
          - run: {id: W52, from: FR.2, to: MAINS.L2}
          - run: {id: W53, from: S1.2, to: R.A1}
          - run: {id: W54, from: R.A2, to: X1.C}
        """
    found = findings(tmp_path, ratings.check, PLANT, change)
    assert "R.C" not in found
    assert (found["R"].verdict, found["R"].fields) == ("note", ("R.contact.volts", "R.contact.fla"))


def test_a_change_that_brings_nothing_passes(tmp_path: Path) -> None:
    found = findings(tmp_path, ratings.check, PLANT, moved("W17", "GND.2", "GND.3"))
    assert found["unit"].verdict == "pass"
