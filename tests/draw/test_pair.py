"""Before and after: each true by itself, unchanged parts in one place, marks numbered as the steps are."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.draw.circuits import random_change, unit
from tests.draw.reading import crossings, misjoined, not_once, overlaps, symbols
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.graph import Changed, PlainStep
from wirecheck.draw.ladder import whole
from wirecheck.draw.pair import before_after
from wirecheck.draw.pieces import Label, Plate, Stretch
from wirecheck.draw.wiring import Wiring
from wirecheck.report.page.drawings import ladders
from wirecheck.report.page.slim import Shapes, Slim

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Panel, Sheet

EXAMPLES = Path(__file__).parents[2] / "examples"
CHANGES = sorted(EXAMPLES.glob("*/change*.yaml"))


def panel(sheet: Sheet, name: str) -> Panel:
    return next(p for p in sheet.panels if p.name == name)


def faults(changed: Changed) -> list[str]:
    sheet = before_after(changed)
    found = []
    for side, circuit in (("before", changed.before), ("after", changed.after)):
        held = panel(sheet, side)
        once = [f"{key} is drawn {times} times" for key, times in not_once(held.pieces, circuit).items()]
        side_faults = [*once, *misjoined(held.pieces, circuit), *overlaps(held), *crossings(held.pieces)]
        found += [f"{side}: {fault}" for fault in side_faults]
    for held in sheet.panels:
        if held.name not in ("before", "after"):
            found += overlaps(held)
    return found


def parts(circuit: Circuit) -> list[frozenset[str]]:
    """Elements that hang together other than through a rail, with nothing changed among them."""
    wiring, seen, found = Wiring(circuit), set[str](), []
    for first in wiring.edges:
        if first in seen:
            continue
        part, stack = {first}, [first]
        while stack:
            edge = wiring.edges[stack.pop()]
            for net in {wiring.net(edge.a), wiring.net(edge.b)} - wiring.rails.keys():
                new = set(wiring.at[net]) - part
                part |= new
                stack.extend(new)
        seen |= part
        found.append(frozenset(part))
    return found


def moved_though_unchanged(changed: Changed) -> list[str]:
    """Elements of parts that are wired alike on both sides, rails included, yet stand in two places."""
    sheet = before_after(changed)
    places = [
        {key: (s.x, s.y) for s in symbols(panel(sheet, side).pieces) for key in s.elements}
        for side in ("before", "after")
    ]
    before, after = Wiring(changed.before), Wiring(changed.after)
    same = [p for p in parts(changed.before) if p in parts(changed.after)]
    alike = [p for p in same if all(_nets(before, key, p) == _nets(after, key, p) for key in p)]
    return [key for part in alike for key in part if places[0][key] != places[1][key]]


def _nets(wiring: Wiring, key: str, part: frozenset[str]) -> list[object]:
    """What an edge meets at each end: the others of its part, and the rail."""
    edge = wiring.edges[key]
    nets = [wiring.net(edge.a), wiring.net(edge.b)]
    rails = [wiring.rails[net].key if net in wiring.rails else None for net in nets]
    ends = [frozenset(end for end in wiring.ends[net] if end[0] in part) for net in nets]
    return list(zip(ends, rails, strict=True))


@pytest.mark.parametrize("path", CHANGES, ids=lambda path: f"{path.parent.name} {path.stem}")
def test_examples_are_drawn_as_they_are_wired_and_unchanged_parts_stay(path: Path) -> None:
    changed = load_change_pair(path.parent / "unit.yaml", path)
    assert faults(changed) == []
    assert moved_though_unchanged(changed) == []


@pytest.mark.parametrize("seeds", [range(n, n + 20) for n in range(0, 120, 20)], ids=lambda r: f"{r.start}+")
def test_generated_changes_are_drawn_as_they_are_wired(seeds: range) -> None:
    for seed in seeds:
        assert faults(random_change(seed)) == [], f"seed {seed}"


def fan_cycling() -> Changed:
    """C.1, the fan's common, lifted; a switch PS in line with it."""
    bench = unit()
    before = bench.circuit("unit")
    bench.switch("PS")
    bench.wire("C.1", "S1", "FAN.common", "yellow", "18 AWG")
    bench.wire("W20", "S1", "PS.1", "yellow", "18 AWG")
    bench.wire("W21", "PS.2", "K1.14", "yellow", "18 AWG")
    steps = (
        PlainStep(1, "add", "Fit PS", devices=("PS",)),
        PlainStep(2, "lift", "Lift C.1 off K1.14", ("C.1",), (), ("K1.14",)),
        PlainStep(3, "splice", "Put splice S1 on C.1", ("C.1",), (), ("S1",)),
        PlainStep(4, "run", "Run W20 from S1 to PS.1", ("W20",), (), ("S1", "PS.1")),
        PlainStep(5, "run", "Run W21 from PS.2 to K1.14", ("W21",), (), ("PS.2", "K1.14")),
    )
    return Changed("cycle", before, bench.circuit("unit"), steps, brought=frozenset({"PS"}))


