"""Levels: cases worked out by hand; the vectors of the fast evaluator against one network after another."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from tests.battery.reader import cases
from tests.fast.built import build
from tests.fast.circuits import Maker
from wirecheck.api.drawings import pictured_of
from wirecheck.checks.vectors import ones
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.fast.levels import LevelVectors
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.levels import Meters, by_name
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit, Replacement

HERE = Path(__file__).parent
CASES = yaml.safe_load((HERE / "cases/by-hand.yaml").read_text(encoding="utf-8"))
EXAMPLES = sorted((HERE.parents[1] / "examples").glob("*/change*.yaml"))
EACH = 12  # states of each side that are looked at again


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["name"])
def test_levels_worked_out_by_hand(case: dict[str, Any], tmp_path: Path) -> None:
    unit = tmp_path / "unit.yaml"
    unit.write_text(case["unit"], encoding="utf-8")
    circuit = load_circuit(unit)
    for state in case["states"]:
        found = by_name(circuit, pictured_of(circuit, state["when"]).sides["before"].levels)
        assert {n: found[n] for n in state["levels"]} == state["levels"], (case["why"], state["when"])


def differing(
    after: Circuit, before: Circuit | None = None, replaced: tuple[Replacement, ...] = ()
) -> list[str]:
    """Where the vectors say another level than one network after the other does."""
    fast = FastPair(after, before, World(after, before, replaced))
    found = []
    for side, unit in fast.units.items():
        vectors, meters = LevelVectors(unit.plain), Meters(unit.plain)
        for c in fast.classes:
            levels = [vectors.of_stand(s) for s in c.stands(side)]
            settings = list(ones(c.reached))
            for k in settings[:: max(1, len(settings) // EACH)]:
                joint = c.joint(c.first + k)
                inputs = fast.world.inputs(side == "after", joint.setting)
                ends = (joint.after,) if side == "after" else joint.befores
                for end, told in zip(ends, levels, strict=True):
                    for thing, level in meters.of_outcome(inputs, end).items():
                        said = [x for x, where in told[thing].items() if where >> k & 1]
                        found += (
                            [] if said == [level] else [f"{side} {joint.setting} {thing}: {level}, {said}"]
                        )
    return found


@pytest.mark.parametrize("change", EXAMPLES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_vectors_of_the_examples(change: Path) -> None:
    changed = load_change_pair(change.parent / "unit.yaml", change)
    assert differing(changed.after, changed.before, changed.replaced) == []


def test_vectors_of_random_circuits() -> None:
    looked_at = 0
    for seed in range(120):
        rng = random.Random(seed)  # noqa: S311 - drawn again from its seed
        try:
            assert differing(build(Maker(rng, rich=seed % 3 != 0).make())) == [], seed
        except (NotHere, TooLarge):
            continue
        looked_at += 1
    assert looked_at > 100


def test_vectors_of_the_battery(tmp_path: Path) -> None:
    for case in cases():
        if case.error or case.change:
            continue
        (tmp_path / "unit.yaml").write_text(case.unit, encoding="utf-8")
        try:
            assert differing(load_circuit(tmp_path / "unit.yaml")) == [], case.name
        except (NotHere, TooLarge):
            continue


@pytest.mark.parametrize(
    "example", ["tidewater-playhouse", "greenhouse-fan", "smoke-shutdown", "bakery-proofer"]
)
def test_vectors_are_enough_where_earth_is_bonded_once(example: str) -> None:
    folder = HERE.parents[1] / "examples" / example
    changed = load_change_pair(folder / "unit.yaml", folder / "change.yaml")
    fast = FastPair(changed.after, changed.before, World(changed.after, changed.before, changed.replaced))
    for side, unit in fast.units.items():
        vectors = LevelVectors(unit.plain)
        for c in fast.classes:
            for stand in c.stands(side):
                vectors.of_stand(stand)
        assert not vectors.looked_at
