from __future__ import annotations

from pathlib import Path
from textwrap import dedent
from typing import TYPE_CHECKING

import pytest

from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.circuit.graph import Changed, Circuit

DATA = Path(__file__).parent / "data"


@pytest.fixture
def unit(tmp_path: Path) -> Callable[[str], Circuit]:
    """A unit file from its text, `unit:` added."""

    def make(text: str) -> Circuit:
        path = tmp_path / "unit.yaml"
        path.write_text("unit: {name: U}\n" + dedent(text), encoding="utf-8")
        return load_circuit(path)

    return make


@pytest.fixture
def changed(tmp_path: Path) -> Callable[..., Changed]:
    """A change, from its text, on data/unit.yaml or on the unit of a text."""

    def make(text: str, unit: str | None = None) -> Changed:
        before = DATA / "unit.yaml"
        if unit is not None:
            before = tmp_path / "unit.yaml"
            before.write_text("unit: {name: U}\n" + dedent(unit), encoding="utf-8")
        head = "" if "change:" in text else "change: {name: C}"
        path = tmp_path / "change.yaml"
        path.write_text(head + "\n" + dedent(text), encoding="utf-8")
        return load_change_pair(before, path)

    return make


@pytest.fixture
def playhouse() -> Circuit:
    return load_circuit(DATA / "unit.yaml")
