"""All checks on both evaluators: every example, and random circuits with random changes."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.fast.checked import checked, of_pair
from tests.fast.circuits import Maker, build, changed
from wirecheck.circuit.apply import load_change_pair

EXAMPLES = sorted(Path(__file__).parents[2].glob("examples/*/change*.yaml"))[::4]


@pytest.mark.parametrize("change", EXAMPLES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_example(change: Path) -> None:
    assert checked(load_change_pair(change.parent / "unit.yaml", change)) == ""


@pytest.mark.parametrize("seed", range(16))
def test_random(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng, rich=rng.random() < 0.7).make()
    before = build(plan)
    assert of_pair(build(changed(plan, rng)), before) == ""
