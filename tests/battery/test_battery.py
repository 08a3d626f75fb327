"""The battery: small circuits and the answers worked out by hand from engine.md and contract.md."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from tests.battery.reader import LATER, Case, cases, parse
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.problem import BadInput
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


@named([case for case in CASES if case.error])
def test_bad_input(case: Case, tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        load_change_pair(*write(case, tmp_path)) if case.change else load_circuit(write(case, tmp_path)[0])
    assert case.error in {problem.code for problem in caught.value.problems}, case.why


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
    """The word of an input, load or relay in a row.

    `short`, `power-up`: yes or no; `fields`: what would decide, or none.
    """
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
    """What is wrong with an answer. Its lists name `check subject`, or a check alone for any subject.

    `fails` and `unknown` are complete, `may` pardons what follows from them; notes and passes need not be.
    """
    wrong = [line for verdict, key in COMPLETE for line in _complete(verdict, key, expected, answer)]
    for verdict, key in (("note", "notes"), ("pass", "passes")):
        found = _judged(answer, verdict)
        wrong += [f"should be {verdict}: {want}" for want in expected.get(key, ()) if not _has(found, want)]
    later = any(f.verdict in ("fail", "unknown") for f in answer.findings if f.check in LATER)
    if not later and answer.verdict != expected["verdict"]:
        wrong.append(f"verdict {answer.verdict}, should be {expected['verdict']}: {answer.why_unknown}")
    return [*wrong, *_witnesses(expected, answer), *_effects(expected, answer), *_said(expected, answer)]


COMPLETE = (("fail", "fails"), ("unknown", "unknown"))


def _judged(answer: Verified, verdict: str) -> dict[str, str]:
    """`check subject` of the findings of a verdict, to what they say."""
    chosen = [f for f in answer.findings if f.verdict == verdict and f.check not in LATER]
    return {f"{f.check} {f.subject}".strip(): f.says for f in chosen}


def _has(found: dict[str, str], want: str) -> bool:
    return any(f"{name} ".startswith(f"{want} ") for name in found)


def _complete(verdict: str, key: str, expected: dict[str, Any], answer: Verified) -> list[str]:
    found, wanted = _judged(answer, verdict), list(expected.get(key, ()))
    pardoned = {*wanted, *expected.get("may", ())}
    missing = [f"should {verdict}: {want}" for want in wanted if not _has(found, want)]
    extra = [n for n in found if not any(_has({n: ""}, one) for one in pardoned)]
    return missing + [f"{verdict}, but should not: {name}: {found[name]}" for name in extra]


def _witnesses(expected: dict[str, Any], answer: Verified) -> list[str]:
    """Positions that a counterexample must show: `check subject` to inputs."""
    wrong = []
    for name, inputs in expected.get("at", {}).items():
        shown = [
            f.witness for f in answer.findings if f.witness and _has({f"{f.check} {f.subject}": ""}, name)
        ]
        if not any(inputs.items() <= one.inputs.items() for one in shown):
            wrong.append(f"counterexample of {name}: {[one.inputs for one in shown]}, should show {inputs}")
    return wrong


def _effects(expected: dict[str, Any], answer: Verified) -> list[str]:
    wrong = []
    for load, (before, after) in expected.get("effect", {}).items():
        found = answer.effect.get(load)
        if found is None or (_terms(found.before), _terms(found.after)) != (_terms(before), _terms(after)):
            wrong.append(f"effect of {load}: {found}, should be {before!r} -> {after!r}")
    return wrong


def _terms(sum_of_products: str) -> set[frozenset[str]]:
    """The products of a sum, whatever their order."""
    return {frozenset(product.split(" and ")) for product in sum_of_products.split(" or ")}


def _said(expected: dict[str, Any], answer: Verified) -> list[str]:
    """Words that the sentence of a finding must hold: `check subject` to a part of it."""
    found = {f"{f.check} {f.subject}".strip(): f"{f.says} {' '.join(f.fields)}" for f in answer.findings}
    wanted = expected.get("says", {}).items()
    return [f"{n} should say {part!r}: {found.get(n)}" for n, part in wanted if part not in found.get(n, "")]
