"""Which races tell: for each load whose word the order of relays decides, the nearest, found as vectors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.case import in_order
from wirecheck.engine.fast.pair import differing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.engine.fast.joint import Raced
    from wirecheck.engine.fast.pair import FastPair

Nearness = tuple[int, tuple[object, ...]]


def telling(pair: FastPair, renamed: Mapping[str, str]) -> list[tuple[Raced, int]]:
    """A race and a setting of it for each load that it decides and did not before, and one that decides none.

    renamed: load before -> its name after.
    """
    nearest: dict[str | None, tuple[Nearness, Raced, int]] = {}
    for raced in pair.races:
        for load, where in decides(pair, raced, renamed).items():
            count, bit = pair.space.nearest(raced.chunk, where)
            if bit is None:
                continue
            index = (raced.chunk << pair.space.low) + bit
            near = count, in_order(pair.setting(index))
            if load not in nearest or near < nearest[load][0]:
                nearest[load] = near, raced, index
    return [(raced, index) for _, raced, index in nearest.values()]


def decides(pair: FastPair, raced: Raced, renamed: Mapping[str, str]) -> dict[str | None, int]:
    """Load -> the settings in which a race decides its word and did not before; None: no load's.

    {} of a race of the unit before alone.
    """
    after, before = (pair.stands_of(raced, side) for side in ("after", "before"))
    if len(after) < 2:
        return {}
    old = {renamed.get(n, n): n for n in (before[0].unit.plain.circuit.load_names if before else ())}
    found: dict[str | None, int] = {}
    left = raced.settings
    for load in pair.units["after"].plain.circuit.load_names:
        where = differing([s.load(load) for s in after], raced.settings)
        if load in old:
            where &= ~differing([s.load(old[load]) for s in before], raced.settings)
        found[load] = where
        left &= ~where
    return found | {None: left}
