"""Figures of zero, below zero, absurd, in the wrong unit, contradictory: an error where they stand.

The data stand in bad-figures.yaml.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml

from tests.specimens.figures import figures
from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from wirecheck.problem import Problem

FILE = Path(__file__).with_name("bad-figures.yaml")
DATA: dict[str, Any] = yaml.load(FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506
CONDITIONS = "conditions: {head: {unit: psig}, room: {unit: degF}}"
POINTS = "devices: {A: {type: resistor, ohms: 5}, B: {type: resistor, ohms: 5}}\n"
NO_FIGURES = {"wire.insulation", "transformer.reversed", "supply.same_source_as"}  # mappings, flags, names


def problems(folder: Path, line: str) -> list[Problem]:
    """What is wrong with a unit of this one line. The points of its conductors are not looked for."""
    unit = "" if line.startswith("unit:") else "unit: {name: x}\n"
    points = POINTS if "wires:" in line else ""
    file = folder / "unit.yaml"
    file.write_text(f"{line}\n{unit}{points}{CONDITIONS}\n", encoding="utf-8")
    try:
        load_circuit(file)
    except BadInput as bad:
        return list(bad.problems)
    return []


def cases() -> list[tuple[str, str, str]]:
    """(field, figure as written, code or ok) of every field with every bad figure."""
    found = []
    for field, about in DATA["fields"].items():
        usual = {figure.replace("UNIT", about["unit"]): code for figure, code in DATA["bad"].items()}
        found += [(field, figure, code) for figure, code in {**usual, **about.get("but", {})}.items()]
    return found


@pytest.mark.parametrize(("field", "figure", "code"), cases(), ids=lambda x: str(x))
def test_bad_figure(field: str, figure: str, code: str, tmp_path: Path) -> None:
    line = DATA["fields"][field]["line"]
    found = problems(tmp_path, line.replace("<>", figure))
    if code == "ok":
        assert found == []
        return
    assert [p.code for p in found] == [code], found
    assert (found[0].place.line, found[0].place.column) == (1, line.index("<>") + 1), found[0]


@pytest.mark.parametrize("case", DATA["contradictory"], ids=lambda c: f"{c['code']}: {c['line'][:70]}")
def test_contradictory(case: dict[str, str], tmp_path: Path) -> None:
    found = problems(tmp_path, case["line"])
    if case["code"] == "ok":
        assert found == []
        return
    assert [p.code for p in found] == [case["code"]], found
    assert (found[0].place.line, found[0].place.column) == (1, case["line"].rindex(case["at"]) + 1), found[0]


def test_every_figure_is_tried() -> None:
    assert figures() - NO_FIGURES - set(DATA["fields"]) == set()
