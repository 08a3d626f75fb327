"""Insulation of conductors: its volts against those in the same space, its heat against what it extends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.carried import NONE
from wirecheck.checks.ratings.marks import Limit, Mark, Watch
from wirecheck.checks.ratings.moments import exactly
from wirecheck.checks.ratings.noted import note_to_earth

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.ratings.moments import Look
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.circuit.elements import Conductor

Space = dict[str, tuple[float, str]]  # conductor -> (volts, the conductor beside it that has them or "")


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of each conductor's insulation after the change."""
    yield from volts(scene)
    yield from heat(scene)
    yield from not_given(scene)


def volts(scene: Scene) -> Iterator[Mark]:
    """At least the highest volts in the same space (project rule): a conductor's own, or along its route."""
    was = highest(scene, scene.old)
    now = {w.id: w for w in scene.after.conductors.values() if w.insulation_volts is not None}
    watches = {}
    for i, w in now.items():
        old = scene.of_unit(w)
        limit = Limit(w.insulation_volts or 0.0, "V", f"{i}.insulation.volts")
        watches[i] = Watch(i, limit, old is None, None if old is None else was.get(old.id, 0.0))
    for moment in scene.seen:
        note(scene, moment.now, now)
        for i, (v, beside) in spaces(scene, moment.now).items():
            if i in watches:
                where = f" beside {beside}, on the same route" if beside else ""
                watches[i].see(moment.case, exactly(v), f"stands at {{}}{where}")
    for watch in watches.values():
        yield from watch.mark()


def note(scene: Scene, look: Look, limited: dict[str, Conductor]) -> None:
    """Note the estimates that put volts in the space of one of these conductors over its own, or under."""
    view, wires = look.view, look.plain.circuit.conductors
    if not any(map(look.plain.estimates_in, view.parts)):
        return
    for w in wires.values():
        limits = {
            near.insulation_volts
            for near in limited.values()
            if near.insulation_volts and (near.id == w.id or (w.route and near.route == w.route))
        }
        for limit in sorted(limits):
            note_to_earth(view, w.a, limit)
            scene.now.note(look, w.id, "volts", lambda c: c.volts, limit)


def highest(scene: Scene, looks: list[Look]) -> dict[str, float]:
    """Conductor -> the highest volts in its space in any of these networks."""
    found: dict[str, float] = {}
    for look in looks:
        for i, (v, _) in spaces(scene, look).items():
            found[i] = max(found.get(i, 0.0), v)
    return found


def spaces(scene: Scene, look: Look) -> Space:
    """The highest volts in the space of each conductor, in one network."""
    wires = look.plain.circuit.conductors
    own = {i: own_volts(scene, look, w) for i, w in wires.items()}
    top: dict[str, str] = {}
    for i, w in wires.items():
        if w.route and own[i] > own[top.setdefault(w.route, i)]:
            top[w.route] = i
    found: Space = {}
    for i, w in wires.items():
        first = top[w.route] if w.route else i
        found[i] = (own[first], first) if own[first] > own[i] + 1.0 else (own[i], "")
    return found


def own_volts(scene: Scene, look: Look, wire: Conductor) -> float:
    """Volts of a conductor to earth, or across what it feeds where that is more."""
    survey = scene.now if look.plain is scene.pair.after else scene.was
    return max(scene.standing.to_earth(look.view, wire.a), survey.carried(look).get(wire.id, NONE).volts)


def heat(scene: Scene) -> Iterator[Mark]:
    """Heat class at least that of the conductor that is extended. Project rule."""
    for new, old in extended(scene):
        if old.insulation_degc is None or new.insulation_degc is None:
            continue
        own, theirs = f"{new.id}.insulation.degC", f"{old.id}.insulation.degC"
        if new.insulation_degc < old.insulation_degc:
            says = (
                f"is for {new.insulation_degc:g} degC ({own}), below the {old.insulation_degc:g} degC of "
                f"{old.id}, which it extends ({theirs}; project rule: at least its heat class)"
            )
            yield Mark(new.id, "fail", says)
        else:
            says = f"is for {new.insulation_degc:g} degC ({own}); {old.id}, which it extends, for"
            yield Mark(new.id, "pass", f"{says} {old.insulation_degc:g} degC ({theirs})")


def extended(scene: Scene) -> list[tuple[Conductor, Conductor]]:
    """(conductor of the change, conductor of the unit that it goes on from).

    It does by a new splice, or at a terminal that the other was lifted from.
    """
    joints = scene.after.splices - scene.before.splices
    at: dict[str, list[Conductor]] = {}
    for now in scene.after.conductors.values():
        old = scene.of_unit(now)
        if old is not None:
            gone = {old.a, old.b} - {now.a, now.b} if old.id == now.id else set()
            for end in sorted(gone | ({now.a, now.b} & joints)):
                at.setdefault(end, []).append(now)
    return [
        (new, old)
        for new in scene.after.conductors.values()
        if scene.of_unit(new) is None
        for old in {w.id: w for end in (new.a, new.b) for w in at.get(end, ())}.values()
    ]


def not_given(scene: Scene) -> Iterator[Mark]:
    """The conductors of the change whose gauge or insulation the file does not state."""
    carrying = {i for look in scene.new for i, c in scene.now.carried(look).items() if c.amps}
    new = [w for w in scene.after.conductors.values() if scene.of_unit(w) is None and w.id in carrying]
    heated = [n for n, old in extended(scene) if old.insulation_degc is not None]
    for what, fields in (
        ("gauge", [f"{w.id}.gauge" for w in new if w.gauge is None]),
        ("insulation volts", [f"{w.id}.insulation.volts" for w in new if w.insulation_volts is None]),
        ("heat class", [f"{w.id}.insulation.degC" for w in heated if w.insulation_degc is None]),
    ):
        named = tuple(dict.fromkeys(fields))
        if named:
            yield Mark(
                "conductors", "note", f"of the change: {what} not given ({', '.join(named)})", fields=named
            )
