"""`wirecheck ramp`: against what the switches' set points say by hand, and against the table of states."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import wirecheck
from wirecheck import api
from wirecheck.quantity import show

EXAMPLES = Path(__file__).parents[2] / "examples"
PLAYHOUSE = (EXAMPLES / "tidewater-playhouse/unit.yaml", EXAMPLES / "tidewater-playhouse/change.yaml")
CALL = ("--when", "TH.cool closed")


def changed(*args: object) -> list[tuple[str, str | None, dict[str, str], dict[str, str]]]:
    """What `ramp` says that changes: what happens, at which value, switches, loads."""
    done = wirecheck("ramp", *args, "--json", "-")
    assert done.code == 0, done.err
    rows = json.loads(done.out)["happenings"][1:]
    found = [(r["what"], r["at"], r["switches"], r["loads"]) for r in rows]
    return [r for r in found if r[2] or r[3]]


def test_a_fan_switch_has_its_two_points() -> None:
    """PS closes above 375 psig and opens below 275; between them it stays as it was."""
    assert changed(*PLAYHOUSE, "liquid_pressure", "200 psig", "450 psig", "200 psig", *CALL) == [
        ("rises", "375 psig", {"PS": "closed"}, {"FAN": "runs"}),
        ("falls", "275 psig", {"PS": "open"}, {"FAN": "off"}),
    ]


def test_a_safety_trips_and_comes_back_after_its_delay() -> None:
    """HP opens above 610 psig, closes below 420; then DR's delay has to run out before K1 pulls in."""
    unit = EXAMPLES / "anti-short-cycle/unit.yaml"
    change = EXAMPLES / "anti-short-cycle/change.yaml"
    found = changed(unit, change, "liquid_pressure", "500 psig", "700 psig", "400 psig", *CALL)
    assert [(what, at) for what, at, _, _ in found] == [
        ("DR.elapsed runs out", None),
        ("rises", "610 psig"),
        ("falls", "420 psig"),
        ("DR.elapsed runs out", None),
    ]
    assert found[1][3] == {"COMP": "off", "FAN": "off"}
    assert found[3][3] == {"COMP": "runs", "FAN": "runs"}


@pytest.mark.parametrize("name", ["tidewater-playhouse", "walk-in-pump-down", "lockout", "bakery-proofer"])
def test_every_stand_is_a_state_that_is_reached(name: str) -> None:
    unit = str(EXAMPLES / name / "unit.yaml")
    circuit = api.unit_of(unit)
    for quantity in circuit.quantities:
        if quantity not in circuit.cuts:
            continue
        low, high = min(circuit.cuts[quantity]), max(circuit.cuts[quantity])
        shown = circuit.quantities[quantity].unit
        values = tuple(
            show(v, shown) for v in (low - (high - low) / 9 - 1, high + (high - low) / 9 + 1, low - 1)
        )
        _, answer = api.ramp(unit, None, quantity, values)
        rows = [(r.inputs, r.loads) for r in api.states(unit)[1].rows]
        stand: dict[str, str] = {}
        for h in answer.happenings:
            stand |= {n: now for kind in (h.switches, h.loads) for n, (_, now) in kind.items()}
            assert any(all({**i, **loads}.get(n, w) == w for n, w in stand.items()) for i, loads in rows)


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("liquid_presure", "200 psig", "300 psig"), "unknown-condition"),
        (("liquid_pressure", "200 degC", "300 psig"), "wrong-unit"),
        (("liquid_pressure", "much", "300 psig"), "not-a-number"),
    ],
)
def test_bad_input(args: tuple[str, ...], code: str) -> None:
    done = wirecheck("ramp", *PLAYHOUSE, *args)
    assert (done.code, done.out) == (2, "")
    assert f": {code}: " in done.err
    assert "Traceback" not in done.err


def test_too_few() -> None:
    assert wirecheck("ramp", *PLAYHOUSE, "liquid_pressure").code == 2


def test_the_page_fits_and_tells_the_order() -> None:
    done = wirecheck("ramp", *PLAYHOUSE, "liquid_pressure", "200", "450", "200", *CALL)
    assert "rises past 375 psig  PS closed; FAN runs (was off)" in done.out
    assert all(len(line) <= 80 for line in done.out.splitlines())
