"""What hands do, one thing at a time, on an immutable wiring; BadInput where it cannot be done."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.nodes import Nodes
from wirecheck.circuit.select import choose, far, listed
from wirecheck.circuit.wiring import count
from wirecheck.design.broken import MOVED, room
from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design.resolved import ResolvedDevice


class Done(Struct, frozen=True):
    """A wiring after one thing was done, and what that was in trade words."""

    wiring: Wiring
    kind: str
    words: str
    wires: tuple[str, ...] = ()
    devices: tuple[str, ...] = ()
    terminals: tuple[str, ...] = ()


def refuse(code: str, message: str, place: Place, hint: str = "", about: Iterable[str] = ()) -> NoReturn:
    """Raise one problem. about: the names that it speaks of."""
    raise BadInput([Problem(code, message, place, (), hint, tuple(about))])


def lift(wiring: Wiring, wire: Conductor, end: str, place: Place) -> Done:
    """Take one end of a conductor off."""
    if end not in (wire.a, wire.b) or end in wiring.loose:
        ends = [e for e in (wire.a, wire.b) if e not in wiring.loose]
        if any(origin(e) == end for e in (wire.a, wire.b) if e in wiring.loose):
            refuse("no-such-end", f"{wire.id} is off {end} already.", place, about=(MOVED, wire.id))
        has = f"it ends on {listed(ends, 'and')}" if ends else "both its ends are loose"
        message = f"{wire.id} does not end on {end}; {has}.{meant(end, ends)}"
        refuse("no-such-end", message, place, about=(MOVED, wire.id))
    node = _loose_node(wiring, f"{wire.id}:{end}")
    words = f"Lift {wire.id} off {end}: {_looks(wire)}{far(wire, end, wiring.loose)}"
    return Done(_put(wiring, wire, end, node, loose={node}), "lift", words, (wire.id,), (), (end,))


def land(wiring: Wiring, wire: Conductor, on: str, end: str | None, place: Place) -> Done:
    """Put a loose end on a terminal or into a splice. `end`: where it came from, where both are loose."""
    node = _loose_end(wiring, wire, end, place)
    check_room(wiring, on, 1, place)
    done = _put(wiring, wire, node, on, gone={node})
    words = f"Land {wire.id} on {on}: {_looks(wire)}{far(done.conductors[wire.id], on, done.loose)}"
    return Done(done, "land", words, (wire.id,), (), (on,))


def run(wiring: Wiring, wire: Conductor, place: Place) -> Done:
    """Lay a new conductor, both ends landed."""
    check_id(wiring, wire.id, place)
    if wire.a == wire.b:
        refuse(
            "wire-to-itself",
            f"{wire.id} goes from {wire.a} to {wire.a}; a conductor joins two places.",
            place,
        )
    for end in (wire.a, wire.b):
        check_room(wiring, end, 1, place)
    looks = ", ".join(t for t in (wire.color, wire.gauge, wire.route, wire.length) if t)
    words = f"Run {wire.id} from {wire.a} to {wire.b}" + (f": {looks}" if looks else "")
    done = replace(wiring, conductors={**wiring.conductors, wire.id: wire})
    return Done(done, "run", words, (wire.id,), (), (wire.a, wire.b))


def splice(wiring: Wiring, name: str, join: Iterable[tuple[str, Place]], place: Place) -> Done:
    """Join loose ends in a new splice; one alone is capped."""
    taken = [*wiring.splices, *wiring.devices, *(p.supply for p in wiring.poles.values())]
    if name in wiring.splices:
        hint = f"Land the end in it: land: {{on: {name}}}."
        refuse("name-twice", f"there is a splice {name} already.", place, hint, (name,))
    if name in taken:
        refuse("name-twice", f"a splice needs a bare name of its own; {name} is not one.", place)
    done, wires = wiring, []
    problems: list[Problem] = []
    for said, at in join:
        try:
            wire, node = _joined(done, said, at)
        except BadInput as bad:
            problems.extend(bad.problems)
            continue
        done = _put(done, wire, node, name, gone={node})
        wires.append(wire.id)
    if problems:
        raise BadInput(problems)
    what = (
        f"Join {listed(wires, 'and')} in splice {name}"
        if len(wires) > 1
        else f"Put splice {name} on {wires[0]}"
    )
    return Done(done, "splice", what, tuple(wires), (), (name,))


def cut(wiring: Wiring, wire: Conductor, place: Place) -> Done:
    """Cut a conductor in two: ID.a on the `from` side, ID.b on the other, an end of each loose."""
    names = f"{wire.id}.a", f"{wire.id}.b"
    for name in names:
        if name in wiring.conductors:
            message = f"{wire.id} cannot be cut: there is a conductor {name} already."
            refuse("conductor-id-twice", message, place, about=(name,))
    near = _loose_node(wiring, names[0])
    halves = {names[0]: replace(wire, id=names[0], b=near)}
    away = _loose_node(wiring, names[1])
    halves[names[1]] = replace(wire, id=names[1], a=away)
    conductors: dict[str, Conductor] = {}
    for wire_id, other in wiring.conductors.items():
        conductors |= halves if wire_id == wire.id else {wire_id: other}
    done = replace(wiring, conductors=conductors, loose=wiring.loose | {near, away})
    words = f"Cut {wire.id} in two: {_looks(wire)}{far(wire, None, wiring.loose)}"
    return Done(done, "cut", words, (wire.id, *names))


def remove_wire(wiring: Wiring, wire: Conductor) -> Done:
    """Take a conductor out altogether."""
    conductors = {i: w for i, w in wiring.conductors.items() if i != wire.id}
    words = f"Remove {wire.id}: {_looks(wire)}{far(wire, None, wiring.loose)}"
    ends = tuple(e for e in (wire.a, wire.b) if e not in wiring.loose)
    done = replace(wiring, conductors=conductors, loose=wiring.loose - {wire.a, wire.b})
    return Done(done, "remove", words, (wire.id,), (), ends)


def remove_device(wiring: Wiring, tag: str) -> Done:
    """Take a device out; the conductors on it are left as loose ends."""
    done, wires = _moved_ends(wiring, tag, {})
    device = wiring.devices[tag]
    done = replace(done, devices={t: d for t, d in wiring.devices.items() if t != tag})
    left = f"; {listed(wires, 'and')} left loose" if wires else ""
    return Done(done, "remove", f"Remove {tag}, {device.type_name}{left}", wires, (tag,))


def replace_device(
    wiring: Wiring, tag: str, new: ResolvedDevice, moves: Mapping[str, str], place: Place
) -> Done:
    """Put `new` where `tag` was. moves: old terminal -> new; others keep their name, or are left loose."""
    old = wiring.devices[tag]
    to = {t: moves.get(t, t) for t in old.terminals if moves.get(t, t) in new.terminals}
    devices = {
        new.tag if t == tag else t: new if t == tag else d
        for t, d in wiring.devices.items()
        if t != new.tag or t == tag
    }
    bare = replace(wiring, devices=devices)
    done, wires = _moved_ends(bare, tag, {f"{tag}.{a}": f"{new.tag}.{b}" for a, b in to.items()})
    for terminal in new.terminals:
        check_room(done, f"{new.tag}.{terminal}", 0, place)
    moved = [f"{a} to {b}" for a, b in to.items() if a != b and done.at(f"{new.tag}.{b}")]
    freed = [i for i in wires if {done.conductors[i].a, done.conductors[i].b} & (done.loose - wiring.loose)]
    by = f"{new.tag}, {new.type_name}" if new.tag != tag else f"a new {new.type_name}"
    how = f"{', '.join(moved)}, the rest terminal for terminal" if moved else "terminal for terminal"
    left = f"; {listed(freed, 'and')} left loose" if freed else ""
    words = f"Replace {tag}, {old.type_name}, by {by}: {how}{left}"
    return Done(done, "replace", words, wires, tuple(dict.fromkeys((tag, new.tag))))


def find_end(wiring: Wiring, text: str, place: Place) -> str:
    """The node on which a conductor is to be landed. Raises BadInput."""
    declared = {tag: device.device.place() for tag, device in wiring.devices.items()}
    return Nodes(wiring.devices, declared, wiring.poles, wiring.splices).end(text, place)


def check_id(wiring: Wiring, wire_id: str, place: Place) -> None:
    """Whether a new conductor may have this id. Raises BadInput."""
    if wire_id not in wiring.conductors:
        return
    other = wiring.conductors[wire_id].place
    others = () if other is None else ((other, "the first"),)
    message = f"there is a conductor {wire_id} already; a new one needs an id of its own."
    raise BadInput([Problem("conductor-id-twice", message, place, others, about=(wire_id,))])


def check_room(wiring: Wiring, node: str, more: int, place: Place) -> None:
    """Whether `more` conductors go on a terminal besides those there. Raises BadInput."""
    most, there = wiring.most(node), wiring.at(node)
    if most is not None and len(there) + more > most:
        has = listed([w.id for w in there], "and") or "none"
        about = (MOVED, room(node), *(w.id for w in there))
        refuse("terminal-full", f"{node} takes {count(most)}, and has {has}.", place, about=about)


def origin(node: str) -> str:
    """The terminal that a loose end was lifted off; the end's own name where it was cut."""
    return node.partition(":")[2].rstrip("'") or node


