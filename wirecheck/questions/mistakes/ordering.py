"""The observations of a list in the order of least work, and the way from each to the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.questions.mistakes import going

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wirecheck.questions.mistakes.driven import Moved
    from wirecheck.questions.mistakes.hunting import Hunt, Observation
    from wirecheck.questions.mistakes.scene import Probe, Scene

TRIPS = 6  # making a protection trip is as much doing as so many switches set by hand


class Step(Struct, frozen=True):
    """One step of the list. way: the acts that lead here from the step before; again: from power-up instead.

    shows: number of a mistaken circuit -> what it would show. moved: the quantity that each act moves.
    carried: pressures that have to stand at power-up where only the running unit brings them. passing: that
    do not stay where they are when the step is read. tripped: protections that no quantity of the file moves,
    and that are tripped on the way.
    """

    observation: Observation
    way: Probe
    again: bool
    shows: dict[int, str]
    moved: tuple[Moved | None, ...] = ()
    carried: tuple[Moved, ...] = ()
    passing: tuple[str, ...] = ()
    tripped: tuple[str, ...] = ()


def in_order(hunt: Hunt, taken: Sequence[int]) -> Iterator[Step]:
    """For each set of mistakes the nearest observation that shows them, the nearest next; ohms before power.

    None is harder to come by than the one that was chosen for them.
    """
    left = [(hunt.mask(k), hunt.strain(k)) for k in taken]
    at: Probe = ()
    while left:
        near = sorted(
            (o.kind != "ohms", 2 * _distance(hunt, at, o) + hunt.cost(k), k, mask, most)
            for mask, most in left
            for k, (o, _) in hunt.found.items()
            if mask & ~hunt.mask(k) == 0 and hunt.strain(k) <= most
        )
        k, mask, most = next((k, mask, most) for *_, k, mask, most in near if hunt.hidden(k) <= hunt.doubted)
        left.remove((mask, most))
        step = gone_to(hunt, at, hunt.found[k][0], hunt.shown(k))
        at = () if step.observation.kind == "ohms" else step.way if step.again else (*at, *step.way)
        yield step


def gone_to(hunt: Hunt, at: Probe, o: Observation, circuits: Sequence[int]) -> Step:
    """An observation made from where the list stands: by the way of least strain that shows as much."""
    scene = hunt.scene
    if o.kind == "ohms":
        return Step(o, o.probe[-1:], True, {c: hunt.text(o, hunt.wrongs[c]) for c in circuits})
    found = [(w, again, () if again else at) for w, again in going.ways(scene, at, o.probe)]
    found.sort(key=lambda way: scene.strain((*way[2], *way[0])) - (scene.strain(way[2]) if way[2] else 0))
    way, again, before = next(f for f in found if _leads(hunt, (*f[2], *f[0]), o, circuits))
    whole = (*before, *way)
    moved = tuple(_moved(scene, whole[: k + 1]) for k in range(len(before), len(whole)))
    carried = tuple(scene.driven.away(way[0].setting, frozenset())) if again else ()
    away = scene.driven.away(whole[-1].setting, scene.running(whole))
    passing = tuple(m.quantity for m in away if m.how == "driven")
    shows = {c: hunt.text(o, hunt.wrongs[c], whole) for c in circuits}
    return Step(o, way, again, shows, moved, carried, passing, tuple(_tripped(scene, before, way)))


def _moved(scene: Scene, whole: Probe) -> Moved | None:
    """The quantity that the last act of a way moves."""
    if len(whole) < 2:
        return None
    return scene.driven.moved(whole[-2].setting, whole[-1].setting, scene.running(whole[:-1]))


def _tripped(scene: Scene, before: Probe, way: Probe) -> Iterator[str]:
    """The protections that no quantity moves and that a way trips."""
    stood = set(scene.hard.tripped(before[-1].setting)) if before else set()
    for v in scene.world.variables:
        stands = any(v.name in scene.hard.tripped(act.setting) for act in way)
        if v.set_points is None and stands and v.name not in stood:
            yield v.name


def _leads(hunt: Hunt, whole: Probe, o: Observation, circuits: Sequence[int]) -> bool:
    """Does a way lead the right unit to the same end, and is every mistake still shown for certain there?"""
    scene = hunt.scene
    same = whole == o.probe or scene.ends(scene.right, whole) == scene.ends(scene.right, o.probe)
    return same and all(hunt.sure(o, c, whole) for c in circuits)


def _distance(hunt: Hunt, at: Probe, observation: Observation) -> int:
    """How far an observation lies from where the list stands, in switches and ranges; 0 at its beginning."""
    if not at:
        return 0
    one, other = at[-1].setting, observation.probe[-1].setting
    return going.apart(one, other) + TRIPS * sum(
        a != b and hunt.scene.right.circuit.inputs[v.name].tripped == b
        for v, a, b in zip(hunt.scene.world.variables, one.bits, other.bits, strict=True)
    )
