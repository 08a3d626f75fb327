"""What `verify` says, read as someone who was not there: what differs, how a state was reached, why."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import ROOT, Result
from wirecheck import api, cli
from wirecheck.api import overview, states
from wirecheck.condition import ConditionError, parse_condition
from wirecheck.report import table

if TYPE_CHECKING:
    from collections.abc import Callable

    Here = Callable[..., Result]

DATA = Path(__file__).parent / "data"
LATCH = DATA / "latch.yaml"
EXAMPLES = ROOT / "examples"


@pytest.fixture
def here(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Here:
    monkeypatch.setenv("COLUMNS", "80")

    def run(*args: str | Path) -> Result:
        return Result(cli.run([*map(str, args)]), *capfd.readouterr())

    return run


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_latch_that_is_left_otherwise_is_not_called_as_before(here: Here) -> None:
    """The latch drops out with the door, so the lamp is off where it stayed on: less, in the same words."""
    done = here("verify", LATCH, DATA / "door-in-the-hold.yaml")
    assert done.code == 0
    assert "LAMP before only when STOP closed, and then it depends on what went before" in flat(done.out)
    told = "LAMP but not in the same states: it is off in some states in which it ran"
    assert told in flat(done.out)
    assert "as before, depends" not in done.out
    found = json.loads(here("verify", LATCH, DATA / "door-in-the-hold.yaml", "--json", "-").out)
    assert found["effect"]["LAMP"] == dict.fromkeys(("before", "after"), "depends on what went before")


def test_a_counterexample_tells_by_which_moves_it_is_reached_and_why_the_coil_is_in(here: Here) -> None:
    """By hand: pressed, let go, stopped, which the jumper shunts, stop let go: out before, in after."""
    done = here("verify", LATCH, DATA / "jumper-across-stop.yaml")
    assert done.code == 1
    moves = "power comes on with BTN closed; BTN open; STOP open; STOP closed"
    assert f"reached by moves: {moves}" in flat(done.out)
    assert "K1 is in: its coil is fed from X1.R through K1.make-2 to X1.C" in flat(done.out)
    found = json.loads(here("verify", LATCH, DATA / "jumper-across-stop.yaml", "--json", "-").out)
    shown = next(c["counterexample"] for c in found["checks"] if c["verdict"] == "fail")
    assert {"inputs", "before", "after"} <= {*shown}
    assert shown["reached"] == moves.split("; ")
    assert shown["because"] == ["K1 is in: its coil is fed from X1.R through K1.make-2 to X1.C"]


def test_moves_are_not_told_where_power_up_leads_there(here: Here) -> None:
    done = here("verify", DATA / "proofer.yaml", DATA / "secondary-shorted.yaml")
    assert done.code == 1
    assert "reached by" not in done.out


def test_a_coil_in_series_is_named_on_the_way_to_a_coil(here: Here) -> None:
    folder = EXAMPLES / "lockout"
    done = here("verify", folder / "unit.yaml", folder / "change-borderline-relay.yaml")
    assert "K1 is in: its coil is fed from X1.R through F1, TH.R-Y, LR.coil in series to X1.C" in flat(
        done.out
    )


def test_a_shorted_secondary_is_no_short_of_the_mains(here: Here) -> None:
    done = here("verify", DATA / "proofer.yaml", DATA / "secondary-shorted.yaml")
    assert "a short of the secondary of X1, fed from MAINS: X1.R – DOOR.1" in flat(done.out)
    assert "short of MAINS" not in done.out
    assert "The short goes\n      from X1.R\n" in done.out


def test_joined_circuits_show_where(here: Here) -> None:
    folder = EXAMPLES / "smoke-shutdown"
    done = here("verify", folder / "unit.yaml", folder / "change-joined.yaml")
    way = done.out.partition("X1 and X2 hang together, after the change, by\n")[2].partition("*")[0]
    assert way.split("\n")[0] == "      from X1.R"
    assert "W51 (red, 18 AWG) to F2.2" in way
    assert "to X2.R" in way


def test_a_current_through_earth_shows_its_way(here: Here) -> None:
    folder = ROOT / "tests" / "specimens" / "valid" / "no-earth-return"
    done = here("verify", folder / "unit.yaml", folder / "change-earth.yaml")
    way = done.out.partition("The current of LA, after the change, goes\n")[2].partition("\n\n")[0]
    assert "W3 to GND.2" in way


def test_a_change_that_does_nothing_is_the_first_thing_to_know(here: Here) -> None:
    folder = EXAMPLES / "lockout"
    done = here("verify", folder / "unit.yaml", folder / "change-contact-outside.yaml")
    notes = done.out.partition("To know\n")[2].partition("\n\n")[0]
    assert notes.startswith("  - COMP stands in `affects` and does as before in every state [takes-effect]")
    passed = here("verify", DATA / "latch.yaml", DATA / "door-in-the-hold.yaml").out
    notes = passed.partition("To know\n")[2].partition("\n\n")[0]
    assert notes.index("[ratings]") < notes.index("no load does otherwise")


COOL = "what moves it is the switch TH.cool: say TH.cool open or TH.cool closed."
WAYS = {
    "TH.R-Y closed": f"TH.R-Y is a contact; {COOL}",
    "TH.Y-R closed": f"TH.Y-R is a contact; {COOL}",
    "K1.L1-T1 closed": "K1.L1-T1 is a contact; what moves it is the relay K1: say K1 in or K1 out.",
    "HP.switch open": "HP.switch is a contact; what moves it is the switch HP: say HP closed or HP open.",
}


@pytest.mark.parametrize("said", WAYS)
def test_the_way_through_a_contact_is_told_what_moves_it(here: Here, said: str) -> None:
    done = here("states", EXAMPLES / "tidewater-playhouse" / "unit.yaml", "--when", said)
    assert done.code == 2
    assert f"unknown-name: {WAYS[said]}" in done.err


TRADE = {
    "TH.cool shut": ' Here that is called "closed".',
    "HP tripped": (
        ' A protection that has tripped is "open" or "closed", as its contact then stands, or else "moved".'
    ),
    "K1 energized": ' Of a relay say "in", of a load "on".',
    "K1 de-energised": ' Of a relay say "out", of a load "off".',
    "COMP running": ' Here that is called "runs".',
    "COMP hums": ' Here that is called "stalls".',
    "pressure over 300 psig": ' Of a quantity say "above".',
    "pressure under 300 psig": ' Here that is called "below".',
    "HP closd": " Meant closed?",
    "HP qqq": "",
}


@pytest.mark.parametrize("said", TRADE)
def test_a_word_of_the_trade_is_told_what_it_is_called_here(said: str) -> None:
    with pytest.raises(ConditionError) as error:
        parse_condition(said)
    assert error.value.message.startswith('found "')
    assert error.value.message.endswith(f".{TRADE[said]}" if TRADE[said] else ".")
    assert ("called" in error.value.message) == ("called" in TRADE[said])


@pytest.mark.parametrize(
    "folder", ["lockout", "bakery-proofer", "smoke-shutdown", "two-pumps", "walk-in-pump-down"]
)
def test_a_table_of_states_stays_within_80_columns(folder: str) -> None:
    circuit, answer = states(str(EXAMPLES / folder / "unit.yaml"))
    assert max(len(line.text) for line in table.page(circuit, answer, 80)) <= 80


def test_the_overview_is_as_wide_in_px_as_it_is_drawn() -> None:
    """CSS Values and Units 3, section 6.2: 1 in is 96 px and 72 pt. The viewBox is in points."""
    drawing = overview(str(EXAMPLES / "tidewater-playhouse" / "unit.yaml"), None, ".svg")
    size = re.search(r'<svg width="([\d.]+)px" height="([\d.]+)px"', drawing)
    box = re.search(r'viewBox="0.00 0.00 ([\d.]+) ([\d.]+)"', drawing)
    assert size and box
    assert [float(s) for s in size.groups()] == pytest.approx(
        [float(b) * 96 / 72 for b in box.groups()], rel=2e-3
    )
    assert not re.search(r'="[\d.]+pt"', drawing)


def test_the_way_goes_as_the_current_does(tmp_path: Path) -> None:
    # From L through the dropping resistor and then one of two lamps: the other lamp leads to the same pole.
    unit = tmp_path / "unit.yaml"
    unit.write_text(
        "unit: {name: two lamps behind a resistor}\n"
        "supplies:\n  MAINS: {kind: single-phase, volts: 120}\n"
        "devices:\n  S1: {type: switch}\n  RS: {type: resistor, ohms: 10}\n"
        "  LA: {type: lamp, volts: 120, watts: 60}\n  LW: {type: lamp, volts: 120, watts: 40}\n"
        "rungs:\n  - {id: A, path: [MAINS.L, RS, S1, LA, MAINS.N]}\n  - {id: C, path: [S1.2, LW, MAINS.N]}\n"
    )
    change = tmp_path / "change.yaml"
    change.write_text("change: {name: bridged}\nsteps:\n  - run: {id: J1, from: S1.1, to: S1.2}\n")
    _, answer = api.verify(str(unit), str(change))
    lamp = next(f for f in answer.findings if (f.check, f.subject) == ("keeps", "LA"))
    assert lamp.witness is not None
    assert [line.split()[-1] for line in lamp.witness.route] == [
        "MAINS.L", "RS.1", "RS.2", "S1.1", "S1.2", "LA.1", "LA.2", "MAINS.N"
    ]  # fmt: skip
