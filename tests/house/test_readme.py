"""README's tour: the files that it has written, its commands in order, what it shows of their answers."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PART = re.compile(r"^```(\w+)\n(.*?)^```$|`cd ([\w/.-]+)`", re.DOTALL | re.MULTILINE)


def run(command: str, cwd: Path, path: Path) -> list[str]:
    """What a shell shows for a command, `wirecheck` being the one under test."""
    done = subprocess.run(
        ["bash", "-c", command],  # noqa: S607
        cwd=cwd, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False,
        env={**os.environ, "PATH": f"{path}:{os.environ['PATH']}", "COLUMNS": "80", "NO_COLOR": "1",
             "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"},
    )  # fmt: skip
    return done.stdout.splitlines()


def fits(shown: list[str], found: list[str]) -> bool:
    """Is this what was found, `…` standing for any number of lines?"""
    if not shown:
        return not found
    if shown[0].strip() == "…":
        return any(fits(shown[1:], found[k:]) for k in range(len(found) + 1))
    return bool(found) and shown[0] == found[0] and fits(shown[1:], found[1:])


def sessions(block: str) -> list[tuple[str, list[str]]]:
    """Each command of a block with what is shown below it."""
    found: list[tuple[str, list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return found


def patched(text: str, diff: str) -> str:
    lines = [line[1:] for line in diff.splitlines()]
    for old, new in zip(lines[::2], lines[1::2], strict=True):
        assert old in text
        text = text.replace(old, new)
    return text


def test_the_tour(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    bin_folder = tmp_path / "bin"
    bin_folder.mkdir()
    shim = bin_folder / "wirecheck"
    shim.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m wirecheck "$@"\n')
    shim.chmod(0o755)
    cwd, written, wrong = tmp_path, tmp_path / "panel.yaml", []
    for language, block, folder in PART.findall(README.partition("## Commands")[0]):
        if folder:
            cwd = tmp_path / folder
        elif language == "yaml" and block.startswith("# panel.yaml"):
            written.write_text(block, encoding="utf-8")
        elif language == "diff":
            written.write_text(patched(written.read_text(encoding="utf-8"), block), encoding="utf-8")
        elif language == "console":
            for command, shown in sessions(block):
                found = run(command, cwd, bin_folder)
                if not fits(shown, found):
                    wrong.append("\n".join([f"$ {command}", *found]))
    assert not wrong, "\n\n".join(wrong)
    assert written.exists()
    assert (cwd / "ladder.svg").exists()


def test_what_the_tour_quotes_is_in_the_examples() -> None:
    texts = "".join(p.read_text(encoding="utf-8") for p in (ROOT / "examples").rglob("*.yaml"))
    blocks = [b for language, b, _ in PART.findall(README) if language == "yaml" and not b.startswith("#")]
    lines = [line for b in blocks for line in b.splitlines() if line.strip().startswith("- ")]
    assert lines
    assert [line for line in lines if line.strip() not in texts] == []


def test_every_command_is_in_the_table() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wirecheck", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    commands = re.findall(r"^  (\w+) ", done.stdout.partition("Commands:")[2], re.MULTILINE)
    table = README.partition("## Commands")[2]
    assert commands
    assert [c for c in commands if f"`wirecheck {c} " not in table] == []
