"""The battery on the plain evaluator alone, as `--plain` asks it: its own walk, its own order of coils."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.battery.reader import Case, parse
from tests.battery.test_battery import CASES, cell, differences, named, report, write
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.questions.states import states
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.checks.finding import Finding


@named([case for case in CASES if case.table])
def test_states(case: Case, tmp_path: Path) -> None:
    columns, expected = parse(case.table)
    unit, change = write(case, tmp_path)
    circuit = load_change_pair(unit, change).after if case.change else load_circuit(unit)
    found = {tuple(cell(row, name) for name in columns) for row in states(circuit, plain=True).rows}
    assert found == expected, f"{case.page}: {case.why}\n{report(columns, expected, found)}"


@named([case for case in CASES if case.verify])
def test_verify(case: Case, tmp_path: Path) -> None:
    answer = verify(load_change_pair(*write(case, tmp_path)), plain=True)
    failed = {f.check for f in answer.findings if f.verdict == "fail"}
    wrong = list(differences(case.verify, answer))
    wrong += [
        f"{f.check} fails, and {f.says}" for f in answer.findings if _all_clear(f) and f.check in failed
    ]
    assert not wrong, f"{case.page}: {case.why}\n" + "\n".join(wrong)


def _all_clear(finding: Finding) -> bool:
    """Does it pass the whole unit? Then its check has nothing else to say."""
    return finding.verdict == "pass" and finding.subject == "unit"
