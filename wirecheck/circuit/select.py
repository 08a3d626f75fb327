"""Which conductor a step means: by its id, or by what can be seen of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck import quantity
from wirecheck.design.broken import CONDUCTORS, LOOKS, seen_at
from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design.models import WireBySight, WireRef


def choose(ref: WireRef, wiring: Wiring, place: Place) -> Conductor:
    """The one conductor that is meant. Raises BadInput with the candidates where it is none or several."""
    if isinstance(ref, str):
        return _by_id(ref, wiring, place)
    fitting = [wire for wire in wiring.conductors.values() if fits(wire, ref, wiring.loose)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise BadInput([_several(ref, fitting, wiring, place)])
    raise BadInput([_none(ref, wiring, place)])


def _by_id(wire_id: str, wiring: Wiring, place: Place) -> Conductor:
    found = wiring.conductors.get(wire_id)
    if found is not None:
        return found
    of_it = [
        i for i in wiring.conductors if i.startswith(f"{wire_id}.") and i.count(".") == wire_id.count(".") + 1
    ]
    if of_it == [f"{wire_id}.a", f"{wire_id}.b"]:
        says = f" It was cut; say {of_it[0]} or {of_it[1]}."
    elif of_it:
        says = f" It is made of {listed(of_it, 'and')}; say which."
    else:
        says = meant(wire_id, wiring.conductors)
    message = f"no conductor is called {wire_id} at this step.{says}"
    raise BadInput([Problem("unknown-wire", message, place, about=(wire_id, *CONDUCTORS))])


def fits(wire: Conductor, sight: WireBySight, loose: frozenset[str] = frozenset()) -> bool:
    """Whether a conductor looks so. at, to: a terminal, a splice or a whole device, one end each."""
    ends = [(wire.a, wire.b), (wire.b, wire.a)]
    return any(
        _is_at(near, sight.at, loose) and _is_at(far, sight.to, loose) for near, far in ends
    ) and looks_like(wire, sight)


def looks_like(wire: Conductor, sight: WireBySight) -> bool:
    """Whether colour, gauge, route and label are as said."""
    return (
        (sight.color is None or _plain(wire.color) == _plain(sight.color))
        and (sight.gauge is None or _size(wire.gauge) == _size(sight.gauge))
        and (sight.route is None or _plain(wire.route) == _plain(sight.route))
        and (sight.label is None or _plain(wire.label) == _plain(sight.label))
    )


def _is_at(node: str, said: str | None, loose: frozenset[str]) -> bool:
    return said is None or (node not in loose and said in (node, node.partition(".")[0]))


def _plain(text: str | None) -> str | None:
    return None if text is None else " ".join(text.casefold().replace("grey", "gray").split())


def _size(gauge: str | None) -> tuple[int | None, float] | None:
    if gauge is None:
        return None
    size = quantity.gauge(gauge)
    return size.awg, round(size.area_mm2, 6)


def said(sight: WireBySight) -> str:
    """What was asked for, in words."""
    parts = [f"at {sight.at}" if sight.at else "", f"to {sight.to}" if sight.to else ""]
    parts += [
        sight.color or "",
        sight.gauge or "",
        sight.route or "",
        f"marked {sight.label}" if sight.label else "",
    ]
    return ", ".join(part for part in parts if part) or "anything"


def _several(sight: WireBySight, fitting: list[Conductor], wiring: Wiring, place: Place) -> Problem:
    apart = "; ".join(f"{wire.id}: {told(wire, sight.at, wiring.loose)}" for wire in fitting)
    fields = _differing(fitting, wiring.loose, sight.at)
    way = f"Add {listed(fields, 'or')}, or" if fields else "They look alike:"
    hint = f"{way} name it by its id, wire: {fitting[0].id}."
    others = tuple((wire.place, wire.id) for wire in fitting if wire.place is not None)
    message = f"{len(fitting)} conductors fit {said(sight)}: {apart}."
    about = (LOOKS, *CONDUCTORS, *(wire.id for wire in fitting))
    return Problem("ambiguous-wire", message, place, others, hint, about)


def _differing(wires: list[Conductor], loose: frozenset[str], at: str | None) -> list[str]:
    """The things to see by which not all of these are alike."""
    seen: dict[str, set[str | None]] = {
        "color": {wire.color for wire in wires},
        "gauge": {wire.gauge for wire in wires},
        "route": {wire.route for wire in wires},
        "label": {wire.label for wire in wires},
        "to": {far(wire, at, loose) for wire in wires},
    }
    return [name for name, values in seen.items() if len(values) > 1]


def _none(sight: WireBySight, wiring: Wiring, place: Place) -> Problem:
    here = [
        w
        for w in wiring.conductors.values()
        if sight.at and any(_is_at(e, sight.at, wiring.loose) for e in (w.a, w.b))
    ]
    apart = "; ".join(f"{wire.id}: {told(wire, sight.at, wiring.loose)}" for wire in here)
    where = f" At {sight.at}: {apart}." if here else f" No conductor ends at {sight.at}." if sight.at else ""
    ends = [seen_at(end) for end in (sight.at, sight.to) if end]
    about = (LOOKS, *CONDUCTORS, *ends, *(wire.id for wire in here))
    return Problem("unknown-wire", f"no conductor fits {said(sight)}.{where}", place, about=about)


def told(wire: Conductor, at: str | None, loose: frozenset[str]) -> str:
    """What tells a conductor apart: colour, gauge, route, mark, far end."""
    parts = [wire.color or "no colour given", wire.gauge or "no gauge given", wire.route or ""]
    parts += [f"marked {wire.label}" if wire.label else "", far(wire, at, loose)]
    return ", ".join(part for part in parts if part)


def far(wire: Conductor, at: str | None, loose: frozenset[str]) -> str:
    """The far end as seen from `at`; both ends where that is neither."""
    if at is None or not (_is_at(wire.a, at, loose) or _is_at(wire.b, at, loose)):
        return f"{called(wire.a, loose)} to {called(wire.b, loose)}"
    return f"to {called(wire.b if _is_at(wire.a, at, loose) else wire.a, loose)}"


def called(node: str, loose: Iterable[str]) -> str:
    """A node in words."""
    return "a loose end" if node in loose else node


def listed(names: Iterable[str], word: str) -> str:
    """a, b and c."""
    *most, last = [*names] or [""]
    return f"{', '.join(most)} {word} {last}" if most else last
