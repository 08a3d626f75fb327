"""What compound steps leave behind: the conductors by id, and where they end (contract section 3)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair

if TYPE_CHECKING:
    from pathlib import Path

UNIT = """
unit: {name: board}
supplies: {MAINS: {kind: single-phase, volts: 120}}
devices:
  S1: {type: switch}
  LA: {type: lamp, volts: 120, watts: 60}
wires:
  - {id: W1, from: MAINS.L, to: S1.1}
  - {id: W2, from: S1.2, to: LA.1}
  - {id: W3, from: LA.2, to: MAINS.N}
"""

# name: (devices, steps, conductors that the steps make or move: id -> its two ends)
CASES: dict[str, tuple[str, list[str], dict[str, set[str]]]] = {
    "in series": (
        "PS: {type: switch}",
        ["in-series: {device: PS, in: W2, at: LA.1}"],
        {"W2": {"S1.2", "PS.1"}, "PS.in.1": {"PS.2", "LA.1"}},
    ),
    "in series by a way, the first terminal of the way takes the conductor": (
        "PS: {type: changeover-switch}",
        ["in-series: {device: PS.C-NO, in: W2, at: LA.1}"],
        {"W2": {"S1.2", "PS.C"}, "PS.in.1": {"PS.NO", "LA.1"}},
    ),
    "in series by a way said the other way round": (
        "PS: {type: changeover-switch}",
        ["in-series: {device: PS.NC-C, in: W2, at: S1.2}"],
        {"W2": {"LA.1", "PS.NC"}, "PS.in.1": {"PS.C", "S1.2"}},
    ),
    "in series by a way, with leads": (
        "PS: {type: changeover-switch, leads: true}",
        ["in-series: {device: PS.C-NO, in: W2, at: LA.1}"],
        {"W2": {"S1.2", "PS.joint"}, "PS.in.1": {"PS.joint", "PS.C"}, "PS.in.2": {"PS.NO", "LA.1"}},
    ),
    "two contacts of one device in series, numbers go on": (
        "PS: {type: relay-2-changeover, coil: {volts: 120, va: 5}}",
        [
            "in-series: {device: PS.C-NO, in: W2, at: LA.1}",
            "in-series: {device: PS.C2-NC2, in: W3, at: LA.2}",
        ],
        {
            "W2": {"S1.2", "PS.C"},
            "PS.in.1": {"PS.NO", "LA.1"},
            "W3": {"PS.C2", "MAINS.N"},
            "PS.in.2": {"PS.NC2", "LA.2"},
        },
    ),
    "two contacts of one device with leads, two joints": (
        "PS: {type: relay-2-changeover, leads: true, coil: {volts: 120, va: 5}}",
        [
            "in-series: {device: PS.C-NO, in: W2, at: LA.1}",
            "in-series: {device: PS.C2-NC2, in: W3, at: LA.2}",
        ],
        {
            "W2": {"S1.2", "PS.joint"},
            "PS.in.1": {"PS.joint", "PS.C"},
            "PS.in.2": {"PS.NO", "LA.1"},
            "W3": {"PS.joint.2", "MAINS.N"},
            "PS.in.3": {"PS.joint.2", "PS.C2"},
            "PS.in.4": {"PS.NC2", "LA.2"},
        },
    ),
    "across": (
        "PS: {type: switch}",
        ["across: {device: PS, terminals: [S1.1, S1.2]}"],
        {"PS.across.1": {"PS.1", "S1.1"}, "PS.across.2": {"PS.2", "S1.2"}},
    ),
    "across twice, numbers go on": (
        "PS: {type: relay-2-changeover, coil: {volts: 120, va: 5}}",
        [
            "across: {device: PS.C-NO, terminals: [S1.1, S1.2]}",
            "across: {device: PS.C2-NO2, terminals: [LA.1, LA.2]}",
        ],
        {
            "PS.across.1": {"PS.C", "S1.1"},
            "PS.across.2": {"PS.NO", "S1.2"},
            "PS.across.3": {"PS.C2", "LA.1"},
            "PS.across.4": {"PS.NO2", "LA.2"},
        },
    ),
    "a number set free is the next free one": (
        "PS: {type: switch}",
        [
            "across: {device: PS, terminals: [S1.1, S1.2]}",
            "remove: {wire: PS.across.1}",
            "across: {device: PS, terminals: [S1.1, LA.1]}",
        ],
        {"PS.across.2": {"PS.2", "S1.2"}, "PS.across.1": {"PS.1", "S1.1"}, "PS.across.3": {"PS.2", "LA.1"}},
    ),
    "cut and joined again": (
        "",
        ["cut: {wire: W2}", "splice: {name: SP, join: [W2.a, W2.b]}"],
        {"W2.a": {"S1.2", "SP"}, "W2.b": {"SP", "LA.1"}},
    ),
    "an end landed in a splice that was made before": (
        "",
        [
            "cut: {wire: W2}",
            "splice: {name: SP, join: [W2.a]}",
            "land: {wire: W2.b, on: SP}",
            "run: {id: J, from: SP, to: S1.1}",
        ],
        {"W2.a": {"S1.2", "SP"}, "W2.b": {"SP", "LA.1"}, "J": {"SP", "S1.1"}},
    ),
    "by sight, the far device": (
        "",
        ["lift: {wire: {at: S1, to: LA}, end: LA.1}", "land: {wire: {at: S1.2}, on: LA.2}"],
        {"W2": {"S1.2", "LA.2"}},
    ),
    "both ends loose, landed the other way round": (
        "",
        [
            "lift: {wire: W2, end: S1.2}",
            "lift: {wire: W2, end: LA.1}",
            "land: {wire: W2, on: LA.1, end: S1.2}",
            "land: {wire: W2, on: S1.2}",
        ],
        {"W2": {"S1.2", "LA.1"}},
    ),
    "replaced, a terminal that the new device has not": (
        "LX: {type: solenoid-valve, volts: 120, va: 5}\n  K: {type: relay-no, coil: {volts: 120, va: 5}}",
        ["replace: {device: LA, with: K, moves: {1: A1}}", "land: {wire: W3, on: K.A2}"],
        {"W2": {"S1.2", "K.A1"}, "W3": {"K.A2", "MAINS.N"}},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_wired(name: str, tmp_path: Path) -> None:
    devices, steps, expected = CASES[name]
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(UNIT, encoding="utf-8")
    brought = f"devices:\n  {devices}\n" if devices else ""
    said = "\n".join(f"  - {step}" for step in steps)
    change.write_text(f"change: {{name: wired}}\n{brought}steps:\n{said}\n", encoding="utf-8")
    after = load_change_pair(unit, change).after
    untouched = {"W1": {"MAINS.L", "S1.1"}, "W2": {"S1.2", "LA.1"}, "W3": {"LA.2", "MAINS.N"}}
    cut = {"W2.a", "W2.b"} & set(expected)
    whole = {**{i: ends for i, ends in untouched.items() if not (cut and i == "W2")}, **expected}
    assert {i: {w.a, w.b} for i, w in after.conductors.items()} == whole
    assert not after.loose
