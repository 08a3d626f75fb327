"""Breaks the engine by hand: `python -m tests.house.broken [FIRST [LAST]]`, not part of the suite.

Each line of `broken.yaml` is broken in a copy of this folder, one at a time, and the tests are run until one
fails. Prints a table with the test that went red; exits 1 where all stayed green.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import yaml

ROOT = Path(__file__).parent.parent.parent
ENGINE = Path("wirecheck") / "engine"
COPIED = ("wirecheck", "tests", "examples", "schemas", "pyproject.toml", "README.md")
TESTS = ("tests/battery", "tests/circuit", "tests/specimens")
GREEN = "none: it survived"


@dataclass(frozen=True, slots=True)
class Broken:
    """One line of the engine, and what is put in its place."""

    what: str
    file: str
    line: str
    broken: str


def broken_lines() -> list[Broken]:
    text = (Path(__file__).parent / "broken.yaml").read_text(encoding="utf-8")
    return [Broken(**row) for row in yaml.load(text, Loader=yaml.BaseLoader)]  # noqa: S506 - text only


def pattern(one: Broken) -> re.Pattern[str]:
    """The line as it stands in the engine, wherever it is folded."""
    return re.compile(r"\s+".join(re.escape(word) for word in one.line.split()))


def run(folder: Path, *options: str) -> list[str]:
    """The tests that fail, by node; what pytest says last where it did not get so far."""
    command = [sys.executable, "-m", "pytest", "-q", "--tb=no", "-p", "no:cacheprovider", *options, *TESTS]
    done = subprocess.run(command, cwd=folder, capture_output=True, encoding="utf-8", check=False)
    found = re.findall(r"^(?:FAILED|ERROR) (.*?)(?: - .*)?$", done.stdout, re.MULTILINE)
    return found if found or done.returncode == 0 else done.stdout.strip().splitlines()[-1:]


def tried(one: Broken, folder: Path, red_anyway: list[str]) -> str:
    """Break one line, run the tests until one fails, put the line right again."""
    file = folder / ENGINE / one.file
    text = file.read_text(encoding="utf-8")
    file.write_text(pattern(one).sub(lambda _: one.broken, text), encoding="utf-8")
    try:
        red = run(folder, "-x", *(f"--deselect={node}" for node in red_anyway))
        return red[0].partition("::")[2] or red[0] if red else GREEN
    finally:
        file.write_text(text, encoding="utf-8")


def main(first: int = 1, last: int | None = None) -> int:
    survived = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in COPIED:
            copy = shutil.copytree if (ROOT / part).is_dir() else shutil.copy
            copy(ROOT / part, folder / part)
        red_anyway = run(folder)
        print(f"left out, red with nothing broken: {', '.join(red_anyway) or 'none'}\n")
        print("| broken | in | first test that goes red |\n|---|---|---|", flush=True)
        for one in broken_lines()[first - 1 : last]:
            red = tried(one, folder, red_anyway)
            survived += red == GREEN
            print(f"| {one.what} | `{one.file}` | {red} |", flush=True)
    return 1 if survived else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
