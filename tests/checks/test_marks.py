"""Figures held against limits: what counts as more, what is shown, and how a figure is said."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest

from wirecheck.checks.ratings.marks import Limit, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import Span

if TYPE_CHECKING:
    from wirecheck.checks.case import Case

FIRST, LATER = cast("Case", "first"), cast("Case", "later")


@pytest.mark.parametrize(
    ("now", "was", "expected"),
    [(1, None, True), (0, 0, False), (5, 5, False), (5.04, 5, False), (5.06, 5, True), (5.5, 5, True)],
)
def test_what_exceeds(now: float, was: float | None, expected: bool) -> None:
    # Project rule: one hundredth more is no more.
    assert exceeds(now, was) is expected


@pytest.mark.parametrize(("figure", "said"), [(99.4, "99.4"), (100.4, "100"), (7.256, "7.26"), (0.5, "0.5")])
def test_three_digits(figure: float, said: str) -> None:
    assert amount(figure) == said


def watch(*seen: Span, **put: float) -> Watch:
    found = Watch("W1", Limit(10, "A", "W1.gauge"), own=True, **put)  # type: ignore[arg-type]
    for span, case in zip(seen, (FIRST, LATER), strict=False):
        found.see(case, span, "carries {}")
    return found


def test_the_state_that_is_shown_is_the_first_of_the_worst() -> None:
    assert watch(Span(12, 12, 12), Span(12, 12, 12)).worst.case is FIRST  # type: ignore[union-attr]
    assert watch(Span(9, 9, 9), Span(12, 12, 12)).worst.case is LATER  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("span", "tolerance", "verdict"),
    [
        (Span(9, 9, 9), 1, "pass"),
        (Span(10, 10, 10), 1, "pass"),
        (Span(9, 9.5, 11), 1, "note"),
        (Span(10.5, 10.5, 10.5), 1.2, "note"),
        (Span(10.5, 10.5, 10.5), 1, "fail"),
    ],
)
def test_over_a_limit(span: Span, tolerance: float, verdict: str) -> None:
    assert [m.verdict for m in watch(span, tolerance=tolerance).mark()] == [verdict]
