"""Which races tell: for each load whose word the order of relays decides, the nearest, found as vectors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.case import in_order
from wirecheck.engine.fast.pair import differing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.fast.frame import Words
    from wirecheck.engine.fast.joint import Raced
    from wirecheck.engine.fast.pair import FastPair
    from wirecheck.engine.fast.side import Stand

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

    A relay that works something outside the file counts as one. {} of a race of the unit before alone.
    """
    after, before = (pair.stands_of(raced, side) for side in ("after", "before"))
    if len(after) < 2:
        return {}
    circuits = {side: unit.plain.circuit for side, unit in pair.units.items()}
    old = {renamed.get(n, n): n for n in (named(circuits["before"]) if before else ())}
    outside = {*circuits["after"].external}
    if "before" in circuits:
        outside |= {renamed.get(r, r) for r in circuits["before"].external}
    found: dict[str | None, int] = {}
    left = raced.settings
    for name in named(circuits["after"]):
        if name in circuits["after"].relays and name not in outside:
            continue
        where = differing([words(s, name) for s in after], raced.settings)
        if name in old:
            where &= ~differing([words(s, old[name]) for s in before], raced.settings)
        found[name] = where
        left &= ~where
    return found | {None: left}


def named(circuit: Circuit) -> tuple[str, ...]:
    """Loads, taps of motors, and relays."""
    return (*circuit.load_names, *circuit.relays)


def words(stand: Stand, name: str) -> Words:
    """Word -> settings, of a load or relay."""
    return stand.relay(name) if name in stand.unit.plain.circuit.relays else stand.load(name)