def test_marks_bear_the_numbers_of_the_plain_steps() -> None:
    sheet = before_after(fan_cycling())
    plates = {
        side: {(p.of, p.text) for p in panel(sheet, side).pieces if isinstance(p, Plate)}
        for side in ("before", "after")
    }
    assert plates["before"] == {("C.1", "Δ2 lifted")}
    assert plates["after"] == {
        ("PS.contact", "Δ1 new"), ("C.1 W20", "Δ3 moved"), ("C.1 W20", "Δ4 new"), ("W21", "Δ5 new"),
    }  # fmt: skip
    words = [p.text for p in panel(sheet, "tables").pieces if isinstance(p, Label)]
    assert "Δ2 Lift C.1 off K1.14" in words
    marked = [p for p in panel(sheet, "after").pieces if isinstance(p, Stretch) and p.mark]
    assert {wire for piece in marked for wire in piece.wires} == {"C.1", "W20", "W21"}


def test_what_is_not_there_keeps_its_place_as_a_plain_line() -> None:
    changed = fan_cycling()
    sheet = before_after(changed)
    new = next(s for s in symbols(panel(sheet, "after").pieces) if s.key == "PS.contact")
    before = panel(sheet, "before").pieces
    assert new.mark == "new"
    assert new.frame is not None
    assert any(
        isinstance(p, Stretch) and p.points[0][1] == new.y and p.points[0][0] < new.x < p.points[-1][0]
        for p in before
    )
    places = [{s.key: (s.x, s.y) for s in symbols(panel(sheet, side).pieces)} for side in ("before", "after")]
    assert {key: places[1][key] for key in places[0]} == places[0]


def test_the_table_has_a_changed_conductor_as_it_was_and_as_it_is() -> None:
    cells = [p for p in panel(before_after(fan_cycling()), "tables").pieces if isinstance(p, Label)]
    rows: dict[str, list[str]] = {}
    for cell in cells:
        if cell.key.startswith("cell C.1 "):
            rows.setdefault(cell.key.rsplit(" ", 1)[0], []).append(cell.text)
    assert rows == {
        "cell C.1 before": ["C.1", "?, ?", "K1.14", "FAN.common", "before: Δ2 lifted"],
        "cell C.1 after": ["C.1", "yellow, 18 AWG", "S1", "FAN.common", "after: Δ3 moved"],
    }


def test_a_marked_conductor_without_a_line_of_its_own_is_told_in_words() -> None:
    bench = unit()
    before = bench.circuit("unit")
    bench.wire("TWIN", "SW.2", "HP.1", "red")
    steps = (PlainStep(1, "run", "Run TWIN", ("TWIN",)),)
    sheet = before_after(Changed("twin", before, bench.circuit("unit"), steps))
    words = [p.text for p in panel(sheet, "tables").pieces if isinstance(p, Label)]
    assert "After: part of several lines of the ladder: TWIN (Δ1 new)." in words


def test_what_is_bridged_is_told_in_words() -> None:
    path = EXAMPLES / "bakery-proofer" / "change-bridged.yaml"
    changed = load_change_pair(path.parent / "unit.yaml", path)
    past = "FS is bridged: past it lead FS.in.1 (Δ4 new), W60 (Δ6 new), FS.in.2 (Δ5 new)."
    words = [p.text for p in panel(before_after(changed), "tables").pieces if isinstance(p, Label)]
    assert [w for w in words if "bridged" in w or "part of several" in w] == [f"After: {past}"]
    alone = [p.text for held in whole(changed.after).panels for p in held.pieces if isinstance(p, Label)]
    assert "FS is bridged: past it lead FS.in.1, W60, FS.in.2." in alone
    (drawn,) = ladders(changed, {}, Slim(Shapes(), unknown=True))
    assert drawn.note == f"After: {past}"


def test_a_branch_is_never_left_as_a_plain_line_past_what_it_stood_beside() -> None:
    """Taking a branch out for want of room may not short what stands beside it in the other picture."""
    path = EXAMPLES / "lockout" / "change.yaml"
    changed = load_change_pair(path.parent / "unit.yaml", path)
    before = panel(before_after(changed), "before").pieces
    coil, safety = (next(s for s in symbols(before) if s.key == key) for key in ("K1.coil", "HP.switch"))
    assert coil.y == safety.y


def test_a_unit_against_itself_has_no_marks_and_two_equal_pictures() -> None:
    circuit = unit().circuit()
    sheet = before_after(Changed("none", circuit, circuit))
    assert panel(sheet, "before").pieces == panel(sheet, "after").pieces
    assert not [p for p in panel(sheet, "before").pieces if isinstance(p, Plate)]
