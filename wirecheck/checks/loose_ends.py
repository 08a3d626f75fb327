"""`loose-ends`: no end is left neither landed nor capped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair

NAME = "loose-ends"


def check(pair: Pair) -> Iterator[Finding]:
    """Fail for each loose end of the unit after."""
    for end in sorted(pair.changed.after.loose):
        yield Finding(NAME, end, "fail", f"the end {end} is neither landed nor capped")
    if not pair.changed.after.loose:
        yield Finding(NAME, "unit", "pass", "every end is landed or capped")
