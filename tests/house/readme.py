"""README.md read as what it is to a reader: commands to type, files to write, answers to expect.

Fences: `sh` under *Start*, the two set-up lines; `yaml` beginning with `# NAME`, a file to write, else a part
of the example's files; `diff`, lines of the last such file to change; `console`, commands and what they say,
where a line that holds only `…` stands for any number of lines.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
README = ROOT / "README.md"
LEFT_OUT = "…"


@dataclass(frozen=True, slots=True)
class Fence:
    kind: str
    section: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A command and the lines shown below it."""

    command: str
    lines: tuple[str, ...]


def fences() -> list[Fence]:
    """Every fenced block, with the heading (second rank) that it stands under."""
    found: list[Fence] = []
    section, kind, inside = "", None, []
    for line in README.read_text(encoding="utf-8").splitlines():
        if kind is None and line.startswith("## "):
            section = line.removeprefix("## ")
        if not line.startswith("```"):
            inside.append(line)
        elif kind is None:
            kind, inside = line.removeprefix("```"), []
        else:
            found.append(Fence(kind, section, tuple(inside)))
            kind = None
    return found


def start_commands() -> tuple[str, ...]:
    """The one-line commands under *Start*."""
    return tuple(line for f in fences() if f.section == "Start" for line in f.lines)


def shown(fence: Fence) -> list[Shown]:
    """The commands of a console block with what stands below each."""
    found: list[Shown] = []
    for line in fence.lines:
        if line.startswith("$ "):
            found.append(Shown(line.removeprefix("$ "), ()))
        else:
            found[-1] = Shown(found[-1].command, (*found[-1].lines, line))
    return found


def agrees(expected: tuple[str, ...], said: list[str]) -> bool:
    """Are the expected lines what was said, but for what is left out?"""
    pattern = "".join(r"(?:.*\n)*?" if e == LEFT_OUT else re.escape(e.rstrip()) + r"\n" for e in expected)
    return re.fullmatch(pattern, "".join(f"{line.rstrip()}\n" for line in said)) is not None


def commands_named() -> set[str]:
    """Every word that follows `wirecheck` in code, in the whole page."""
    text = README.read_text(encoding="utf-8")
    return set(re.findall(r"(?:`|\$ |bin/)wirecheck ([a-z]+)", text))
