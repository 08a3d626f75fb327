"""Figures that contradict each other, or what the circuit does, and are no error: `verify` notes them.

The data stand in noted-figures.yaml.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

FILE = Path(__file__).with_name("noted-figures.yaml")
DATA: dict[str, Any] = yaml.load(FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506


def changed(case: dict[str, Any]) -> tuple[str, str]:
    """The unit of a case, and its change: a device in line, or nothing."""
    unit = DATA["unit"]
    for word, other in case.get("unit", {}).items():
        assert word in unit
        unit = unit.replace(word, other)
    if "device" not in case:
        return unit, "change: {name: nothing}\n"
    steps = "steps:\n  - in-series: {device: PS, in: W3, at: FAN.common}\n"
    return unit, f"change: {{name: in line, affects: [FAN]}}\ndevices:\n  PS: {case['device']}\n{steps}"


@pytest.mark.parametrize("case", DATA["cases"], ids=lambda case: case["name"])
def test_noted(case: dict[str, Any], tmp_path: Path) -> None:
    unit, change = changed(case)
    (tmp_path / "unit.yaml").write_text(unit, encoding="utf-8")
    (tmp_path / "change.yaml").write_text(change, encoding="utf-8")
    found = verify(load_change_pair(tmp_path / "unit.yaml", tmp_path / "change.yaml"))
    assert found.verdict == "pass"
    notes = {f"{f.check} {f.subject}": f.says for f in found.findings if f.verdict == "note"}
    for name, says in case["notes"].items():
        assert says in notes[name], notes