def _loose_end(wiring: Wiring, wire: Conductor, end: str | None, place: Place) -> str:
    loose = [e for e in dict.fromkeys((wire.a, wire.b)) if e in wiring.loose]
    if not loose:
        on = listed([wire.a, wire.b], "and")
        message = f"{wire.id} has no loose end; it ends on {on}."
        refuse("no-loose-end", message, place, "Lift it first.", (MOVED, wire.id))
    if end is None:
        if len(loose) > 1:
            ends = listed([origin(e) for e in loose], "or")
            message = f"both ends of {wire.id} are loose; say which by `end`: {ends}."
            refuse("no-loose-end", message, place, about=(MOVED, wire.id))
        return loose[0]
    fitting = [e for e in loose if end in (e, origin(e))]
    if not fitting:
        from_ = listed([origin(e) for e in loose], "and")
        message = f"{wire.id} has no loose end from {end}; it has one from {from_}."
        refuse("no-loose-end", message, place, about=(MOVED, wire.id))
    return fitting[0]


def _joined(wiring: Wiring, said: str, place: Place) -> tuple[Conductor, str]:
    """The conductor and the loose end that `join` names: W7, W7.a, or W7:K1.T2 where both are loose."""
    wire_id, colon, end = said.partition(":")
    wire = choose(said if said in wiring.conductors else wire_id, wiring, place)
    return wire, _loose_end(wiring, wire, end if colon else None, place)


