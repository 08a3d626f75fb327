"""Capacitors in line, and a start capacitor beside the contact that should take it out: `in-line.yaml`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

DATA: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "in-line.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", DATA["cases"], ids=lambda c: c["name"])
def test_in_line(tmp_path: Path, case: dict[str, Any]) -> None:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(DATA["units"][case["unit"]], encoding="utf-8")
    change.write_text(case["change"], encoding="utf-8")
    wanted = case["ratings"]
    found = {f.subject: f for f in verify(load_change_pair(unit, change)).findings if f.check == "ratings"}
    assert found[wanted["subject"]].verdict == wanted["verdict"], case["why"]
    assert wanted["says"] in found[wanted["subject"]].says
