"""Close-ups of the terminals that hands will touch."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.draw.circuits import cabinet, change_of, random_change
from tests.draw.connecting import overlaps, runs
from tests.draw.test_pair import fan_cycling
from wirecheck.circuit.apply import load_change_pair
from wirecheck.draw import connections
from wirecheck.draw.pieces import Label, Plate

EXAMPLES = Path(__file__).parents[2] / "examples"
CHANGES = sorted(EXAMPLES.glob("*/change*.yaml"))


def test_what_hands_touch_in_the_order_of_the_steps() -> None:
    assert connections.touched(fan_cycling()) == ("K1.14", "S1", "PS.1", "PS.2")
    with pytest.raises(KeyError):
        connections.closeup(fan_cycling(), "X1.R.")


def test_every_terminal_of_a_replaced_device_is_touched_by_the_step_that_replaces_it() -> None:
    folder = EXAMPLES / "crankcase-heater"  # K1 makes way for a contactor with auxiliary contacts, 21 and 22
    changed = load_change_pair(folder / "unit.yaml", folder / "change.yaml")
    by_step = connections.touched_by_step(changed)
    assert {"K1.L1", "K1.T1", "K1.L2", "K1.T2", "K1.A1", "K1.A2"} == set(by_step[1])
    assert by_step[3] == ("K1.21",)
    sheet = connections.closeup(changed, "K1.A1")
    assert [p.text for p in sheet.pieces if isinstance(p, Plate)] == ["Δ1 gone", "Δ1 new"]


def test_a_terminal_before_and_after_with_all_on_it() -> None:
    sheet = connections.closeup(fan_cycling(), "K1.14")
    words = {(p.text, p.x > 180) for p in sheet.pieces if isinstance(p, Label)}
    assert {
        ("to FAN.common", False),
        ("C.1 is off", True),
        ("to PS.2", True),
        ("yellow, 18 AWG", True),
    } <= words
    assert {("to COMP.C", False), ("to COMP.C", True), ("B.1 ?", False), ("W21 YE 18", True)} <= words
    assert [(p.text, p.x > 180) for p in sheet.pieces if isinstance(p, Plate)] == [
        ("Δ2 lifted", False),
        ("Δ5 new", True),
    ]
    assert sheet.says.split("\n")[1].endswith("W21 YE 18, yellow, 18 AWG, to PS.2 (Δ5 new)")


def test_a_capped_end_stays_at_its_screw() -> None:
    changed = change_of(cabinet(20, seed=3), seed=3)
    lift = changed.steps[1]
    assert lift.terminals[0] in connections.touched(changed)
    assert "CAP1" not in connections.touched(changed)
    sheet = connections.closeup(changed, lift.terminals[0])
    stops = {(run.key, stop.holds) for run in runs(sheet) for stop in run.stops}
    assert {(lift.wires[0], "capped"), (lift.wires[0], "landed")} <= stops


@pytest.mark.parametrize("path", CHANGES, ids=lambda path: f"{path.parent.name} {path.stem}")
def test_closeups_of_examples_show_every_conductor_of_the_terminal(path: Path) -> None:
    changed = load_change_pair(path.parent / "unit.yaml", path)
    touched = connections.touched(changed)
    moved = {
        end
        for name in changed.before.conductors.keys() | changed.after.conductors.keys()
        for end in _ends(changed.before, name) ^ _ends(changed.after, name)
    }
    assert moved <= {*touched, *changed.after.loose, *changed.after.capped}
    for terminal in touched:
        sheet = connections.closeup(changed, terminal)
        assert overlaps(sheet) == []
        drawn = sorted(run.key for run in runs(sheet))
        wired = [
            wire.id
            for circuit in (changed.before, changed.after)
            for wire in circuit.conductors.values()
            if terminal in (wire.a, wire.b)
        ]
        assert drawn == sorted(wired)


def _ends(circuit: object, name: str) -> set[str]:
    wire = circuit.conductors.get(name)  # type: ignore[attr-defined]
    return {wire.a, wire.b} if wire is not None else set()


def test_generated_changes_have_closeups_without_overlaps() -> None:
    for seed in range(40):
        changed = random_change(seed)
        for terminal in connections.touched(changed):
            assert overlaps(connections.closeup(changed, terminal)) == [], f"seed {seed}, {terminal}"
