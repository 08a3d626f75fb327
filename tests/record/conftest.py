from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import PLAYHOUSE, Result
from wirecheck import cli

if TYPE_CHECKING:
    from collections.abc import Callable

DATA = Path(__file__).parent / "data"


@pytest.fixture
def here(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Callable[..., Result]:
    """The command line in a folder with a unit and changes of its own, without a process of its own."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)

    def run(*args: str | Path) -> Result:
        code = cli.run([*map(str, args)])
        return Result(code, *capfd.readouterr())

    return run


@pytest.fixture
def playhouse(tmp_path: Path) -> Path:
    """A copy of the Tidewater example, its files to be edited."""
    for path in PLAYHOUSE.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    return tmp_path


@pytest.fixture
def fan(tmp_path: Path) -> Path:
    """A small unit and two changes: one that passes and one that fails."""
    for path in DATA.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    return tmp_path


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, (old, text.count(old))
    path.write_text(text.replace(old, new), encoding="utf-8")
