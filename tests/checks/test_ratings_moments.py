"""The states that ratings are held against: leaving out those alike beforehand loses none."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from tests.fast.altered import changed
from tests.fast.built import build
from tests.fast.circuits import Maker
from wirecheck.checks.pair import Pair
from wirecheck.checks.ratings.moments import Moment, live, looks, moments
from wirecheck.circuit.graph import Changed, Terms
from wirecheck.engine.question import EVERYWHERE

if TYPE_CHECKING:
    from collections.abc import Iterator


def drawn(seed: int) -> Changed:
    """A random circuit and a random change of it."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    plan = Maker(rng).make()
    return Changed("random", build(plan), build(changed(plan, rng)), terms=Terms())


def told_apart(each: Iterator[Moment]) -> set[object]:
    """What is live, closed and carrying in each, after and before."""
    return {(m.now.state[1], live(m.now), *(live(w) for w in m.was)) for m in each}


def every(pair: Pair) -> Iterator[Moment]:
    """A moment of every state that is reached."""
    for case in pair.where(EVERYWHERE):
        before = tuple(look for o in case.joint.befores for look in looks(pair, case, o, False))
        yield from (Moment(case, now, before) for now in looks(pair, case, case.joint.after, True))


@pytest.mark.parametrize("first", range(0, 60, 20))
def test_none_is_lost(first: int) -> None:
    left_out = 0
    for seed in range(first, first + 20):
        pair = Pair(drawn(seed))
        whole = list(every(pair))
        kept = moments(pair)
        assert told_apart(iter(kept)) == told_apart(iter(whole)), seed
        left_out += len(whole) - len(kept)
    assert left_out > 0
