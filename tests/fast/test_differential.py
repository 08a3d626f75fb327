"""The fast evaluator says what the plain one says: random circuits, the examples and the battery."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.battery.reader import Case, cases
from tests.fast.compare import difference
from tests.fast.differential import one
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/change*.yaml"))


@pytest.mark.parametrize("first", range(0, 200, 50))
def test_random_circuits(first: int) -> None:
    found = {seed: one(seed, deep=seed % 5 == 0) for seed in range(first, first + 50)}
    assert not {s: f for s, f in found.items() if f and not f.startswith("left: ")}
    assert sum(f.startswith("left: ") for f in found.values()) <= 2


@pytest.mark.parametrize("change", EXAMPLES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_examples(change: Path) -> None:
    changed = load_change_pair(change.parent / "unit.yaml", change)
    assert difference(changed.after, changed.before, changed.replaced) == ""


@pytest.mark.parametrize("case", [c for c in cases() if not c.error], ids=lambda c: c.name)
def test_battery(case: Case, tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(case.unit, encoding="utf-8")
    change.write_text(case.change, encoding="utf-8")
    if case.change:
        changed = load_change_pair(unit, change)
        assert difference(changed.after, changed.before, changed.replaced) == ""
    else:
        assert difference(load_circuit(unit)) == ""
