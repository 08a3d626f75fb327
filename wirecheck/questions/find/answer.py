"""`find`: the single faults that fit what was seen and measured, and what to look at or measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.answers import WORKING
from wirecheck.engine.question import every, word
from wirecheck.questions.find.bench import Bench, candidates
from wirecheck.questions.find.evidence import Measured, Seen
from wirecheck.questions.find.tell import best
from wirecheck.questions.mistakes.scene import placed_in

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Sequence

    from wirecheck.engine.world import Setting
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.find.fault import Fault
    from wirecheck.questions.find.tell import Test


class Group(Struct, frozen=True):
    """Faults that no look and no meter tells from each other."""

    faults: tuple[Fault, ...]


class Found(Struct, frozen=True):
    """The answer. right: does the unit without a fault fit too? test: the next one, None where none helps.

    ruled_out: how many of the faults looked at do not fit.
    """

    bench: Bench
    evidence: tuple[Evidence, ...]
    right: bool
    groups: tuple[Group, ...]
    ruled_out: int
    test: Test | None

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault that fits."""
        return tuple(f for g in self.groups for f in g.faults)


def find(bench: Bench, evidence: Sequence[Evidence]) -> Found:
    """The faults that fit the evidence, the likelier kinds first, and the best next test."""
    left = candidates(bench, evidence)
    groups = grouped(bench, left)
    places = [e.setting for e in reversed(evidence) if not is_dead(e)]
    firsts = [g.faults[0] for g in groups]
    done = frozenset(done_key(e) for e in evidence)
    test = best(bench, firsts, places, done) if len(groups) > 1 and places else None
    return Found(
        bench, tuple(evidence), bench.fits(None, evidence), groups, len(bench.faults) - len(left), test
    )


def is_dead(e: Evidence) -> bool:
    """Was this taken with the power off?"""
    return isinstance(e, Measured) and e.meter == "ohms"


def done_key(e: Evidence) -> str:
    """The name of the test that brought this (as `tell.key`)."""
    if isinstance(e, Seen):
        return ""  # other loads and relays may be looked at in the same state
    return f"{e.meter} {e.setting} {e.points}"


def grouped(bench: Bench, left: Iterable[Fault]) -> tuple[Group, ...]:
    """Faults that make the same circuit electrically stand together."""
    found: dict[Hashable, list[Fault]] = {}
    for f in left:
        found.setdefault(bench.signature(f), []).append(f)
    return tuple(Group(tuple(g)) for g in found.values())


def supposed(bench: Bench, loads: Iterable[str]) -> Setting | None:
    """The state nearest to ordinary operation in which the right unit would run all these loads.

    None where it never runs them all at once. Raises TooMany.
    """
    from wirecheck.checks.source import Source

    world = bench.scene.world
    source = Source(world, bench.scene.right, None)
    wanted = every(*(word("after", n, WORKING) for n in loads))
    joint = next(iter(source.where(wanted)), None)
    if joint is None:
        return None
    return joint.setting._replace(bits=placed_in(bench.scene, world, joint.setting))
