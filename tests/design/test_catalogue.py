"""What `wirecheck devices` has to show."""

from __future__ import annotations

import pytest

from wirecheck.design.catalogue import ElementSheet, FieldSheet, sheet, sheets
from wirecheck.design.types import built_in_names


def field(name: str, of: str) -> FieldSheet:
    return next(f for f in sheet(of).fields if f.name == name)


def test_every_type_is_listed_once() -> None:
    assert [s.name for s in sheets()] == list(built_in_names())


def test_terminals_and_elements() -> None:
    shown = sheet("delay-on-relay")
    assert shown.terminals == ("C", "NO", "NC", "A1", "A2")
    assert shown.elements[0] == ElementSheet("make", "contact", "C-NO", "open", "coil", "on")
    assert sheet("transformer-2-tap").elements[0].between == "H1-H2-H3 to R-C"
    assert sheet("terminal-strip").terminals == ("1 … n",)
    assert sheet("thermostat").positions == ("cool", "fan", "heat")


@pytest.mark.parametrize(
    ("name", "of", "takes", "default"),
    [
        ("volts", "heater", "V", ""),
        ("watts", "heater", "W", ""),
        ("herm", "dual-run-capacitor", "uF or {capacitance, volts}", ""),
        ("needs", "psc-motor", "uF", ""),
        ("ohms", "ptc-start", "ohm", "25 ohm"),
        ("ohms", "potential-relay", "ohm", "5000 ohm"),
        ("taps", "psc-motor-3-speed", "name: number", "high 1, medium 1.25, low 1.6"),
        ("pick_up", "relay-no", "% or V", ""),
        ("volts", "transformer", "list of V", ""),
        ("terminals", "earth-bar", "whole number", "required"),
        ("resets", "pressure-switch", "hand", ""),
        ("trips", "float-switch", "above or below or open or closed or rest or moved", ""),
        ("isolates", "switch", "true or false", ""),
        ("contact", "relay-no", "{volts, fla, lra, va}", ""),
        ("senses", "float-switch", "text", ""),
    ],
)
def test_fields_with_units_and_defaults(name: str, of: str, takes: str, default: str) -> None:
    shown = field(name, of)
    assert (shown.takes, shown.default) == (takes, default)


def test_a_fields_own_come_first_and_normal_only_where_something_moves() -> None:
    names = [f.name for f in sheet("heater").fields]
    assert names[:3] == ["volts", "watts", "ohms"]
    assert "normal" not in names
    assert "normal" in [f.name for f in sheet("fuse").fields]


def test_unknown_type() -> None:
    with pytest.raises(KeyError):
        sheet("no-such-type")
