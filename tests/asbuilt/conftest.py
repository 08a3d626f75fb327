from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from wirecheck import api

if TYPE_CHECKING:
    from collections.abc import Callable

DATA = Path(__file__).parent / "data"


@pytest.fixture
def applied(tmp_path: Path) -> Callable[..., str]:
    """The text of the proofer, or of another unit, as a change leaves it."""

    def write(change: str, unit: str | None = None) -> str:
        text = (DATA / "unit.yaml").read_text(encoding="utf-8") if unit is None else unit
        files = tmp_path / "unit.yaml", tmp_path / "change.yaml"
        for file, content in zip(files, (text, f"change: {{name: C}}\n{change}"), strict=True):
            file.write_bytes(content.encode())
        return api.apply(str(files[0]), str(files[1]), "new.yaml", "2031-05-01").text

    return write


@pytest.fixture
def proofer() -> str:
    return (DATA / "unit.yaml").read_text(encoding="utf-8")
