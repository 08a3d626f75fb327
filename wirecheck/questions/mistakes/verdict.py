"""What `verify` says of a mistake: its verdict, and the checks that fail first.

The same checks on the same states as `verify` makes; but once one fails at every end of what is estimated the
verdict is known, and the others are left.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.every import CHECKS
from wirecheck.engine.estimates import ends_of
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.mistakes.mistake import with_mistake
from wirecheck.questions.mistakes.trial import Trial, tried
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from wirecheck.checks.finding import Finding, Verdict
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.questions.verify import Verified

    Check = Callable[[Pair], Iterator[Finding]]
    Make = Callable[["Changed", Plain, Plain, bool, Trial | None], Trial]

# On states told apart by the switches' positions alone: what fails there fails in all.
BY_POSITION = ("loose-ends", "no-short", "keeps", "no-stall", "expects")
# The other checks, those that cost little first; any that is not named comes last.
FIRST = ("takes-effect", "no-chatter", "no-sneak", "isolation")
# What can be otherwise where the same terminals are joined, but by other conductors.
BY_CONDUCTOR = ("loose-ends", "no-earth-return", "ratings")


class Said(Struct, frozen=True):
    """The verdict on a mistake, and (check, subject) of what decides it."""

    verdict: Verdict
    by: tuple[tuple[str, str], ...] = ()


@dataclass
class Judge:
    """Asks of one mistake after another, the unit before evaluated once for each end of the estimates.

    plain: ask the plain evaluator alone. small, whole: the last trials made, whose unit before the next take;
    ends: those at ends of the estimates.
    """

    changed: Changed
    plain: bool = False
    befores: dict[tuple[tuple[str, int], ...], Plain] = field(default_factory=dict)
    small: Trial | None = None
    whole: Trial | None = None
    ends: dict[tuple[bool, tuple[int, ...]], Trial] = field(default_factory=dict)
    unknown: bool = False  # was something undecided about the mistake asked of last?

    @cached_property
    def right(self) -> Said:
        """What `verify` says of the change itself."""
        return said(verify(self.changed, noted=False, plain=self.plain))

    @cached_property
    def few(self) -> bool:
        """Do few states do for the change itself? Then they may for a mistake in it."""
        return tried(self.changed, self.before({}), Plain(self.changed.after), self.plain).few

    def before(self, scenario: Mapping[str, int]) -> Plain:
        key = tuple(sorted(scenario.items()))
        if key not in self.befores:
            self.befores[key] = self.before({}).under(scenario) if key else Plain(self.changed.before)
        return self.befores[key]

    def says(self, wrong: Circuit, plain: Plain, joined_alike: bool) -> Said:
        """The verdict on a mistake. plain: its evaluator; joined_alike: as in the right circuit."""
        changed, self.unknown = with_mistake(self.changed, wrong), False
        if joined_alike:
            trial = self._whole(changed, plain)
            return self._failing(trial, BY_CONDUCTOR, Trial) or self._rest(trial)
        self.small = tried(changed, self.before({}), plain, self.plain, self.small, self.few)
        failing = self._failing(self.small, BY_POSITION, tried)
        if failing is not None:
            return failing
        trial = self._whole(changed, plain) if self.small.few else self.small
        return self._failing(trial, others(), Trial) or self._rest(trial)

    def _whole(self, changed: Changed, plain: Plain) -> Trial:
        """A mistake over every state."""
        self.whole = Trial(changed, self.before({}), plain, self.plain, self.whole)
        return self.whole

    def _rest(self, trial: Trial) -> Said:
        """The verdict where no check fails wherever the estimates lie."""
        sure = not trial.sensitive and self.right.verdict == "pass"
        if sure and not self.unknown:
            return self.right
        return said(verify(trial.changed, noted=False, plain=self.plain))

    def _failing(self, trial: Trial, names: Sequence[str], make: Make) -> Said | None:
        """The first check that fails wherever the estimates lie. make: how the trial was made."""
        for check in named(names):
            for found in check(trial):
                self.unknown |= found.verdict == "unknown"
                fields = tuple(trial.sensitive)
                if found.verdict == "fail" and self._at_every_end(trial, check, found, fields, make):
                    return Said("fail", ((found.check, found.subject),))
        return None

    def _at_every_end(
        self, trial: Trial, check: Check, failed: Finding, fields: tuple[str, ...], make: Make
    ) -> bool:
        """Does a check fail in the same way wherever the estimates lie?"""
        key = failed.check, failed.subject, failed.other
        for ends in ends_of(len(fields))[1:]:
            scenario = {f: e for f, e in zip(fields, ends, strict=True) if e}
            after, last = trial.after.under(scenario), self.ends.get((make is tried, ends))
            there = make(trial.changed, self.before(scenario), after, self.plain, last)
            self.ends[make is tried, ends] = there
            if not any((f.check, f.subject, f.other) == key and f.verdict == "fail" for f in check(there)):
                return False
        return True


def others() -> list[str]:
    """The checks that need every state, those that cost little first."""
    left = [n for n, _ in CHECKS if n not in BY_POSITION or n == "expects"]
    return sorted(left, key=lambda n: (*FIRST, n).index(n))


def said(answer: Verified) -> Said:
    """A verdict with what decides it."""
    by = tuple((f.check, f.subject) for f in answer.findings if f.verdict == answer.verdict)
    return Said(answer.verdict, by if answer.verdict != "pass" else ())


def named(names: Sequence[str]) -> list[Check]:
    """Checks by name, in this order."""
    checks = dict(CHECKS)
    return [checks[n] for n in names if n in checks]
