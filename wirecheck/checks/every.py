"""Every check of `verify`, in the order of the report: a check is a module with NAME and `check(pair)`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks import (
    expects,
    isolation,
    keeps,
    live_parts,
    loose_ends,
    no_chatter,
    no_cross_feed,
    no_earth_return,
    no_short,
    no_sneak,
    no_stall,
    protections,
    ratings,
    set_points,
    takes_effect,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.checks.finding import Finding
    from wirecheck.checks.pair import Pair

CHECKS: tuple[tuple[str, Callable[[Pair], Iterator[Finding]]], ...] = tuple(
    (module.NAME, module.check)
    for module in (
        keeps,
        expects,
        protections,
        no_short,
        no_cross_feed,
        takes_effect,
        no_earth_return,
        isolation,
        no_sneak,
        no_stall,
        no_chatter,
        loose_ends,
        ratings,
        set_points,
        live_parts,
    )
)
