"""Cases of the battery: a unit, perhaps a change, and the answer that was worked out by hand."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).parent
LATER = frozenset({"ratings", "set-points", "live-parts"})  # judged by figures, tested apart


@dataclass(frozen=True, slots=True)
class Case:
    """page: the sentence that is tested. why: the reasoning by hand.

    table: what `states` must say. verify: what `verify` must say. error: a problem of bad input.
    """

    name: str
    page: str
    why: str
    unit: str
    change: str
    table: str
    verify: dict[str, Any]
    error: str


def cases() -> list[Case]:
    """Every case of every file, by name."""
    return [
        case
        for file in sorted((HERE / "cases").glob("*.yaml"))
        if file.stem != "refused"
        for case in _read(file)
    ]


def _read(file: Path) -> list[Case]:
    found = yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - text only
    shared = found.get("units", {})
    return [_case(file.stem, one, shared) for one in found["cases"]]


def _case(stem: str, one: dict[str, Any], shared: dict[str, str]) -> Case:
    unit = one["unit"]
    return Case(
        name=f"{stem}: {one['name']}",
        page=one["page"],
        why=one["why"],
        unit=shared.get(unit, unit),
        change=one.get("change", ""),
        table=one.get("states", ""),
        verify=one.get("verify", {}),
        error=one.get("error", ""),
    )


def parse(table: str) -> tuple[list[str], set[tuple[str, ...]]]:
    """The columns and the rows of a table of words with bars between."""
    lines = [[cell.strip() for cell in line.split("|")] for line in table.splitlines() if line.strip()]
    wrong = [row for row in lines if len(row) != len(lines[0])]
    assert not wrong, f"rows of another width: {wrong}"
    return lines[0], {tuple(row) for row in lines[1:]}