def _put(
    wiring: Wiring, wire: Conductor, old: str, new: str,
    loose: Iterable[str] = (), gone: Iterable[str] = (),
) -> Wiring:  # fmt: skip
    """One end of a conductor moved from one node to another."""
    moved = replace(wire, a=new) if wire.a == old else replace(wire, b=new)
    return replace(
        wiring,
        conductors={**wiring.conductors, wire.id: moved},
        loose=(wiring.loose | frozenset(loose)) - frozenset(gone),
    )


def _moved_ends(wiring: Wiring, tag: str, to: Mapping[str, str]) -> tuple[Wiring, tuple[str, ...]]:
    """Every end on a device moved as `to` says, or left loose; and which conductors they are of."""
    done, wires = wiring, []
    for wire in wiring.conductors.values():
        for end in (wire.a, wire.b):
            if end in wiring.loose or end.partition(".")[0] != tag or "." not in end:
                continue
            wires.append(wire.id)
            node = to.get(end) or _loose_node(done, f"{wire.id}:{end}")
            done = _put(done, done.conductors[wire.id], end, node, loose=() if end in to else {node})
    return done, tuple(dict.fromkeys(wires))


def _loose_node(wiring: Wiring, name: str) -> str:
    """A name for a new loose end that no node has."""
    taken = {end for wire in wiring.conductors.values() for end in (wire.a, wire.b)}
    taken |= {f"{tag}.{t}" for tag, device in wiring.devices.items() for t in device.terminals}
    while name in taken:
        name += "'"
    return name


def _looks(wire: Conductor) -> str:
    return "".join(f"{text}, " for text in (wire.color, wire.gauge) if text)
