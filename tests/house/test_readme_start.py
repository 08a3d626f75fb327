"""README.md begins with the job and two commands that do all; what it tables is what there is."""

from __future__ import annotations

import shlex
import subprocess
import sys

from tests.house.broken import ENGINE, broken_lines, pattern
from tests.house.readme import README, ROOT, commands_named, start_commands
from wirecheck.checks.every import CHECKS
from wirecheck.cli.app import COMMANDS

TEXT = README.read_text(encoding="utf-8")


def test_the_job_comes_first() -> None:
    """A title, one paragraph, *Start*; and nowhere the word that the tool never says."""
    title, job, start = TEXT.split("\n\n")[:3]
    assert title.startswith("# ") and not job.startswith("#") and start == "## Start"
    assert " safe" not in TEXT.lower()


def test_start_is_two_lines() -> None:
    job, tests = start_commands()
    assert job.startswith("python3 -m venv ") and "wirecheck verify " in job
    assert tests.startswith("python3 -m venv ") and tests.endswith("-m pytest -n auto")


def test_the_job_runs_as_a_process() -> None:
    """The example command of *Start*, by this interpreter, from the top folder."""
    args = shlex.split(start_commands()[0].rpartition("&& ")[2])[1:]
    command = [sys.executable, "-m", "wirecheck", *args]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("pass: ")


def test_every_command_named_exists() -> None:
    assert commands_named() == set(COMMANDS)


def test_every_check_is_told() -> None:
    table = TEXT.partition("## What is checked")[2]
    told = {line.split("`")[1] for line in table.splitlines() if line.startswith("| `")}
    assert told == {name for name, _ in CHECKS}


def test_lines_to_break_are_there() -> None:
    """Those of `broken.yaml`, each once, so that `python -m tests.house.broken` breaks what it says."""
    lines = broken_lines()
    files = {one.file: (ROOT / ENGINE / one.file).read_text(encoding="utf-8") for one in lines}
    assert len(lines) > 12
    assert not [one.what for one in lines if len(pattern(one).findall(files[one.file])) != 1]
