"""Reading of small files for the tests of this folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.design.load import draft_pair
from wirecheck.design.types import Types, resolve
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from wirecheck.design.models import ChangeFile, UnitFile
    from wirecheck.design.resolved import ResolvedDevice

CONDITIONS = "conditions: {head: {unit: psig}, room: {unit: degF}, pan: {unit: in}}\n"


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., tuple[UnitFile, ChangeFile | None]]:
    """Reads a unit, and a change if its text is given. Raises BadInput."""

    def reading(unit: str, change: str | None = None) -> tuple[UnitFile, ChangeFile | None]:
        (tmp_path / "unit.yaml").write_text(unit, encoding="utf-8")
        (tmp_path / "change.yaml").write_text(change or "", encoding="utf-8")
        drafted = draft_pair(tmp_path / "unit.yaml", None if change is None else tmp_path / "change.yaml")
        drafted.stop_if()
        return drafted.unit, drafted.change

    return reading


@pytest.fixture
def resolved(read: Callable[..., tuple[UnitFile, ChangeFile | None]]) -> Callable[..., ResolvedDevice]:
    """Resolves one device, given as the text of its mapping, and of types where it needs any."""

    def resolving(device: str, types: str = "") -> ResolvedDevice:
        unit, _ = read(f"unit: {{name: Proofer}}\n{CONDITIONS}{types}devices:\n  D: {device}\n")
        return resolve("D", unit.devices["D"], Types(unit.types), unit.conditions)

    return resolving


@pytest.fixture
def problems(
    read: Callable[..., tuple[UnitFile, ChangeFile | None]],
) -> Callable[..., list[tuple[str, int, int, str]]]:
    """The problems of a unit, or of a unit and a change: code, line, column, message."""

    def of(unit: str, change: str | None = None) -> list[tuple[str, int, int, str]]:
        try:
            read(unit, change)
        except BadInput as bad:
            return [(p.code, p.place.line, p.place.column, p.message) for p in bad.problems]
        return []

    return of
