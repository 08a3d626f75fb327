"""What README.md shows is so: every command runs, and says what is shown."""

from __future__ import annotations

import shlex
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tests.house.readme import (
    README,
    ROOT,
    Fence,
    Shown,
    agrees,
    commands_named,
    fences,
    shown,
    start_commands,
)
from wirecheck.checks.every import CHECKS, NOT_CHECKED
from wirecheck.cli import run
from wirecheck.cli.app import app

if TYPE_CHECKING:
    from pathlib import Path

EXAMPLE = ROOT / "examples" / "tidewater-playhouse"
ECHO = '; echo "exit code $?"'


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the example's folder with the file that the tour writes."""
    folder = tmp_path_factory.mktemp("tour") / "tidewater-playhouse"
    shutil.copytree(EXAMPLE, folder)
    return folder


def tour() -> list[Fence]:
    return [f for f in fences() if f.kind in ("yaml", "diff", "console")]


def test_tour(place: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    """The tour from top to bottom, each command with its answer."""
    monkeypatch.chdir(place)
    monkeypatch.setenv("COLUMNS", "80")
    written = place
    for fence in tour():
        if fence.kind == "yaml" and fence.lines[0].startswith("# "):
            written = place / fence.lines[0].removeprefix("# ")
            written.write_text("\n".join(fence.lines) + "\n", encoding="utf-8")
        elif fence.kind == "diff":
            put_right(written, fence)
        elif fence.kind == "console":
            for one in shown(fence):
                said = answer(one, capfd)
                assert agrees(one.lines, said), "\n".join(["$ " + one.command, *said])


def put_right(file: Path, fence: Fence) -> None:
    """Each line marked `-` becomes the line marked `+` that follows it."""
    text = file.read_text(encoding="utf-8")
    for old, new in zip(fence.lines[::2], fence.lines[1::2], strict=True):
        assert old[0] == "-" and new[0] == "+" and text.count(old[1:]) == 1
        text = text.replace(old[1:], new[1:])
    file.write_text(text, encoding="utf-8")


def answer(one: Shown, capfd: pytest.CaptureFixture[str]) -> list[str]:
    """What a command says on either stream, with the exit code where it is asked for."""
    program, *args = shlex.split(one.command.removesuffix(ECHO))
    assert program == "wirecheck"
    code = run(args)
    out, err = capfd.readouterr()
    said = [*out.splitlines(), *err.splitlines()]
    return [*said, f"exit code {code}"] if one.command.endswith(ECHO) else said


def test_parts_of_the_example_files() -> None:
    """What is shown of the example's files stands in them, but for what is left out between."""
    parts = [f.lines for f in tour() if f.kind == "yaml" and not f.lines[0].startswith("# ")]
    texts = [
        (EXAMPLE / name).read_text(encoding="utf-8").splitlines() for name in ("unit.yaml", "change.yaml")
    ]
    there = {line.partition("  #")[0].rstrip() for text in texts for line in text}
    assert parts
    assert not [line for part in parts for line in part if line and line not in there]


def test_start_is_two_lines() -> None:
    job, tests = start_commands()
    assert "wirecheck verify" in job and job.startswith("python3 -m venv")
    assert "-m pytest" in tests and tests.startswith("python3 -m venv")


def test_start_runs_as_a_process() -> None:
    """The example command of *Start*, run by this interpreter from the top folder."""
    args = shlex.split(start_commands()[0].rpartition("&& ")[2])[1:]
    done = subprocess.run(
        [sys.executable, "-m", "wirecheck", *args],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("pass: ")


def test_every_command_named_exists() -> None:
    """And every command that exists is told of."""
    assert commands_named() == {c.name or c.callback.__name__ for c in app.registered_commands if c.callback}


def test_every_check_is_told() -> None:
    text = README.read_text(encoding="utf-8")
    rows = [
        line.split("`")[1]
        for line in text.partition("## What is checked")[2].splitlines()
        if line[:3] == "| `"
    ]
    assert rows and set(rows) == {name for name, _ in CHECKS} | set(NOT_CHECKED)
    assert ("does not check" in text) == bool(NOT_CHECKED)


def test_the_job_comes_first() -> None:
    """A title, one paragraph, then *Start*; and the word that the tool never says."""
    lines = README.read_text(encoding="utf-8").split("\n\n")
    assert lines[0].startswith("# ") and not lines[1].startswith("#") and lines[2] == "## Start"
    assert " safe" not in "\n".join(lines).lower()
