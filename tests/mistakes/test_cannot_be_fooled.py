"""`verify` passes no harmful mistake but those in table.yaml, each with its reason, and refuses no equal one.

The examples here are those with few states; `python -m tests.mistakes.sweep` compares all of them.
"""

from __future__ import annotations

import pytest

from tests.mistakes.sweep import change_of, judged, reasons, sweep, table, told
from wirecheck.questions.mistakes.verdict import Judge
from wirecheck.questions.verify import verify

QUICK = ("two-pumps", "two-pumps/change-priority.yaml", "off-delay-fan", "anti-short-cycle")


@pytest.mark.parametrize("name", QUICK)
def test_table(name: str) -> None:
    assert told(sweep(name)) == table()[name]


def test_every_right_change_is_in_the_table() -> None:
    assert all(verify(change_of(name)).verdict == "pass" for name in QUICK)
    assert set(QUICK) <= set(table())


def test_every_reason_is_given_and_used() -> None:
    used = {reason for rows in table().values() for reason in rows.passed.values()}
    assert used == set(reasons())


def test_verdict_of_the_command_is_that_of_verify() -> None:
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.questions.mistakes.same import signature

    changed = change_of("off-delay-fan")
    judge, own = Judge(changed), signature(changed.after)
    for mistake, _, verdict in judged(changed, everywhere=False):
        alike = signature(mistake.after) == own
        assert judge.says(mistake.after, Plain(mistake.after), alike).verdict == verdict, mistake.id
