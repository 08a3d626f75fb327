"""The shortest list of things to do and observe after the change: every mistake that matters shows in it."""

from __future__ import annotations

from functools import reduce
from itertools import groupby
from operator import or_
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.questions.lookalikes import isolated
from wirecheck.questions.mistakes import going, meters
from wirecheck.questions.mistakes.cover import cover
from wirecheck.questions.mistakes.hunting import Hunt, Observation
from wirecheck.questions.mistakes.ordering import in_order
from wirecheck.questions.mistakes.scene import by_itself

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.questions.mistakes.cover import Cover
    from wirecheck.questions.mistakes.ordering import Step
    from wirecheck.questions.mistakes.scene import Probe, Scene

METERED = (
    48  # the probes at which a voltmeter is tried, those that take least doing; more would seldom show more
)
WITH_OHMS = 12  # and an ohmmeter, power off

Points = tuple[str, str]


class Acceptance(Struct, frozen=True):
    """steps, in the order of least work. tried: how many observations the list was chosen from.

    spared: were others left out that are harder to come by, and show nothing that no easier one shows?
    """

    steps: tuple[Step, ...]
    tried: int
    spared: bool
    cover: Cover


def hunted(scene: Scene, wrongs: Sequence[Plain], ways: Sequence[Probe], pairs: tuple[Points, ...]) -> Hunt:
    """Every observation: what the loads do; what does not show in that by volts; what does not, by ohms.

    What shows only where a probe is hard to make is looked for by the others too.
    """
    easy = [*(w for w in ways if not scene.strain(w)), *going.eased(scene, ways)]
    hunt = Hunt(scene, wrongs, hard=[w for w in ways if scene.strain(w)])
    for probe in easy:
        hunt.add_look(probe)
    missed = hunt.missed()
    for probe in hunt.hard if missed else ():
        hunt.add_look(probe, missed)
    every = [*easy, *hunt.hard]
    for probe in every[:METERED] if missed else ():
        for points in pairs:
            volts = meters.expected_volts(scene, probe, *points)
            if volts is not None:
                hunt.add(Observation("volts", probe, points, value=volts), missed)
    missed = hunt.missed(strain=0)
    for probe in dead(scene, every)[:WITH_OHMS] if missed else ():
        for points in pairs:
            ohms = meters.expected_ohms(scene, probe, *points)
            if ohms is not None:
                hunt.add(Observation("ohms", probe, points, value=ohms.ohms), missed)
    return hunt


def dead(scene: Scene, ways: Sequence[Probe]) -> list[Probe]:
    """The probes at whose end every disconnect stands open."""
    open_at = isolated(scene.right.circuit)
    places = {n: scene.world.index[n] for n in open_at if n in scene.world.index}
    if not places:
        return []
    still = (p for p in ways if not by_itself(scene, p))
    return [p for p in still if all(p[-1].setting.bits[k] == open_at[n] for n, k in places.items())]


def acceptance(hunt: Hunt) -> Acceptance:
    """The shortest list that is proved at every end of what is estimated."""
    asked = set(hunt.missed())
    while True:
        masks = admitted(hunt)
        taken = cover([(masks.get(k, 0), hunt.cost(k)) for k in hunt.found])
        doubted = {d for k in taken.chosen for d in hunt.hidden(k)} - hunt.doubted
        hunt.doubted |= doubted
        if not doubted:
            lost = [c for c in hunt.missed() if c not in asked]
            if not lost:
                break
            asked |= {*lost}
            _look_harder(hunt, lost)
    steps = tuple(in_order(hunt, taken.chosen))
    return Acceptance(steps, len(masks), bool(hunt.hard) or len(masks) < len(hunt.found), taken)


def _look_harder(hunt: Hunt, lost: Sequence[int]) -> None:
    """The probes of some strain, for circuits that easier ones show only at nominal figures."""
    known = {o.probe for o, _ in hunt.found.values() if o.kind == "look"}
    for probe in hunt.hard:
        if probe not in known:
            hunt.add_look(probe, lost)


def admitted(hunt: Hunt) -> dict[int, int]:
    """Observation -> the mistakes it shows, of those that show some mistake which none easier does."""
    masks = {k: hunt.mask(k) for k in hunt.found}
    seen, found = 0, dict[int, int]()
    for _, group in groupby(sorted(masks, key=hunt.strain), hunt.strain):
        new = {k: masks[k] for k in group if masks[k] & ~seen}
        found |= new
        seen = reduce(or_, new.values(), seen)
    return found
