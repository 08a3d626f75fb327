"""Steps that cannot be done are bad input at that step's line (contract section 3)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from wirecheck.circuit.apply import load_change_pair
from wirecheck.problem import BadInput

FILE = Path(__file__).parent / "cases" / "refused.yaml"
FOUND = yaml.load(FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - text only


@pytest.mark.parametrize("case", FOUND["cases"], ids=lambda case: case["name"])
def test_refused(case: dict[str, Any], tmp_path: Path) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(FOUND["unit"], encoding="utf-8")
    text = written(case)
    change.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_change_pair(unit, change)
    problems = caught.value.problems
    assert [p.code for p in problems] == [case["code"]], problems
    assert str(problems[0].place.file).endswith("change.yaml")
    assert problems[0].place.line == line_of(text, case["at"]), problems[0]
    whole = problems[0].message + problems[0].hint
    assert not [word for word in case.get("says", ()) if word not in whole], whole


def written(case: dict[str, Any]) -> str:
    """The change with each step on a line of its own."""
    devices = f"devices:\n  {case['devices']}\n" if "devices" in case else ""
    steps = "\n".join(f"  - {step}" for step in case["steps"])
    return f"change: {{name: refused}}\n{devices}steps:\n{steps}\n"


def line_of(text: str, part: str) -> int:
    """The last line with this part in it: the step that is meant comes after those that lead to it."""
    lines = [k for k, line in enumerate(text.splitlines(), 1) if part in line]
    return lines[-1]
