"""What each kind of load draws from a transformer of its own, by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.checks.rig import findings
from tests.checks.units import PLANT
from wirecheck.checks import ratings

if TYPE_CHECKING:
    from pathlib import Path

X2 = """\
change: {{name: a second transformer}}
devices:
  X2: {{type: transformer, volts: [240, {volts}], va: {va}}}
{devices}
steps:
  - run: {{id: J1, from: MAINS.L1, to: X2.H1}}
  - run: {{id: J2, from: MAINS.L2, to: X2.H2}}
{runs}
"""


def runs(*ends: str, first: int = 3) -> str:
    """A conductor for each pair of ends, "A to B"."""
    pairs = (e.split(" to ") for e in ends)
    return "".join(f"  - run: {{id: J{k}, from: {a}, to: {b}}}\n" for k, (a, b) in enumerate(pairs, first))


def on_x2(volts: float, va: float, devices: str, *ends: str) -> str:
    return X2.format(volts=volts, va=va, devices=devices, runs=runs(*ends))


MOTOR = "lra: 2.9, main: {r: 38, x: 75}, aux: {r: 62, x: 95}, needs: 5 uF}\n"
CAPACITOR = "  C: {type: run-capacitor, capacitance: 5 uF, volts: 440}\n"
VALVE = "{type: solenoid-valve, volts: 24, va: 6, inrush: 36}\n"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        # 48² / 40 = 57.6 ohm; 24² / 57.6 = 10 VA.
        (
            on_x2(24, 40, "  H: {type: heater, volts: 48, watts: 40}", "X2.R to H.1", "H.2 to X2.C"),
            "feeds 10 VA on together (H)",
        ),
        # Neither pulls in at half its volts: 24² / 36 = 16 ohm each, 0.75 A at 24 V, not 6 VA each.
        (
            on_x2(24, 40, f"  V1: {VALVE}  V2: {VALVE}", "X2.R to V1.1", "V1.2 to V2.1", "V2.2 to X2.C"),
            "feeds 18 VA on together (V1, V2)",
        ),
        # A motor by its nameplate, 1.4 A at 240 V, its auxiliary and capacitor with it.
        (
            on_x2(
                240,
                400,
                f"  B: {{type: psc-motor, volts: 240, fla: 1.4, {MOTOR}{CAPACITOR}",
                "X2.R to B.main",
                "X2.R to C.1",
                "C.2 to B.aux",
                "B.common to X2.C",
            ),
            "feeds 336 VA on together (B)",
        ),
        # The same with its other taps, whose windings hang there too.
        (
            on_x2(
                240,
                400,
                f"  B: {{type: psc-motor-3-speed, volts: 240, fla: 1.4, {MOTOR}{CAPACITOR}",
                "X2.R to B.high",
                "X2.R to C.1",
                "C.2 to B.aux",
                "B.common to X2.C",
            ),
            "feeds 336 VA on together (B)",
        ),
        # One or the other, 3 A at 120 V; never both.
        (
            on_x2(
                120,
                400,
                "  S: {type: changeover-switch}\n  B1: {type: motor-1ph, volts: 120, fla: 3, lra: 12}\n"
                "  B2: {type: motor-1ph, volts: 120, fla: 3, lra: 12}\n",
                "X2.R to S.C",
                "S.NC to B1.1",
                "S.NO to B2.1",
                "B1.2 to X2.C",
                "B2.2 to X2.C",
            ),
            "feeds 360 VA on together (B1)",
        ),
    ],
)
def test_what_a_load_draws(tmp_path: Path, change: str, words: str) -> None:
    found = findings(tmp_path, ratings.check, PLANT, change)["X2"]
    assert (found.verdict, words in found.says) == ("pass", True), found.says


@pytest.mark.parametrize(("va", "verdict"), [(3100, "pass"), (2900, "note"), (4, "note"), (3, "fail")])
def test_a_lamp_without_watts_is_estimated(tmp_path: Path, va: float, verdict: str) -> None:
    """100 W, within a factor of 30 (project rule, `circuit/figures.py`): 3.33 to 3000 VA."""
    lamp = on_x2(24, va, "  L: {type: lamp, volts: 24}", "X2.R to L.1", "L.2 to X2.C")
    found = findings(tmp_path, ratings.check, PLANT, lamp)["X2"]
    assert found.verdict == verdict, found.says
