"""Figures held against limits: the worst over all states, and what it makes of the verdict."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.moments import Span

NAME = "ratings"
Rank = Literal["fail", "unknown", "note", "pass"]
ORDER: dict[str, int] = {"fail": 0, "unknown": 1, "note": 2, "pass": 3}
# Far above rounding, far below what a nameplate states.
SLACK = 1e-6
# Loaded more than before is what exceeds it by this factor: a bleeder is no new load. Project rule.
MORE = 1.01


class Limit(Struct, frozen=True):
    """What a thing may be put to. field: where the file says it; source: who says so."""

    amount: float
    unit: str
    field: str
    source: str = "as marked"

    def __str__(self) -> str:
        return self._told(amount(self.amount))

    def below(self, figure: float) -> str:
        """The same, to as many digits as tell it from a figure above it."""
        told = amount(self.amount)
        return self._told(told if told != amount(figure) else f"{self.amount:.4g}")

    def _told(self, figure: str) -> str:
        return f"{figure} {self.unit} ({self.field}, {self.source})"


class Mark(Struct, frozen=True):
    """One thing said of a subject. loads: whose current's way is shown."""

    subject: str
    verdict: Rank
    says: str
    case: Case | None = None
    fields: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()


def amount(figure: float) -> str:
    """A figure to three digits, as a nameplate would say it."""
    return f"{figure:.0f}" if figure >= 100 else f"{figure:.3g}"


def exceeds(now: float, was: float | None) -> bool:
    """Is the worst after more than the worst before? None: there was none."""
    return was is None or now > MORE * was + SLACK


class Worst(Struct, frozen=True):
    """The worst that a figure came to, and where."""

    now: Span
    case: Case
    of: str
    fields: tuple[str, ...]
    loads: tuple[str, ...]


@dataclass
class Watch:
    """Follows one figure of one subject over all states and keeps the worst that it comes to.

    own: the change brings the thing itself, so what stood before is no excuse. was: the worst before; None
    where there was none. tolerance: over the limit by up to this factor is a note.
    """

    subject: str
    limit: Limit
    own: bool = False
    was: float | None = None
    tolerance: float = 1.0
    worst: Worst | None = field(default=None)

    def see(
        self,
        case: Case,
        now: Span,
        of: str,
        fields: tuple[str, ...] = (),
        loads: tuple[str, ...] = (),
    ) -> None:
        """The figure in one state. of: "carries {} of FAN"."""
        if now.high > SLACK and (self.worst is None or self._key(now) > self._key(self.worst.now)):
            self.worst = Worst(now, case, of, fields, loads)

    def _key(self, now: Span) -> tuple[int, float]:
        limit = self.limit.amount + SLACK
        over = 2 if now.low > limit * self.tolerance else 1 if now.high > limit else 0
        return over, now.nominal

    @property
    def more(self) -> bool:
        """Is it the change's own, or put to more than before?"""
        return self.own or (self.worst is not None and exceeds(self.worst.now.nominal, self.was))

    @property
    def over(self) -> bool:
        return self.worst is not None and self._key(self.worst.now)[0] > 0

    def mark(self) -> Iterator[Mark]:
        """What is to be said: nothing of what is within its limit and no more than before."""
        if self.worst is None:
            return
        over, worst = self._key(self.worst.now)[0], self.worst
        says = worst.of.format(f"{amount(worst.now.nominal)} {self.limit.unit}")
        above = f"{says}, above {self.limit.below(worst.now.nominal)}"
        if over == 2 and self.more:
            yield Mark(self.subject, "fail", above, worst.case, (), worst.loads)
        elif over == 2:
            yield Mark(self.subject, "note", f"{above}, as before the change")
        elif over == 1 and self.more:
            ends = f"{amount(worst.now.low)} to {amount(worst.now.high)} {self.limit.unit}"
            guess = f" (estimated, {ends})" if worst.now.low != worst.now.high else ""
            yield Mark(self.subject, "note", f"{says}{guess}; may be above {self.limit}", None, worst.fields)
        elif over == 0 and self.more:
            yield Mark(self.subject, "pass", f"{says}, within {self.limit}")


def findings(pair: Pair, marks: Iterable[Mark], check: str = NAME) -> Iterator[Finding]:
    """One finding for each subject, the worst verdict of its marks; what weighs most is said first."""
    by_subject: dict[str, list[Mark]] = {}
    for m in marks:
        by_subject.setdefault(m.subject, []).append(m)
    for subject, of in by_subject.items():
        ranked = sorted(of, key=lambda m: ORDER[m.verdict])
        worst = ranked[0]
        says = "; ".join(dict.fromkeys(m.says for m in ranked))
        fields = tuple(dict.fromkeys(f for m in ranked for f in m.fields))
        witness = None
        if worst.case is not None and worst.verdict == "fail":
            witness = pair.witness(worst.case, pair.route(worst.case, worst.loads))
        yield Finding(check, subject, worst.verdict, f"{subject} {says}", witness, fields)
