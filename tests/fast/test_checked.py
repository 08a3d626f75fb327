"""All checks on both evaluators: every example, and random circuits with random changes."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.fast.altered import changed
from tests.fast.built import build
from tests.fast.checked import checked, of_pair
from tests.fast.circuits import Maker
from wirecheck.circuit.apply import load_change_pair

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit

EXAMPLES = sorted(Path(__file__).parents[2].glob("examples/*/change*.yaml"))[::5]


def drawn(seed: int) -> tuple[Circuit, Circuit]:
    """A random circuit before and after a random change."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng, rich=rng.random() < 0.7).make()
    before = build(plan)
    return before, build(changed(plan, rng))


@pytest.mark.parametrize("change", EXAMPLES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_example(change: Path) -> None:
    assert checked(load_change_pair(change.parent / "unit.yaml", change)) == ""


# 1000139: an `impossible` combination, of which the effect's words were read off half of the settings only.
# 1302256: shorts of several ways, before and after, which are one state each.
@pytest.mark.parametrize("seed", (*range(10), 1000139, 1302256))
def test_random(seed: int) -> None:
    before, after = drawn(seed)
    assert of_pair(after, before) == ""
