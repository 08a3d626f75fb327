"""The cover against every choice of columns, on small random ones."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from wirecheck.questions.mistakes import cover as module
from wirecheck.questions.mistakes.cover import cover, greedy, undominated

if TYPE_CHECKING:
    import pytest

COLUMNS = st.lists(st.tuples(st.integers(1, 255), st.integers(0, 9)), min_size=1, max_size=9)


def fewest(columns: list[tuple[int, int]]) -> tuple[int, int]:
    """How many columns the smallest cover has, and the least effort of such a one."""
    every = 0
    for shows, _ in columns:
        every |= shows
    for size in range(1, len(columns) + 1):
        efforts = [sum(c[1] for c in some) for some in combinations(columns, size) if shown(some) == every]
        if efforts:
            return size, min(efforts)
    raise AssertionError


def shown(columns: tuple[tuple[int, int], ...]) -> int:
    found = 0
    for shows, _ in columns:
        found |= shows
    return found


@given(COLUMNS)
def test_fewest_then_easiest(columns: list[tuple[int, int]]) -> None:
    found = cover(columns)
    chosen = [columns[k] for k in found.chosen]
    assert found.exact
    assert (len(chosen), sum(c[1] for c in chosen)) == fewest(columns)


@given(COLUMNS)
def test_greedy_shows_all_and_keeps_its_bound(columns: list[tuple[int, int]]) -> None:
    kept = undominated(module.Column(s, module.ONE + e, k) for k, (s, e) in enumerate(columns))
    every = shown(tuple(columns))
    taken = greedy(kept, every)
    most = max(s.bit_count() for s, _ in columns)
    size, effort = fewest(columns)
    assert shown(tuple((c.shows, 0) for c in taken)) == every
    bound = sum(1 / k for k in range(1, most + 1)) * (size * module.ONE + effort)
    assert sum(c.cost for c in taken) <= bound + 1e-6


def test_where_the_limit_is_met_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "NODES", 0)
    found = cover([(0b011, 0), (0b110, 0), (0b100, 0)])
    assert not found.exact
    assert found.at_most == 1.5


def test_nothing_to_show() -> None:
    assert cover([]).chosen == ()
    assert cover([(0, 3)]).chosen == ()
