"""What routes tell: openings in sheet metal, power and control in one raceway, splices without an enclosure.

Routes are words of the user's; what they name is taken from the trade's usual words, and said as a remark.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Transformer

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed, Circuit

OPENING = re.compile(r"\b(knock-?outs?|holes?|bulkheads?|through)\b", re.I)
EDGE = re.compile(r"\b(bushings?|bushed|grommets?|fittings?|connectors?|glands?|nipples?)\b", re.I)
INDOORS = re.compile(r"\b(panel|box|enclosure|cabinet|compartment|junction|handhole)\b", re.I)
RACEWAY = re.compile(
    r"\b(conduits?|raceways?|knock-?outs?|sleeves?|tubes?|tubing|ducts?|wireways?|trunking)\b", re.I
)
LOW_VOLTS = 30.0  # a secondary of no more than this is a control circuit; as `ratings` takes it


class Opening(Struct, frozen=True):
    """A way through sheet metal, and the conductors of the change in it. edged: the route names a bushing."""

    route: str
    wires: tuple[str, ...]
    edged: bool


def touched_wires(changed: Changed) -> tuple[Conductor, ...]:
    """The conductors of the unit after that the steps name."""
    named = {w for s in changed.steps for w in s.wires}
    return tuple(w for w in changed.after.conductors.values() if w.id in named)


def new_ones(changed: Changed) -> tuple[Conductor, ...]:
    """The conductors that the unit did not have, halves of a cut one apart."""
    halves = {w for s in changed.steps if s.kind == "cut" for w in s.wires}
    return tuple(
        w
        for i, w in changed.after.conductors.items()
        if i not in changed.before.conductors and i not in halves
    )


def openings(changed: Changed) -> tuple[Opening, ...]:
    """Each route of a new conductor that leads through sheet metal."""
    routes: dict[str, list[str]] = {}
    for wire in new_ones(changed):
        if wire.route and OPENING.search(wire.route):
            routes.setdefault(wire.route, []).append(wire.id)
    return tuple(Opening(r, tuple(wires), bool(EDGE.search(r))) for r, wires in routes.items())


def freed(changed: Changed) -> tuple[str, ...]:
    """Routes through sheet metal that no conductor uses any more."""
    left = {w.route for w in changed.after.conductors.values()}
    gone = dict.fromkeys(
        w.route for w in changed.before.conductors.values() if w.route and w.route not in left
    )
    return tuple(r for r in gone if OPENING.search(r))


def remarks(changed: Changed) -> tuple[str, ...]:
    """What is to be said of the routes of what the change touches."""
    return (*_bare_edges(changed), *_shared(changed), *_splices(changed), *_not_given(changed))


def _bare_edges(changed: Changed) -> Iterator[str]:
    for opening in openings(changed):
        if not opening.edged:
            wires = _listed(opening.wires)
            yield f"{wires} through {opening.route!r}: no bushing is named; fit one before the wire goes in."


def _not_given(changed: Changed) -> Iterator[str]:
    bare = [w.id for w in new_ones(changed) if not w.route]
    if bare:
        yield f"No route is given for {_listed(bare)}: look for sheet metal, heat and power on the way."


def _shared(changed: Changed) -> Iterator[str]:
    kinds = circuits(changed.after)
    routes = dict.fromkeys(w.route for w in touched_wires(changed) if w.route)
    for route in routes:
        if INDOORS.search(route) and not RACEWAY.search(route):
            continue
        beside = [w for w in changed.after.conductors.values() if w.route == route]
        line = [w.id for w in beside if "line" in kinds.get(w.a, ())]
        control = [w.id for w in beside if kinds.get(w.a, frozenset()) == frozenset({"control"})]
        if line and control:
            yield (
                f"{_listed(line)} (line) and {_listed(control)} (control, {LOW_VOLTS:g} V or less) in one "
                f"raceway, {route!r}: a class 2 circuit needs a raceway of its own, a barrier, or insulation "
                "for the highest volts there (from memory: NEC 725.136); look what the local code says."
            )


def circuits(circuit: Circuit) -> dict[str, frozenset[str]]:
    """Node -> the circuits that it can come to hang on: line, control. Earth and transformers part them."""
    near: dict[str, list[str]] = {}
    pairs = [(w.a, w.b) for w in circuit.conductors.values()]
    pairs += [(e.a, e.b) for e in circuit.elements.values() if not isinstance(e, Transformer)]
    for a, b in pairs:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    found: dict[str, set[str]] = {}
    for kind, starts in (("line", _line_ends(circuit)), ("control", _control_ends(circuit))):
        for node in _reached(near, starts, circuit.earth):
            found.setdefault(node, set()).add(kind)
    return {n: frozenset(k) for n, k in found.items()}


def _line_ends(circuit: Circuit) -> list[str]:
    high = [t for e in _secondaries(circuit) if abs(e.windings[-1][2]) > LOW_VOLTS for t in e.secondary]
    return [t for t, pole in circuit.poles.items() if abs(pole.phasor) > LOW_VOLTS or t.endswith(".N")] + high


def _control_ends(circuit: Circuit) -> list[str]:
    return [t for e in _secondaries(circuit) if abs(e.windings[-1][2]) <= LOW_VOLTS for t in e.secondary]


def _secondaries(circuit: Circuit) -> list[Transformer]:
    return [e for e in circuit.elements.values() if isinstance(e, Transformer)]


def _reached(near: dict[str, list[str]], starts: Iterable[str], stops: frozenset[str]) -> set[str]:
    seen = {s for s in starts if s not in stops}
    queue = list(seen)
    for at in queue:
        new = [n for n in near.get(at, ()) if n not in seen and n not in stops]
        seen.update(new)
        queue.extend(new)
    return seen


def _splices(changed: Changed) -> Iterator[str]:
    """New splices that lie where no enclosure is named: at a load, or along the route of a conductor cut."""
    for name in sorted(changed.after.splices - changed.before.splices):
        why = _outside(changed, name)
        if why:
            yield f"Splice {name} {why}: a splice belongs in an enclosure that can be opened again."


def _outside(changed: Changed, splice: str) -> str:
    joined = [w for w in changed.after.conductors.values() if splice in (w.a, w.b)]
    for wire in joined:
        cut = next((s for s in changed.steps if s.kind == "cut" and wire.id in s.wires[1:]), None)
        if cut is not None and not (wire.route and INDOORS.search(wire.route)):
            where = f"in its route, {wire.route!r}" if wire.route else "on its way, whose route is not given"
            return f"lies where {cut.wires[0]} is cut, {where}"
        lifted = _lifted_at(changed, wire, splice)
        device = changed.before.device_of(lifted) if lifted else None
        if device is not None and _is_field(changed.before, device.tag):
            return f"lies at {lifted}, outside the panel as far as the file tells"
    return ""


def _lifted_at(changed: Changed, wire: Conductor, splice: str) -> str:
    """The terminal that the end of a conductor in this splice was taken off; "" where it is new."""
    old = changed.before.conductors.get(wire.id)
    if old is None:
        return ""
    return old.a if wire.a == splice != old.a else old.b if wire.b == splice != old.b else ""


def _is_field(circuit: Circuit, tag: str) -> bool:
    """Does a device stand out on the machine: a load, or a switch that senses a quantity?"""
    senses = any(circuit.inputs[i].set_points is not None for i in circuit.devices[tag].inputs)
    return senses or any(load.device == tag for load in circuit.loads.values())


def _listed(names: Iterable[str]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last
