"""The battery: small circuits and the answers worked out by hand from engine.md and contract.md."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from tests.battery.reader import LATER, Case, cases, parse

from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.questions.states import Row, states
from wirecheck.questions.verify import Verified, verify

if TYPE_CHECKING:
    from pathlib import Path

CASES = cases()


def named(chosen: list[Case]) -> Any:
    return pytest.mark.parametrize("case", chosen, ids=lambda case: case.name)


@named([case for case in CASES if case.table])
def test_states(case: Case, tmp_path: Path) -> None:
    columns, expected = parse(case.table)
    unit, change = write(case, tmp_path)
    circuit = load_change_pair(unit, change).after if case.change else load_circuit(unit)
    answer = states(circuit)
    found = {tuple(cell(row, name) for name in columns) for row in answer.rows}
    assert found == expected, f"{case.page}: {case.why}\n{report(columns, expected, found)}"


@named([case for case in CASES if case.verify])
def test_verify(case: Case, tmp_path: Path) -> None:
    answer = verify(load_change_pair(*write(case, tmp_path)))
    wrong = list(differences(case.verify, answer))
    assert not wrong, f"{case.page}: {case.why}\n" + "\n".join(wrong)


def write(case: Case, folder: Path) -> tuple[Path, Path]:
    unit, change = folder / "unit.yaml", folder / "change.yaml"
    unit.write_text(case.unit, encoding="utf-8")
    change.write_text(case.change, encoding="utf-8")
    return unit, change


def cell(row: Row, name: str) -> str:
    """The word of an input, load or relay in a row; `short`, `power-up`: yes or no; `fields`: what would decide."""
    if name == "power-up":
        return "yes" if row.power_up else "no"
    if name == "short":
        return "yes" if row.short else "no"
    if name == "fields":
        return ", ".join(sorted(row.fields)) or "none"
    return {**row.inputs, **row.loads, **row.relays}.get(name, "not listed")


def report(columns: list[str], expected: set[tuple[str, ...]], found: set[tuple[str, ...]]) -> str:
    lines = [" | ".join(columns)]
    lines += [f"missing:    {' | '.join(row)}" for row in sorted(expected - found)]
    lines += [f"unexpected: {' | '.join(row)}" for row in sorted(found - expected)]
    return "\n".join(lines)


def differences(expected: dict[str, Any], answer: Verified) -> list[str]:
    """What is wrong with an answer: each list names `check subject`; fails and unknown are complete lists.

    `may` pardons fails and unknowns that follow from the listed ones; notes and passes need only be there.
    """
    judged = [f for f in answer.findings if f.check not in LATER]
    wrong = []
    for verdict in ("fail", "unknown"):
        found = {f"{f.check} {f.subject}".strip(): f.says for f in judged if f.verdict == verdict}
        wanted = set(expected.get(f"{verdict}s" if verdict == "fail" else verdict, ()))
        wrong += [f"should {verdict}: {name}" for name in sorted(wanted - set(found))]
        pardoned = wanted | set(expected.get("may", ()))
        wrong += [f"{verdict}, but should not: {n}: {says}" for n, says in found.items() if n not in pardoned]
    for verdict, key in (("note", "notes"), ("pass", "passes")):
        found_names = {f"{f.check} {f.subject}".strip() for f in judged if f.verdict == verdict}
        wrong += [f"should be {verdict}: {name}" for name in expected.get(key, ()) if name not in found_names]
    later = any(f.verdict in ("fail", "unknown") for f in answer.findings if f.check in LATER)
    if not later and answer.verdict != expected["verdict"]:
        wrong.append(f"verdict {answer.verdict}, should be {expected['verdict']}: {answer.why_unknown}")
    wrong += [*_witnesses(expected, answer), *_effects(expected, answer), *_said(expected, answer)]
    return wrong


def _witnesses(expected: dict[str, Any], answer: Verified) -> list[str]:
    """Positions that a counterexample must show: `check subject` to inputs."""
    wrong = []
    for name, inputs in expected.get("at", {}).items():
        shown = [f.witness for f in answer.findings if f"{f.check} {f.subject}".strip() == name and f.witness]
        if not any(inputs.items() <= one.inputs.items() for one in shown):
            wrong.append(f"counterexample of {name}: {[one.inputs for one in shown]}, should show {inputs}")
    return wrong


def _effects(expected: dict[str, Any], answer: Verified) -> list[str]:
    wrong = []
    for load, (before, after) in expected.get("effect", {}).items():
        found = answer.effect.get(load)
        if found is None or (found.before, found.after) != (before, after):
            wrong.append(f"effect of {load}: {found}, should be {before!r} -> {after!r}")
    return wrong


def _said(expected: dict[str, Any], answer: Verified) -> list[str]:
    """Words that the sentence of a finding must hold: `check subject` to a part of it."""
    found = {f"{f.check} {f.subject}".strip(): f"{f.says} {' '.join(f.fields)}" for f in answer.findings}
    wanted = expected.get("says", {}).items()
    return [f"{n} should say {part!r}: {found.get(n)}" for n, part in wanted if part not in found.get(n, "")]
