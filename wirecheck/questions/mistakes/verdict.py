"""What `verify` says of a mistake: its verdict, and the checks that fail first.

The same checks on the same states as `verify` makes; but once one fails at every end of what is estimated the
verdict is known, and the others are left.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.checks.every import CHECKS
from wirecheck.engine.plain.evaluator import Plain, ends_of
from wirecheck.questions.mistakes.judge import Trial
from wirecheck.questions.mistakes.mistake import with_mistake
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.checks.finding import Finding, Verdict
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Changed, Circuit

FIRST = ("loose-ends", "no-short", "keeps", "expects", "no-stall", "takes-effect")


@dataclass(frozen=True, slots=True)
class Said:
    """The verdict on a mistake, and (check, subject) of what decides it."""

    verdict: Verdict
    by: tuple[tuple[str, str], ...] = ()


@dataclass
class Judge:
    """Asks of one mistake after another, the unit before evaluated once for each end of the estimates."""

    changed: Changed
    befores: dict[tuple[tuple[str, int], ...], Plain] = field(default_factory=dict)

    def before(self, scenario: Mapping[str, int]) -> Plain:
        key = tuple(sorted(scenario.items()))
        if key not in self.befores:
            self.befores[key] = Plain(self.changed.before, scenario)
        return self.befores[key]

    def says(self, wrong: Circuit, plain: Plain) -> Said:
        """The verdict on a mistake; plain: an evaluator of it, at nominal figures."""
        changed = with_mistake(self.changed, wrong)
        trial = Trial(changed, self.before({}), plain)
        for check in in_turn():
            failed = [f for f in check(trial) if f.verdict == "fail"]
            fields = (*trial.before.sensitive, *trial.after.sensitive)
            sure = [f for f in failed if not fields or self.at_every_end(changed, check, f, tuple(dict.fromkeys(fields)))]
            if sure:
                return Said("fail", tuple((f.check, f.subject) for f in sure))
        whole = verify(changed)
        by = tuple((f.check, f.subject) for f in whole.findings if f.verdict == whole.verdict != "pass")
        return Said(whole.verdict, by)

    def at_every_end(
        self, changed: Changed, check: Callable[[Pair], Iterator[Finding]], failed: Finding, fields: tuple[str, ...]
    ) -> bool:
        """Does a check fail in the same way wherever the estimates lie?"""
        key = failed.check, failed.subject, failed.other
        for ends in ends_of(len(fields))[1:]:
            scenario = {f: e for f, e in zip(fields, ends, strict=True) if e}
            trial = Trial(changed, self.before(scenario), Plain(changed.after, scenario))
            if not any((f.check, f.subject, f.other) == key and f.verdict == "fail" for f in check(trial)):
                return False
        return True


def in_turn() -> list[Callable[[Pair], Iterator[Finding]]]:
    """The checks, those that cost little first."""
    return [c for _, c in sorted(CHECKS, key=lambda c: FIRST.index(c[0]) if c[0] in FIRST else len(FIRST))]
