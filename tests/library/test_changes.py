"""Every change of the library: the right ones pass, the wrong ones are refused for the expected reason."""

from __future__ import annotations

from typing import Any

import pytest

from tests.library.shelf import KINDS, Case, cases, expectations
from tests.specimens.expected import differences
from wirecheck import api
from wirecheck.checks.every import CHECKS
from wirecheck.design.library import modifications

CASES = cases()
KEYS = {"verdict", "because", "fails", "unknown", "effect", "observations", "not_shown"}
WHERE = {"check", "subject", "inputs", "because"}
NAMES = {name for name, _ in CHECKS}
# Quick ones; `python -m tests.library` looks at the lists of all the others, in minutes.
ACCEPTED = (
    "condensate-pump/alarm-stops-cooling",
    "boiler/second-low-water-cutoff",
    "evaporative-cooler/air-proving",
)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_verify(case: Case) -> None:
    answer = api.verify(str(case.unit.path), str(case.path))[1]
    wrong = differences(case.expected, answer)
    assert not wrong, "\n".join(wrong)


def test_how_many() -> None:
    """At least 12 kinds of units and 20 modifications, each with two or more of its usual wrong ways."""
    found = {unit.name: modifications(unit) for unit in KINDS}
    assert len(found) >= 12
    assert sum(len(changes) for changes in found.values()) >= 20
    assert [m.name for changes in found.values() for m in changes if len(m.wrong) < 2] == []
    assert [name for name, changes in found.items() if not changes] == []


@pytest.mark.parametrize("unit", KINDS, ids=lambda unit: unit.name)
def test_every_change_is_expected(unit: Any) -> None:
    there = {path.stem for path in (unit.path.parent / "changes").iterdir()}
    assert there == set(expectations(unit)["changes"])
    assert there == {case.path.stem for case in CASES if case.unit == unit}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_form(case: Case) -> None:
    """A slip in a key or a check's name would demand nothing; a wrong way is refused, and says what it is."""
    expected = case.expected
    entries = [*expected.get("fails", ()), *expected.get("unknown", ())]
    assert set(expected) <= KEYS
    assert all(set(e) <= WHERE and e["check"] in NAMES for e in entries)
    assert (expected["verdict"] == "pass") == case.right
    assert case.right == (not entries)
    text = case.path.read_text(encoding="utf-8")
    assert text.startswith("# Wrong: ") != case.right
    assert text.startswith("# ")


def test_wrong_ways_say_each_what_was_done() -> None:
    for change in (change for unit in KINDS for change in modifications(unit)):
        done = [way.done for way in change.wrong]
        assert len(set(done)) == len(done)
        assert all(text.strip() and not text.startswith("Wrong") for text in done)


@pytest.mark.parametrize("case", [c for c in CASES if str(c) in ACCEPTED], ids=str)
def test_acceptance(case: Case) -> None:
    """Its list shows every single mistake that matters, and is as short as it was found to be."""
    answer = api.mistakes(str(case.unit.path), str(case.path))
    assert answer.not_shown == ()
    assert len(answer.acceptance.steps) == int(case.expected["observations"])
