"""Every example and every specimen against the `expected.yaml` beside it: a new folder is a new test."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.specimens.expected import (
    BY_FIGURES,
    KEYS,
    WHERE,
    Specimen,
    differences,
    expectations,
    folders,
    specimens,
)
from wirecheck.checks.every import CHECKS
from wirecheck.circuit.apply import load_change_pair
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

CHECK_NAMES = {name for name, _ in CHECKS}
BOTH_SIDES = {name for name, _ in CHECKS} - {"live-parts"}  # never fails


@pytest.mark.parametrize("specimen", specimens(), ids=str)
def test_verify(specimen: Specimen) -> None:
    changed = load_change_pair(str(specimen.folder / "unit.yaml"), str(specimen.folder / specimen.change))
    wrong = differences(specimen.expected, verify(changed))
    assert not wrong, "\n".join([str(specimen.expected.get("because", "")), *wrong])


@pytest.mark.parametrize("folder", folders(), ids=lambda folder: folder.name)
def test_every_change_is_expected(folder: Path) -> None:
    assert {c.name for c in folder.glob("change*.yaml")} == set(expectations(folder))


@pytest.mark.parametrize("specimen", specimens(), ids=str)
def test_form(specimen: Specimen) -> None:
    """A slip in a key or in a check's name would demand nothing."""
    expected = specimen.expected
    lists = [expected.get(key, ()) for key in ("fails", "unknown", "later", "may")]
    entries: list[dict[str, Any]] = [entry for each in lists for entry in each]
    assert {k for k, v in expected.items() if v != ""} <= KEYS
    # A comma in `because` begins another key, without a value.
    assert all({k for k, v in e.items() if v} <= WHERE and e["check"] in CHECK_NAMES for e in entries)
    assert all(e["check"] in BY_FIGURES for e in expected.get("later", ()))


def test_specimens_on_both_sides() -> None:
    """Each check fails in some specimen, and there are changes that pass."""
    every = [s.expected for s in specimens()]
    failing = {e["check"] for one in every for key in ("fails", "later") for e in one.get(key, ())}
    assert not BOTH_SIDES - failing
    assert sum(e["verdict"] == "pass" for e in every) >= len(folders()) // 2
