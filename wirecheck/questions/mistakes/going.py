"""Ways from where a list stands to the next observation, or to it from power-up, the likeliest first."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from wirecheck.checks.live import live_terminals
from wirecheck.questions.lookalikes import isolated
from wirecheck.questions.mistakes.driven import ordinary_setting
from wirecheck.questions.mistakes.scene import MOST_PROBED, Act, onward
from wirecheck.questions.mistakes.walk import easiest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.scene import End, Probe, Scene

    Place = tuple[Setting, frozenset[End]]


def ways(scene: Scene, at: Probe, goal: Probe) -> Iterator[tuple[Probe, bool]]:
    """The acts of a way to where `goal` leads, and whether they begin with power-up. at: () before power.

    Straight on; with a disconnect opened first and closed last, which is how a hand cuts the power; last by
    the supply itself away and back. Whether a way leads to the same has still to be asked.
    """
    yield from ((way, False) for way in (_straight_on(scene, at, goal) if at else ()))
    whole = [*_from_home(scene, goal), goal]
    for way in whole:
        for levers in _switched(scene, way[0].setting):
            found = _through(scene, at, way, levers)
            yield from ((found, not at),) if found is not None else ()
    yield from ((way, True) for way in whole)


def _straight_on(scene: Scene, at: Probe, goal: Probe) -> Iterator[Probe]:
    """On from where the list stands: to the end of a way, or to a place on it and along what is left."""
    for k in range(len(goal), 0, -1):
        if any(act.delay is not None for act in goal[:k]):  # no move makes up for a wait
            found: Probe | None = () if _stands_alike(scene, at, goal[:k]) else None
        else:
            found = moves(scene, at, goal[k - 1].setting)
        if found is not None:
            yield (*found, *goal[k:])


def _stands_alike(scene: Scene, one: Probe, other: Probe) -> bool:
    """Do two ways lead the right unit to the same setting and end?"""
    ends = scene.ends(scene.right, one) == scene.ends(scene.right, other)
    return ends and one[-1].setting == other[-1].setting


def _from_home(scene: Scene, goal: Probe) -> Iterator[Probe]:
    """Power-up with every quantity where it lies in operation, and from there to one setting."""
    if len(goal) > 1:
        return
    setting = goal[0].setting
    usual = ordinary_setting(scene.world, scene.driven.homes)
    felt = (v.set_points is not None for v in scene.world.variables)
    bits = tuple(u if f else b for f, u, b in zip(felt, usual.bits, setting.bits, strict=True))
    start = (Act(usual._replace(bits=bits)),)
    found = moves(scene, start, setting) if scene.world.possible(start[0].setting) else None
    if found is not None:
        yield (*start, *found)


def _switched(scene: Scene, setting: Setting) -> list[tuple[int, ...]]:
    """The disconnects, by variable, that cut the power of a setting: each that does so alone, else all.

    That which stands nearest to the unit first: with it open most is still live ahead of it.
    """
    open_at = isolated(scene.right.circuit)
    closed = tuple(
        k
        for k, v in enumerate(scene.world.variables)
        if v.name in open_at and v.held is None and setting.bits[k] != open_at[v.name]
    )
    live = {k: _live(scene, _turned(setting, k)) for k in closed}
    rest = _live(scene, _turned(setting, *closed)) - _isolating(scene)
    alone = [k for k in closed if live[k] - _isolating(scene) == rest]
    return [(k,) for k in sorted(alone, key=lambda k: -len(live[k]))] or ([closed] if closed else [])


def _live(scene: Scene, setting: Setting) -> frozenset[str]:
    """The terminals of the right unit that are live at power-up, if only by turns."""
    ends = scene.ends(scene.right, (Act(setting),))
    views = (v for bits, end in ends for v in scene.right.views(bits, end))
    return frozenset(t for v in views for t in live_terminals(v))


def _isolating(scene: Scene) -> frozenset[str]:
    devices = scene.right.circuit.devices.values()
    return frozenset(t for d in devices if d.isolates for t in d.terminals)


def _through(scene: Scene, at: Probe, way: Probe, levers: tuple[int, ...]) -> Probe | None:
    """A way that begins with power-up, with these levers open at its beginning and then closed.

    at: where the list stands, with power on: on the way from there they are opened.
    """
    closing = [way[0].setting]
    for k in levers:
        closing.append(_turned(closing[-1], k))
    opened = closing.pop()
    back = (*map(Act, reversed(closing)), *way[1:])
    if not all(scene.world.possible(s) for s in (opened, *closing)):
        return None
    first = moves(scene, at, opened) if at else (Act(opened),)
    return None if first is None else (*first, *back)


def _turned(setting: Setting, *switches: int) -> Setting:
    """A setting with these switches the other way."""
    return setting._replace(bits=tuple(b != (k in switches) for k, b in enumerate(setting.bits)))


def eased(scene: Scene, ways: Sequence[Probe]) -> Iterator[Probe]:
    """Hard ways that begin by an easy one instead, which ends alike: what went before may be remembered."""
    easy: dict[frozenset[End], Probe] = {}
    for way in ways:
        if not scene.strain(way):
            easy.setdefault(scene.ends(scene.right, way), way)
    for way in ways:
        for k in range(1, len(way)) if scene.strain(way) else ():
            start = easy.get(scene.ends(scene.right, way[:k]), ())
            on = straight(scene, start, way[k - 1].setting) if start else None
            if on is not None and not scene.strain((*start, *on, *way[k:])):
                yield (*start, *on, *way[k:])


def moves(scene: Scene, at: Probe, goal: Setting) -> Probe | None:
    """The moves of least strain, then the fewest, from the end of a way to a setting; () where it is there.

    Among many settings straight on, each move nearer; None where there is no such way.
    """
    if scene.world.count() > MOST_PROBED:
        return straight(scene, at, goal)
    free = [k for k, v in enumerate(scene.world.variables) if v.set_points is None]

    def least(place: Place) -> int:
        here = place[0]
        between = sum(abs(a - b) for a, b in zip(here.ranges, goal.ranges, strict=True))
        return between + sum(here.bits[k] != goal.bits[k] for k in free)

    def on(place: Place, way: Probe) -> Iterator[tuple[Place, Act, int]]:
        for to, act, cost in onward(scene, sys.maxsize, place[0], way):
            yield (to, scene.ends(scene.right, (*way, act))), act, cost

    start = at[-1].setting, scene.ends(scene.right, at)
    *_, (place, way) = easiest([(start, at, 0)], on, lambda p: p[0] == goal, least).items()
    return way[len(at) :] if place[0] == goal else None


def straight(scene: Scene, at: Probe, goal: Setting) -> Probe | None:
    """Moves from the end of a way to a setting, each nearer; None where there are none."""
    way = at
    while way[-1].setting != goal:
        here = way[-1].setting
        steps = onward(scene, sys.maxsize, here, way)
        near = [step for step in steps if apart(step[0], goal) < apart(here, goal)]
        if not near:
            return None
        way = (*way, min(near, key=lambda step: step[2])[1])
    return way[len(at) :]


def apart(one: Setting, other: Setting) -> int:
    """How many switches stand otherwise, and how many ranges lie between."""
    differ = sum(a != b for a, b in zip(one.bits, other.bits, strict=True))
    return differ + sum(abs(a - b) for a, b in zip(one.ranges, other.ranges, strict=True))
