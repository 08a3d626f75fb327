"""Figures held against limits: the worst over all states, and what it makes of the verdict."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from wirecheck.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.checks.pair import Case, Pair
    from wirecheck.checks.ratings.moments import Span

NAME = "ratings"
Rank = Literal["fail", "note", "pass"]
ORDER: dict[str, int] = {"fail": 0, "note": 1, "pass": 2}
# Far above rounding, far below what a nameplate states.
SLACK = 1e-6
# A thing is loaded more than before from this factor on: a bleeder's milliamperes are no new load. Project rule.
MORE = 1.01


@dataclass(frozen=True, slots=True)
class Limit:
    """What a thing may be put to. field: where the file says it; source: who says so."""

    amount: float
    unit: str
    field: str
    source: str = "as marked"

    def __str__(self) -> str:
        return f"{amount(self.amount)} {self.unit} ({self.field}, {self.source})"


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing said of a subject."""

    subject: str
    verdict: Rank
    says: str
    case: Case | None = None
    fields: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()  # whose current's way is shown


def amount(figure: float) -> str:
    """A figure to three digits, as a nameplate would say it."""
    return f"{figure:.0f}" if figure >= 100 else f"{figure:.3g}"


def exceeds(now: float, was: float | None) -> bool:
    """Is this more than in the matching state before? None: there was none."""
    return was is None or now > MORE * was + SLACK


@dataclass
class Watch:
    """Follows one figure of one subject over all states and keeps the worst that it came to.

    own: the change brings the thing itself, so what stood before is no excuse.
    """

    subject: str
    what: str  # "carries", "stands at"
    limit: Limit
    own: bool = False
    tolerance: float = 1.0  # over the limit by this factor is still only a note
    worst: tuple[int, float] = (-1, 0.0)
    said: str = ""
    case: Case | None = None
    fields: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()
    fresh: bool = field(default=False)

    def see(
        self,
        case: Case,
        now: Span,
        was: float | None,
        of: str = "",
        fields: tuple[str, ...] = (),
        loads: tuple[str, ...] = (),
    ) -> None:
        """One state. was: the nominal figure in the matching state before; None: there was none."""
        more = self.own or exceeds(now.nominal, was)
        self.fresh = self.fresh or (more and now.nominal > SLACK)
        key = (self._grade(now, more), now.nominal)
        if now.high > SLACK and key > self.worst:
            self.worst, self.case, self.fields, self.loads = key, case, fields, loads
            self.said = self._sentence(now, key[0], of)

    def _grade(self, now: Span, more: bool) -> int:
        """3: over and new; 2: over as before; 1: over only at the high end, or within tolerance; 0: within."""
        limit = self.limit.amount + SLACK
        if now.low > limit * self.tolerance:
            return 3 if more else 2
        if now.high > limit:
            return 1 if more else 0
        return 0

    def _sentence(self, now: Span, grade: int, of: str) -> str:
        unit = self.limit.unit
        says = f"{self.what} {amount(now.nominal)} {unit}{of}"
        if grade == 0:
            return f"{says}, within {self.limit}"
        tail = {
            1: f"; {self.limit} may be exceeded",
            2: f", above {self.limit}, as before the change",
            3: f", above {self.limit}",
        }[grade]
        if grade == 1 and now.low != now.high:
            says += f" (estimated, {amount(now.low)} to {amount(now.high)} {unit})"
        return says + tail

    def mark(self) -> Iterator[Mark]:
        """What is to be said: nothing of what is within its limit and no more than before."""
        grade = self.worst[0]
        if grade < 0 or (grade == 0 and not self.fresh):
            return
        verdict: Rank = "fail" if grade == 3 else "pass" if grade == 0 else "note"
        fields = self.fields if grade == 1 else ()
        yield Mark(self.subject, verdict, self.said, self.case, fields, self.loads)


def findings(pair: Pair, marks: Iterable[Mark]) -> Iterator[Finding]:
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
        yield Finding(NAME, subject, worst.verdict, f"{subject} {says}", witness, fields)
