"""Whether a device type hangs together: its elements lie between its points, its contacts have a mover."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.design.contradict import contradictions
from wirecheck.design.fieldset import START_INPUTS, coils_of, position_of, tapped
from wirecheck.design.kinds import Contact, Transformer, Winding, figures_given
from wirecheck.design.models import Device
from wirecheck.problem import Problem, meant

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.design.models import DeviceType, Element

SWITCH_WORDS = ("senses", "rests", "resets", "trips", "contact", "terminals", "taps")


def check_type(name: str, kind: DeviceType) -> Iterator[Problem]:
    """Every problem of a type, each at its place."""
    yield from _points(name, kind)
    yield from _names(name, kind)
    for element, spec in kind.elements.items():
        yield from _ends(name, kind, element, spec)
        yield from contradictions(f"type {name}", element, spec, figures_given(spec), spec.place)
        if isinstance(spec, Contact):
            yield from _mover(name, kind, element, spec)
    yield from _positions(name, kind)
    yield from _motor(name, kind)


def _points(name: str, kind: DeviceType) -> Iterator[Problem]:
    if kind.terminals == "counted":
        if kind.elements:
            message = f"type {name}: with counted terminals there are no elements; use `joined`."
            yield Problem("type-form", message, kind.key_place("elements"))
        return
    if not kind.terminals:
        yield Problem("type-form", f"type {name} has no terminals.", kind.place("terminals"))
    seen: set[str] = set()
    for field, names in (("terminals", kind.terminals), ("inside", kind.inside)):
        for number, point in enumerate(names):
            if point in seen:
                yield Problem(
                    "type-form", f"type {name} has two points called {point}.", kind.place(field, number)
                )
            seen.add(point)


def _names(name: str, kind: DeviceType) -> Iterator[Problem]:
    """A device's own fields must not be hidden by an element's or a position's name."""
    taken = {*Device.model_fields, *SWITCH_WORDS}
    for element, spec in kind.elements.items():
        if element in taken and not (element == "contact" and isinstance(spec, Contact)):
            message = (
                f"type {name}: an element cannot be called {element}; devices have a field of that name."
            )
            yield Problem("bad-name", message, kind.key_place("elements", element))
    for number, position in enumerate(kind.positions):
        if position in taken:
            message = (
                f"type {name}: a position cannot be called {position}; devices have a field of that name."
            )
            yield Problem("bad-name", message, kind.place("positions", number))
        if position in coils_of(kind):
            message = f"type {name}: {position} is a coil and a position; give them two names."
            yield Problem("type-form", message, kind.place("positions", number))


def _ends(name: str, kind: DeviceType, element: str, spec: Element) -> Iterator[Problem]:
    fields = ("primary", "secondary") if isinstance(spec, Transformer) else ("across",)
    points = [*(() if kind.terminals == "counted" else kind.terminals), *kind.inside]
    for field in fields:
        ends: tuple[str, ...] = getattr(spec, field)
        if len(ends) < 2:
            message = f"type {name}: {element}.{field} has {len(ends)} terminals; 2 or more are expected."
            yield Problem("wrong-count", message, spec.place(field))
        for number, end in enumerate(ends):
            if end not in points:
                message = (
                    f"type {name} has no terminal {end}; it has {', '.join(points)}.{meant(end, points)}"
                )
                yield Problem("unknown-terminal", message, spec.place(field, number))
            elif end in ends[:number]:
                message = f"type {name}: both ends of {element} are at {end}."
                yield Problem("type-form", message, spec.place(field, number))


def _mover(name: str, kind: DeviceType, element: str, spec: Contact) -> Iterator[Problem]:
    coils, mover = coils_of(kind), spec.moved_by
    known = [*coils, *kind.positions, *START_INPUTS]
    if mover is not None and mover not in known:
        near = meant(mover, known)
        message = f"type {name}: {element} is moved by {mover}, which is neither a coil nor a position.{near}"
        yield Problem("unknown-mover", message, spec.place("moved_by"))
    if mover is None and len(kind.positions) > 1:
        message = f"type {name}: {element} needs `moved_by`, one of {', '.join([*coils, *kind.positions])}."
        yield Problem("missing-key", message, kind.key_place("elements", element))
    if spec.late is not None and mover not in coils:
        message = f"type {name}: {element} is late, so a coil must move it."
        yield Problem("type-form", message, spec.place("late"))


def unsaid_movers(kind: DeviceType) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Contacts of which nothing says what moves them, and coils that may be meant to: they move nothing.

    Both empty where there are not both. A potential relay's coil moves nothing, and is known for that.
    """
    contacts = {n: e for n, e in kind.elements.items() if isinstance(e, Contact)}
    movers = {e.moved_by for e in contacts.values()}
    unsaid = tuple(n for n, e in contacts.items() if e.moved_by is None and e.listed)
    idle = tuple(coil for coil in coils_of(kind) if coil not in movers)
    return (unsaid, idle) if unsaid and idle and not kind.positions and "atspeed" not in movers else ((), ())


def _positions(name: str, kind: DeviceType) -> Iterator[Problem]:
    used = {position_of(kind, e) for e in kind.elements.values() if isinstance(e, Contact)}
    for number, position in enumerate(kind.positions):
        if position in kind.positions[:number]:
            message = f"type {name} has two positions called {position}."
            yield Problem("type-form", message, kind.place("positions", number))
        elif position not in used:
            message = f"type {name}: no contact is moved by the position {position}."
            yield Problem("unused-position", message, kind.place("positions", number))


def _motor(name: str, kind: DeviceType) -> Iterator[Problem]:
    """The windings must be those of the motor that the type reads."""
    windings = [n for n, e in kind.elements.items() if isinstance(e, Winding)]
    mains = tapped(kind) or tuple(n for n in windings if n == "main")
    match kind.reads:
        case None:
            fault = ""
        case "psc":
            good = {*mains, "aux"} == set(windings) and mains
            fault = "" if good else "the windings `main` (or one for each `tap`) and `aux`"
        case "1ph":
            fault = "" if len(windings) == 1 else "one winding"
        case "3ph":
            fault = "" if len(windings) == 3 else "three windings"
    if fault:
        found = ", ".join(windings) or "none"
        message = f"type {name} reads {kind.reads}, which needs {fault}; it has {found}."
        yield Problem("motor-windings", message, kind.place("reads"))
