"""README.md as what a reader finds in it: fenced blocks by section, and the commands named."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
README = ROOT / "README.md"


@dataclass(frozen=True, slots=True)
class Fence:
    kind: str
    section: str
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


def commands_named() -> set[str]:
    """Every word that follows `wirecheck` in code, in the whole page."""
    text = README.read_text(encoding="utf-8")
    return set(re.findall(r"(?:`|\$ |bin/)wirecheck ([a-z]+)", text))
