from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import here

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
PLAYHOUSE = (EXAMPLES / "tidewater-playhouse/unit.yaml", EXAMPLES / "tidewater-playhouse/change.yaml")
DATA = Path(__file__).parent / "data"

__all__ = ["here"]


@pytest.fixture
def slack(tmp_path: Path) -> tuple[Path, Path]:
    """The playhouse with a way of 4 ft in its change, and one conductor of which nothing is given."""
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(PLAYHOUSE[0].read_text(encoding="utf-8"), encoding="utf-8")
    text = PLAYHOUSE[1].read_text(encoding="utf-8")
    looks = "insulation: {volts: 600, degC: 105}, route: knockout with bushing, length: 6 ft"
    first, second = text.split(looks)[0], "".join(text.split(looks)[1:])
    assert text.count(looks) == 2
    head, end = second.split("- run:    {id: W21, from: PS.2, to: K1.T2,")
    tail = end.split("}", 1)[1]
    ran = "- run:    {id: W21, from: PS.2, to: K1.T2}"
    change.write_text(f"{first}route: knockout, length: 4 ft{head}{ran}{tail}", encoding="utf-8")
    return unit, change
