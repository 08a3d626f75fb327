"""Each command as a process: exit codes, the JSON of the contract, what stands on standard output."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.conftest import PLAYHOUSE, ROOT, wirecheck

if TYPE_CHECKING:
    from collections.abc import Callable

UNIT, CHANGE = PLAYHOUSE / "unit.yaml", PLAYHOUSE / "change.yaml"
DATA = Path(__file__).parent / "data"


def answer(*args: str | Path) -> dict[str, Any]:
    done = wirecheck(*args, "--json", "-")
    assert done.err == ""
    found: dict[str, Any] = json.loads(done.out)
    return found


@pytest.mark.parametrize(
    ("unit", "change", "code", "verdict"),
    [
        ("tidewater-playhouse", "change", 0, "pass"),
        ("tidewater-playhouse", "change-main-lead", 1, "fail"),
        ("lockout", "change-borderline-relay", 3, "not decided"),
    ],
)
def test_verdicts(unit: str, change: str, code: int, verdict: str) -> None:
    folder = ROOT / "examples" / unit
    done = wirecheck("verify", folder / "unit.yaml", folder / f"{change}.yaml")
    assert done.code == code
    assert done.out.startswith(f"{verdict}: ")
    assert done.err == ""
    assert max(map(len, done.out.splitlines())) <= 80
    assert done.out.endswith(
        "This is about the wiring model only. Local code, the unit's label and a licensed\nperson decide.\n"
    )


def test_verify_json() -> None:
    found = answer("verify", UNIT, PLAYHOUSE / "change-main-lead.yaml")
    assert found["verdict"] == "fail"
    assert all({"check", "subject", "verdict", "says", "counterexample"} <= set(c) for c in found["checks"])
    keeps = next(c for c in found["checks"] if c["check"] == "keeps" and c["subject"] == "FAN")
    shown = keeps["counterexample"]
    assert shown["inputs"]["TH.cool"] == "closed"
    assert shown["inputs"]["PS"] == "open"
    assert (shown["before"]["FAN"], shown["after"]["FAN"]) == ("runs", "stalls")
    assert (shown["before"]["K1"], shown["after"]["K1"]) == ("in", "in")
    assert "W7 (yellow, 18 AWG) to FAN.common" in shown["route"]
    assert set(found["effect"]["FAN"]) == {"before", "after"}
    assert found["assumes"]


def test_stays_gives_the_states_in_order() -> None:
    folder = ROOT / "examples" / "lockout"
    found = answer("verify", folder / "unit.yaml", folder / "change-forgets-power.yaml")
    failed = next(c for c in found["checks"] if c["verdict"] == "fail")
    assert "stays off" in failed["subject"]
    assert len(failed["counterexample"]) > 1
    assert all({"inputs", "before", "after"} <= set(state) for state in failed["counterexample"])


def test_states() -> None:
    found = answer("states", DATA / "unit.yaml")
    assert found["inputs"] == ["DS", "TH.cool", "HP"]
    assert len(found["rows"]) == 8
    running = [r for r in found["rows"] if r["loads"] == {"COMP": "runs", "FAN": "runs"}]
    assert [r["inputs"] for r in running] == [{"DS": "closed", "TH.cool": "closed", "HP": "closed"}]
    assert running[0]["relays"] == {"K1": "in"}
    assert running[0]["power_up"] is True


BOARD = """
unit: {name: valve}
supplies: {M: {kind: single-phase, volts: 24}}
types:
  board:
    terminals: [A, B, C, D]
    elements:
      coil: {kind: coil, across: [A, B], volts: 24, va: 5}
      out: {kind: contact, across: [C, D], rests: open}
devices: {B: {type: board}, LP: {type: lamp, volts: 24, watts: 5}}
rungs:
  - {id: C1, path: [M.L, B.A-B, M.N]}
  - {id: C2, path: [M.L, B.C-D, LP, M.N]}
