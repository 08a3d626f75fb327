"""The wheel, installed away from the checkout, verifies an example."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLAYHOUSE = ROOT / "examples" / "tidewater-playhouse"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built by the project's own build backend."""
    folder = tmp_path_factory.mktemp("wheel")
    script = "import sys; from hatchling.build import build_wheel; print(build_wheel(sys.argv[1]))"
    done = subprocess.run(
        [sys.executable, "-c", script, str(folder)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return folder / done.stdout.split()[-1]


def test_what_is_in_it(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert "wirecheck/py.typed" in names
    assert "wirecheck/library/devices/contactor-1p.yaml" in names
    assert "wirecheck/library/explain/unknown-terminal.md" in names
    assert any(name.endswith((".ttf", ".otf", ".woff2")) for name in names)
    assert {name.partition("/")[0].partition("-")[0] for name in names} == {"wirecheck"}
    assert not [name for name in names if "tests" in name or name.endswith(".pyc")]


def test_every_file_of_the_package_is_in_it(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    files = [p for p in (ROOT / "wirecheck").rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    assert {p.relative_to(ROOT).as_posix() for p in files} - names == set()


def test_it_verifies_an_example(wheel: Path, tmp_path: Path) -> None:
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    entry = "import sys; from wirecheck.cli import main; main(sys.argv[1:])"
    done = subprocess.run(
        [sys.executable, "-c", entry, "verify", PLAYHOUSE / "unit.yaml", PLAYHOUSE / "change.yaml"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(tmp_path / "site")},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stdout.startswith("pass: ")
    assert done.returncode == 0
    where = subprocess.run(
        [sys.executable, "-c", "import wirecheck; print(wirecheck.__file__)"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(tmp_path / "site")},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert Path(where.stdout.strip()).is_relative_to(tmp_path)
