"""Connection diagrams: every conductor end once, on its screw, before and after in one place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.draw.circuits import (
    Bench,
    cabinet,
    change_of,
    crowded,
    random_bench,
    random_change,
    unit,
)
from tests.draw.connecting import faults_of, runs
from tests.draw.test_pair import fan_cycling
from wirecheck.circuit.apply import load_change_pair
from wirecheck.draw import connections
from wirecheck.draw.connections.pieces import Body, Run, Terminal
from wirecheck.draw.pieces import Label, Plate

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.draw.connections import Both, Sheet

EXAMPLES = Path(__file__).parents[2] / "examples"
CHANGES = sorted(EXAMPLES.glob("*/change*.yaml"))


def faults(changed: Changed) -> list[str]:
    sheets = connections.before_after(changed)
    found = [f"before: {fault}" for fault in faults_of([both.before for both in sheets], changed.before)]
    found += [f"after: {fault}" for fault in faults_of([both.after for both in sheets], changed.after)]
    return found + moved_though_unchanged(sheets)


def moved_though_unchanged(sheets: tuple[Both, ...]) -> list[str]:
    """What stands on both sides, and not in the same place."""
    found = []
    for both in sheets:
        one, two = _places(both.before), _places(both.after)
        found += [f"{key} moved" for key in one.keys() & two.keys() if one[key] != two[key]]
        if (both.before.width, both.before.height) != (both.after.width, both.after.height):
            found.append(f"sheet {both.number} is of two sizes")
    return found


def _places(sheet: Sheet) -> dict[object, object]:
    places: dict[object, object] = {}
    for piece in sheet.pieces:
        match piece:
            case Body() | Terminal():
                key = type(piece).__name__, piece.key
                places[key] = (*places.get(key, ()), piece.box)  # type: ignore[misc]
            case Run():
                ends = tuple((stop.terminal, stop.holds) for stop in piece.stops)
                places[piece.key, ends] = piece.points
            case Label() if piece.key.startswith(("name", "terminal", "free")):
                places[piece.key] = piece.x, piece.y
            case _:
                pass
    return places


def whole_faults(circuit: Circuit) -> list[str]:
    return faults_of(connections.sheets(circuit), circuit)


@pytest.mark.parametrize("path", CHANGES, ids=lambda path: f"{path.parent.name} {path.stem}")
def test_examples_are_drawn_as_they_are_wired_and_unchanged_parts_stay(path: Path) -> None:
    assert faults(load_change_pair(path.parent / "unit.yaml", path)) == []


@pytest.mark.parametrize("seeds", [range(n, n + 15) for n in range(0, 45, 15)], ids=lambda r: f"{r.start}+")
def test_generated_changes_are_drawn_as_they_are_wired(seeds: range) -> None:
    for seed in seeds:
        assert faults(random_change(seed)) == [], f"seed {seed}"


@pytest.mark.parametrize("conductors", [20, 45, 150])
def test_cabinets_are_drawn_as_they_are_wired(conductors: int) -> None:
    bench = cabinet(conductors, seed=conductors)
    assert whole_faults(bench.circuit()) == []
    changed = change_of(bench, seed=conductors)
    assert faults(changed) == []
    for both in connections.before_after(changed):
        assert max(len(runs(both.before)), len(runs(both.after))) <= 30


def test_the_change_stands_on_the_first_sheet() -> None:
    changed = fan_cycling()
    first = connections.before_after(changed)[0]
    marked = {run.key for sheet in (first.before, first.after) for run in runs(sheet) if run.changed}
    assert marked == {"C.1", "W20", "W21"}


def test_an_earth_bar_is_drawn_as_a_device_and_not_as_a_supply_besides() -> None:
    folder = EXAMPLES / "tidewater-playhouse"
    circuit = load_change_pair(folder / "unit.yaml", folder / "change.yaml").before
    bodies = [p.key for sheet in connections.sheets(circuit) for p in sheet.pieces if isinstance(p, Body)]
    assert sorted(bodies) == sorted({*circuit.devices, "MAINS"})


def test_marks_bear_the_numbers_of_the_steps_at_the_ends_that_hands_touch() -> None:
    (both,) = connections.before_after(fan_cycling())
    assert plates(both.before) == {("C.1", "Δ2 lifted")}
    assert plates(both.after) == {
        ("PS", "Δ1 new"), ("C.1", "Δ3 moved"), ("W20", "Δ4 new"), ("W21", "Δ5 new"),
    }  # fmt: skip
    words = [p.text for p in both.after.pieces if isinstance(p, Label)]
    assert "C.1 is off" in words
    looks = {p.key: p.look for p in both.after.pieces if isinstance(p, Body)}
    assert (looks["PS"], looks["S1"]) == ("new", "splice")
    assert {p.key: p.look for p in both.before.pieces if isinstance(p, Body)}["PS"] == "space"


def plates(sheet: Sheet) -> set[tuple[str, str]]:
    return {(p.of, p.text) for p in sheet.pieces if isinstance(p, Plate)}


def test_ends_are_shown_lifted_capped_cut_and_gone() -> None:
    bench = cabinet(20, seed=3)
    changed = change_of(bench, seed=3)
    sheets = connections.before_after(changed)
    stops = {(r.key, s.holds) for both in sheets for r in runs(both.after) for s in r.stops}
    held = {holds: {wire for wire, how in stops if how == holds} for _, holds in stops}
    by_kind = {step.kind: step.wires for step in changed.steps}
    cut, capped = by_kind["cut"][0], changed.steps[1].wires[0]
    loose = changed.steps[-2].wires[0]
    assert held["capped"] == {capped}
    assert held["lifted"] == {f"{cut}.b", loose}
    before = {plate for both in sheets for plate in plates(both.before)}
    assert {(cut, "Δ7 cut"), (by_kind["remove"][0], "Δ10 gone"), (capped, "Δ2 lifted")} <= before
    after = {plate for both in sheets for plate in plates(both.after)}
    assert {(capped, "Δ3 capped"), (loose, "Δ9 lifted"), (f"{cut}.a", "Δ8 moved"), ("N1", "Δ6 new")} <= after


def test_what_is_empty_or_not_wired_is_drawn_too() -> None:
    (empty,) = connections.sheets(Bench().circuit())
    assert [p.text for p in empty.pieces if isinstance(p, Label)][-1].startswith("Nothing is described")
    lonely = Bench()
    lonely.strip("TS", 90)
    lonely.heater("H")
    assert whole_faults(lonely.circuit()) == []
    for seed in range(8):
        assert whole_faults(random_bench(seed).circuit()) == []


def test_a_thousand_conductors_on_one_terminal() -> None:
    circuit = crowded(1000).circuit()
    sheets = connections.sheets(circuit)
    assert sum(len({s.terminal for s in r.stops} & {"TS.1"}) for sheet in sheets for r in runs(sheet)) == 1000
    assert max(len(runs(sheet)) for sheet in sheets) <= 30
    assert faults_of(sheets[:1], crowded(0).circuit())  # the reading sees that ends are missing


def test_a_conductor_is_told_in_words() -> None:
    bench = unit()
    bench.wire("W7", "K1.14", "FAN.common", "white/brown", "18 AWG")
    (sheet,) = connections.sheets(bench.circuit())
    assert "W7: from K1.14 to FAN.common; white/brown, 18 AWG" in sheet.says.split("\n")
    words = {p.text for p in sheet.pieces if isinstance(p, Label)}
    assert any("WHBN 18" in text for text in words)