"""


def test_a_load_with_the_name_of_its_switch_has_a_column_of_its_own(tmp_path: Path) -> None:
    unit = tmp_path / "unit.yaml"
    unit.write_text(BOARD, encoding="utf-8")
    shown = wirecheck("states", unit).out
    assert "B (load) on" in shown
    assert [line.split()[:2] for line in shown.splitlines()[-2:]] == [["1", "open"], ["2", "closed"]]


def test_states_of_the_changed_unit_held() -> None:
    found = answer(
        "states", DATA / "unit.yaml", DATA / "change.yaml", "--when", "DS closed, TH.cool closed, HP closed"
    )
    assert [(r["inputs"]["PS"], r["loads"]["FAN"]) for r in found["rows"]] == [
        ("open", "off"),
        ("closed", "runs"),
    ]


def test_a_quantity_is_held() -> None:
    found = answer(
        "states", DATA / "unit.yaml", DATA / "change.yaml", "--when", "liquid_pressure above 500 psig"
    )
    assert {r["inputs"]["PS"] for r in found["rows"]} == {"closed"}
    assert {r["inputs"]["HP"] for r in found["rows"]} == {"open", "closed"}


def test_a_short_is_told(edited: Callable[[str, str], Path]) -> None:
    unit = edited("from: K1.T1, to: COMP.R", "from: K1.T1, to: K1.L2")
    rows = answer("states", unit)["rows"]
    shorted = [r for r in rows if "short" in r]
    assert [r["inputs"]["TH.cool"] for r in shorted] == ["closed"]
    assert shorted[0]["loads"]["FAN"] == "short"
    assert "is shorted: " in wirecheck("states", unit).out


def test_lift() -> None:
    found = answer("lift", DATA / "unit.yaml", "FAN")
    assert found["load"] == "FAN"
    rows = {r["wire"]: r for r in found["conductors"]}
    assert rows["W7"] == {
        "wire": "W7", "stops": "always", "leaves": ["off"], "others": [], "relays": [], "clean": True
    }  # fmt: skip
    assert rows["W9"]["leaves"] == ["stalls"]
    assert rows["W6"]["others"] == ["COMP"]
    assert not rows["W6"]["clean"]
    assert found["lift"] == {"wire": "W7", "at": "K1.T2", "to": "FAN.common"}
    assert found["says"].startswith("Lift W7 at K1.T2 — yellow, 18 AWG, goes into the fan conduit")


def test_meter() -> None:
    coil = answer("meter", DATA / "unit.yaml", "K1.A1", "K1.A2", "--when", "TH.cool closed")
    assert (coil["reads"], coil["volts"]) == ("value", 24.0)
    poles = answer("meter", DATA / "unit.yaml", "K1.T1", "K1.T2")
    assert (poles["reads"], poles["volts"]) == ("value", 0.0)
    assert poles["to_earth"] == {"K1.T1": 120.0, "K1.T2": 120.0}
    assert answer("meter", DATA / "unit.yaml", DATA / "change.yaml", "PS.1", "PS.2")["volts"] == 0.0


def test_zero_volts_is_not_dead() -> None:
    done = wirecheck("meter", DATA / "unit.yaml", "K1.T1", "K1.T2")
    assert "0 V between them does not mean dead" in done.out


def test_ohms() -> None:
    found = answer("meter", DATA / "unit.yaml", "FAN.common", "FAN.main", "--ohms")
    assert found["reads"] == "value"
    assert found["ohms"] == pytest.approx(
        38 * (1.1 + 0) / (38 + 1.1)
    )  # the compressor's main across it, W4 of facts
    unwired = answer("meter", DATA / "unit.yaml", "X1.R", "K1.T1", "--ohms")
    assert (unwired["reads"], unwired["ohms"]) == ("open", None)


def test_a_relay_is_held_where_it_can_be() -> None:
    found = answer("meter", DATA / "unit.yaml", "K1.T1", "K1.T2", "--when", "K1 in, TH.cool closed")
    assert found["volts"] == 240.0
    assert wirecheck("meter", DATA / "unit.yaml", "K1.T1", "K1.T2", "--when", "K1 in").code == 2


def test_draw(tmp_path: Path) -> None:
    out = tmp_path / "fan.svg"
    assert wirecheck("draw", DATA / "unit.yaml", DATA / "change.yaml", "-o", out).code == 0
    assert ET.fromstring(out.read_text(encoding="utf-8")).tag.endswith("svg")  # noqa: S314 our own output
    done = wirecheck("draw", DATA / "unit.yaml", "-o", tmp_path / "fan.jpg")
    assert done.code == 2
    assert ".svg or .png or .html or .dot" in done.err


def test_overview(tmp_path: Path) -> None:
    done = wirecheck("draw", DATA / "unit.yaml", "-o", tmp_path / "unit.dot")
    assert done.code == 0
    assert (tmp_path / "unit.dot").read_text(encoding="utf-8").startswith("graph")
    done = wirecheck("draw", DATA / "unit.yaml", DATA / "change.yaml", "--only", "overview", "-o", "-")
    assert ET.fromstring(done.out).tag.endswith("svg")  # noqa: S314 our own output
    own = ("--only", "overview", "--dot", "/no/such")
    done = wirecheck("draw", DATA / "unit.yaml", *own, "-o", tmp_path / "a.svg")
    assert done.code == 2
    assert done.err.startswith("--dot:1:1: no-dot-program: ")
    assert not (tmp_path / "a.svg").exists()


def test_one_picture_only(tmp_path: Path) -> None:
    files = DATA / "unit.yaml", DATA / "change.yaml"
    done = wirecheck("draw", *files, "--only", "connections", "-o", "-")
    drawn = {e.get("data-id") for e in ET.fromstring(done.out).iter()}  # noqa: S314 our own output
    assert {"W7", "K1", "K1.T2", "PS.1"} <= drawn
    assert wirecheck("draw", files[0], "--only", "connections", "-o", tmp_path / "a.svg").code == 0
    ladder = wirecheck("draw", *files, "--only", "ladder", "-o", "-")
    assert ladder.out == wirecheck("draw", *files, "-o", "-").out
    wrong = wirecheck("draw", *files, "--only", "ladder", "-o", tmp_path / "b.dot")
    assert (wrong.code, "--only" in wrong.err) == (2, True)
    assert wirecheck("draw", *files, "--only", "rungs", "-o", "-").code == 2


def test_explain_and_devices() -> None:
    assert wirecheck("explain", "ambiguous-wire").out.startswith("# ambiguous-wire\n")
    assert "ambiguous-wire" in wirecheck("explain").out
    one = wirecheck("devices", "contactor-1p")
    assert "Terminals: L1 T1 L2 T2 A1 A2" in one.out
    assert "\n  coil    coil A1-A2" in one.out
    assert "contactor-1p" in wirecheck("devices").out
    assert wirecheck("devices", "contactor-1").err.startswith("TYPE:1:1: unknown-type: ")
    assert wirecheck("explain", "ambigous-wire").err.startswith("CODE:1:1: unknown-code: ")


def test_schemas(tmp_path: Path) -> None:
    assert wirecheck("schemas", tmp_path / "new" / "folder").code == 0
    written = tmp_path / "new" / "folder"
    assert sorted(p.name for p in written.iterdir()) == [
        "change.schema.json",
        "record.schema.json",
        "unit.schema.json",
    ]
    for path in written.iterdir():
        assert path.read_bytes() == (ROOT / "schemas" / path.name).read_bytes()


def switches(count: int) -> str:
    tags = [f"S{k}" for k in range(count)]
    devices = "".join(f"  {tag}: {{type: switch}}\n" for tag in tags)
    return (
        "unit: {name: Long}\nsupplies:\n  M: {kind: single-phase, volts: 24}\n"
        f"devices:\n{devices}  LP: {{type: lamp, volts: 24, watts: 5}}\n"
        f"rungs:\n  - {{id: C1, path: [M.L, {', '.join(tags)}, LP, M.N]}}\n"
    )


def test_too_many_states(tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(switches(18), encoding="utf-8")
    change.write_text("change: {name: none}\n", encoding="utf-8")
    done = wirecheck("states", unit, "--json", "-")
    assert (done.code, done.out) == (3, "")
    assert "262144 combinations of inputs" in done.err
    assert "S17" in done.err
    assert wirecheck("verify", unit, change).code == 0
    sentence = "expects: [LP runs only when S0 closed]\n"
    unit.write_text(switches(26) + sentence, encoding="utf-8")
    verdict = wirecheck("verify", unit, change, "--json", "-")
    assert verdict.code == 3
    assert json.loads(verdict.out)["verdict"] == "unknown"
    held = ", ".join(f"S{k} closed" for k in range(4))
    assert wirecheck("meter", unit, "LP.1", "LP.2", "--when", held, "--json", "-").code == 0


def test_version_and_help() -> None:
    assert wirecheck("--version").out.startswith("wirecheck")
    done = wirecheck("--help")
    assert (done.code, done.err) == (0, "")
    for command in ("verify", "states", "lift", "meter", "draw", "explain", "devices", "schemas"):
        assert command in done.out


@pytest.mark.parametrize(
    "args", [["frob"], ["verify"], ["verify", "--frob", "a", "b"], ["meter", "a", "b"], []]
)
def test_usage(args: list[str]) -> None:
    assert wirecheck(*args).code == 2


@pytest.mark.parametrize(
    ("points", "given"),
    [(["K1.T2"], "only K1.T2"), (["K1.T2", "MAINS.PE", "FAN.aux"], "K1.T2, MAINS.PE, FAN.aux")],
)
def test_a_meter_has_two_probes(points: list[str], given: str) -> None:
    done = wirecheck("meter", DATA / "unit.yaml", *points)
    assert done.code == 2
    assert "a meter has two probes: after UNIT, and CHANGE if there is one, give two points." in done.err
    assert f"Given: {given}" in done.err


def test_an_end_that_is_landed_is_where_it_is_landed() -> None:
    """The name of a loose end, before its step: the terminal that it is about to be lifted off."""
    step = ("MAINS.PE", "--at-step", "0")
    lifted = answer("meter", DATA / "unit.yaml", DATA / "change.yaml", "W7:K1.T2", *step)
    assert lifted["volts"] == answer("meter", DATA / "unit.yaml", "K1.T2", "MAINS.PE")["volts"] == 120.0


def test_a_folder_is_no_record(tmp_path: Path) -> None:
    assert "a record, the .json that `record` wrote, was expected" in wirecheck("recheck", tmp_path).err
