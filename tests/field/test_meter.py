"""`meter`: what is live beside a reading, steps in the middle, relays that seal in, coils in ohms.

Facts of the trade are those of the project's list: one-pole contactor (circuit reasoning), 240 V split-phase
with its middle earthed, so 120 V from either leg to earth.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from tests.field.conftest import DATA, PLAYHOUSE

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Result

UNIT, CHANGE = PLAYHOUSE


@pytest.fixture
def asked(here: Callable[..., Result]) -> Callable[..., dict[str, Any]]:
    def ask(*args: object) -> dict[str, Any]:
        done = here("meter", *map(str, args), "--json", "-")
        assert done.code == 0, done.err
        found: dict[str, Any] = json.loads(done.out)
        return found

    return ask


def test_one_pole_contactor_out_is_not_dead(asked: Callable[..., dict[str, Any]]) -> None:
    """Fact 1: coil out, T1-T2 0 V, T1 to earth 120 V, L1-T1 240 V, through the windings."""
    across = asked(UNIT, "K1.T1", "K1.T2")
    assert (across["volts"], across["to_earth"]) == (0.0, {"K1.T1": 120.0, "K1.T2": 120.0})
    assert across["relays"] == {"K1": "out", "IFR": "out"}
    assert asked(UNIT, "K1.L1", "K1.T1")["volts"] == pytest.approx(240.0)


def test_contactor_in_has_nothing_across_its_pole(asked: Callable[..., dict[str, Any]]) -> None:
    call = ("--when", "TH.cool closed")
    assert asked(UNIT, "K1.L1", "K1.T1", *call)["volts"] == 0.0
    assert asked(UNIT, "K1.T1", "K1.T2", *call)["volts"] == pytest.approx(240.0)
    assert asked(UNIT, "K1.T1", "K1.T2", *call)["relays"]["K1"] == "in"


def test_without_terminals_everything_live_is_told(here: Callable[..., Result]) -> None:
    done = here("meter", UNIT)
    assert done.code == 0
    assert "COMP is off, not dead: COMP.C, COMP.R and COMP.S 120 V to earth." in done.out
    assert "24.0 V  X1.R, F1.1, F1.2, TH.R" in done.out
    assert all(len(line) <= 80 for line in done.out.splitlines())


def test_behind_an_open_two_pole_contactor_the_load_is_dead(here: Callable[..., Result]) -> None:
    unit = UNIT.parents[1] / "lockout/unit.yaml"
    assert "COMP and FAN off, no terminal of theirs live." in here("meter", unit).out


def test_a_lifted_end_is_live_from_its_own_load(here: Callable[..., Result]) -> None:
    """Fact 5: the fan's common lifted from T2; the loose end is live through the windings."""
    done = here("meter", UNIT, CHANGE, "W7", "MAINS.PE", "--at-step", "2")
    assert done.code == 0, done.err
    assert done.out.startswith("W7 to MAINS.PE: 120 V")
    assert "Loose and live: W7:K1.T2 120 V to earth." in done.out


def test_steps_lead_from_the_unit_to_the_changed_unit(asked: Callable[..., dict[str, Any]]) -> None:
    call = ("--when", "TH.cool closed")
    before, after = (asked(UNIT, CHANGE, "FAN.common", "K1.T2", *call, "--at-step", n) for n in (0, 5))
    assert before == asked(UNIT, "FAN.common", "K1.T2", *call)
    assert after == asked(UNIT, CHANGE, "FAN.common", "K1.T2", *call)


@pytest.mark.parametrize("args", [(UNIT, CHANGE, "--at-step", "6"), (UNIT, "--at-step", "1")])
def test_no_such_step(here: Callable[..., Result], args: tuple[object, ...]) -> None:
    done = here("meter", *map(str, args))
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith("--at-step:1:1: no-such-step: ")


def test_a_relay_that_would_stay_in_is_named(here: Callable[..., Result]) -> None:
    """START-STOP station: from power-up the relay is out; pulled in once it holds through its own contact."""
    unit = DATA / "seals-in.yaml"
    out, held = here("meter", unit, "R.A1", "R.A2"), here("meter", unit, "R.A1", "R.A2", "--when", "R in")
    assert "R.A1 to R.A2: 0 V" in out.out
    assert '--when "R in" reads' in out.out
    assert "R.A1 to R.A2: 24.0 V" in held.out
    assert "R in." in held.out
    assert "would stay in" not in held.out


def test_the_impedance_of_a_coil_is_no_ohm_reading(asked: Callable[..., dict[str, Any]]) -> None:
    """A 24 V contactor coil reads 8 to 20 ohm DC (common practice), far below volts squared over VA."""
    unit = DATA / "coils.yaml"
    by_impedance = asked(unit, "K.A1", "K.A2", "--ohms")
    assert (by_impedance["reads"], by_impedance["ohms"]) == ("unknown", None)
    assert "K.coil.dc_ohms" in by_impedance["fields"]
    assert "L.coil.dc_ohms" not in by_impedance["fields"]  # given, and behind an open contact
    assert asked(unit, "L.A1", "L.A2", "--ohms")["ohms"] == pytest.approx(18.0)


def test_a_switch_with_a_free_end_goes_with_its_quantity(asked: Callable[..., dict[str, Any]]) -> None:
    """Nothing is wired to HP.2; above 400 psig HP is open all the same (contract 6 meter, engine 4)."""
    unit, high = DATA / "free-end.yaml", ("--when", "p above 400 psig")
    volts = [asked(unit, "HP.2", "MAINS.N", *when)["reads"] for when in ((), high)]
    ohms = [asked(unit, "HP.1", "HP.2", "--ohms", *when)["reads"] for when in ((), high)]
    assert (volts, ohms) == (["value", "floating"], ["value", "open"])
