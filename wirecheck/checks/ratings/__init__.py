"""`ratings`: contacts, conductors, transformers, capacitors, start devices and terminals hold what is put on them.

What fails is physical. Limits of wiring codes are notes: inside listed equipment its own standard governs.
A figure that the file lacks is a note that names the field; a pass states its figures.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.ratings import contacts
from wirecheck.checks.ratings.carried import Survey
from wirecheck.checks.ratings.marks import NAME, findings
from wirecheck.checks.ratings.moments import moments

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair

__all__ = ["NAME", "check"]


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each thing that the change brings or puts more on; one for all where there is none."""
    seen = moments(pair)
    now, was = Survey(pair.after), Survey(pair.before)
    found = list(findings(pair, contacts.marks(pair, seen, now, was)))
    yield from found
    if not found:
        says = f"nothing is brought, and nothing carries more than before, in {len(pair.cases)} states"
        yield Finding(NAME, "unit", "pass", says)
