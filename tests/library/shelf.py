"""The library of units as tests read it: files, and what stands in the `expected.yaml` beside each unit."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import yaml

from wirecheck.design.library import kinds, modifications

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.design.library import UnitKind

USUAL, NOTHING = "as usual", "nothing"
KINDS = kinds()


@dataclass(frozen=True, slots=True)
class Case:
    """One change of a kind, right or wrong, and what is expected of it."""

    unit: UnitKind
    path: Path

    def __str__(self) -> str:
        return f"{self.unit.name}/{self.path.stem}"

    @property
    def right(self) -> bool:
        return ".wrong-" not in self.path.name

    @property
    def expected(self) -> dict[str, Any]:
        told = expectations(self.unit)["changes"]
        assert self.path.stem in told, f"{self.unit.name}/expected.yaml says nothing of {self.path.name}"
        return dict(told[self.path.stem])


@cache
def expectations(unit: UnitKind) -> dict[str, Any]:
    """The whole of `expected.yaml`; no scalar is typed."""
    path = unit.path.parent / "expected.yaml"
    assert path.exists(), f"{unit.name} has no expected.yaml: copy another kind's, its head tells the form"
    text = path.read_text(encoding="utf-8")
    return dict(yaml.load(text, Loader=yaml.BaseLoader))  # noqa: S506 - text only


def cases() -> list[Case]:
    """Every change of every kind, each right one before its wrong ones."""
    return [
        Case(unit, path)
        for unit in KINDS
        for change in modifications(unit)
        for path in (change.path, *(way.path for way in change.wrong))
    ]


def words(text: str) -> frozenset[str]:
    """`FAN runs, K1 in` as a set; `nothing` is the empty one."""
    return frozenset() if text == NOTHING else frozenset(text.split(", "))
