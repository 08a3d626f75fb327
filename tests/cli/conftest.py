from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

from wirecheck import cli

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[2]
PLAYHOUSE = ROOT / "examples" / "tidewater-playhouse"


class Result(NamedTuple):
    code: int
    out: str
    err: str


def wirecheck(*args: str | Path, cwd: Path = ROOT, **env: str) -> Result:
    """Run the command line as a process, at 80 columns without colour."""
    done = subprocess.run(
        [sys.executable, "-m", "wirecheck", *map(str, args)],
        cwd=cwd,
        env={
            **os.environ,
            "COLUMNS": "80",
            "NO_COLOR": "1",
            "PYTHONPATH": str(ROOT),
            "PYTHONUTF8": "1",
            **env,
        },
        capture_output=True,
        check=False,
    )
    return Result(done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.fixture
def here(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    """The same without a process of its own."""
    monkeypatch.setenv("COLUMNS", "80")

    def run(*args: str | Path) -> Result:
        code = cli.run([*map(str, args)])
        return Result(code, *capfd.readouterr())

    return run


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A small unit: a fan and a compressor behind a one-pole contactor, two yellow conductors on T2."""
    path = tmp_path / "unit.yaml"
    path.write_text(
        (Path(__file__).parent / "data" / "unit.yaml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    return path


@pytest.fixture
def edited(small: Path) -> Callable[[str, str], Path]:
    """The small unit with one text replaced."""

    def make(old: str, new: str) -> Path:
        text = small.read_text(encoding="utf-8")
        assert text.count(old) == 1
        small.write_text(text.replace(old, new), encoding="utf-8")
        return small

    return make
