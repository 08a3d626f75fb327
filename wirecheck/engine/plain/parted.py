"""Why no current flows through a load: what stands open between it and its supply, and why that does.

Read off one network of the plain evaluator; it decides nothing. A way is shown as `route` shows one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.elements import ByCoil, Motor
from wirecheck.engine import figures
from wirecheck.engine.network import unlike
from wirecheck.engine.plain.route import Hop, called, hops, sources, way

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.engine.network import Fixed
    from wirecheck.engine.solver import View

OPEN = "open contact "


class Gap(NamedTuple):
    """What parts something from its supply: contacts that stand open; a transformer that feeds nothing.

    at: in words, where no contact does: both its ends stand alike, or one is joined to no supply.
    """

    contacts: tuple[str, ...]
    core: str | None = None
    at: str = ""


def parted(view: View, name: str) -> tuple[str, ...]:
    """A line for the load, for each transformer that is dead and each relay that is out on its way.

    () where current flows.
    """
    queue, lines = [name], list[str]()
    for thing in queue:
        gap = gap_of(view, thing)
        if gap is None or gap == Gap(()):
            continue
        lines.append(f"{thing} has no current: {words(view, gap)}")
        relays = [r for c in gap.contacts if (r := relay_of(view, c))]
        core = [view.plain.transformers[gap.core].device] if gap.core else []
        queue += [n for n in dict.fromkeys((*core, *relays)) if n not in queue]
    return tuple(lines)


def words(view: View, gap: Gap) -> str:
    """HP stands open (HP.1 to HP.2)."""
    circuit = view.plain.circuit
    contacts = (circuit.contacts[c] for c in gap.contacts)
    each = [f"{called(circuit, c.id)} ({c.a} to {c.b})" for c in contacts]
    found = [] if gap.core is None else [f"{view.plain.transformers[gap.core].device} feeds nothing"]
    if each:
        first, last = ", ".join(each[:-1]), each[-1]
        found.append(f"{first} and {last} stand open" if first else f"{last} stands open")
    return gap.at or "; ".join(found)


def relay_of(view: View, contact: str) -> str | None:
    """The relay that would close a contact by pulling in."""
    c = view.plain.circuit.contacts[contact]
    if not isinstance(c.mover, ByCoil) or c.rests_closed:
        return None
    return next((r.name for r in view.plain.circuit.relays.values() if contact in r.contacts), None)


def gap_of(view: View, name: str) -> Gap | None:
    """What parts a load, a relay's coil or a transformer's primary from its supply, as little as will do.

    None where current flows, or where it is none of these.
    """
    plain = view.plain
    if view.short is not None:
        return None
    core = next((c for c in plain.transformers.values() if c.device == name), None)
    if core is not None:
        a, b, _ = core.windings[0]
        return _least(view, a, b, frozenset(), frozenset()) if _dead(view, core.id) else None
    relay, load = plain.circuit.relays.get(name), plain.circuit.loads.get(name)
    elements = (relay.coil,) if relay is not None else view.elements_of(load) if load is not None else ()
    if not elements or any(abs(view.amps(e, plain.scenario)) > figures.SLACK for e in elements):
        return None
    z = plain.impedances[elements[0]]
    at = _alike(view, z.a, z.b) or _cut_off(view, elements)
    if at:
        return Gap((), None, at)
    # The current of a three-phase motor goes on through another of its windings.
    once = elements[:1] if isinstance(load, Motor) and load.kind == "3ph" else elements
    gap = _least(view, z.a, z.b, frozenset(once), frozenset(elements))
    if gap is None or gap.core is not None:
        return gap
    return gap if gap.contacts and _flows(view, elements, gap.contacts) else None


def _cut_off(view: View, elements: tuple[str, ...]) -> str:
    """Which end of a load nothing joins to any supply, whatever closes; "" where there is a way for each."""
    every, goals = _hops(view), sources(view)
    for e in elements:
        for end in (view.plain.impedances[e].a, view.plain.impedances[e].b):
            if end not in goals and not way(end, goals, every, frozenset({e})):
                return f"nothing joins {end} to a supply, whatever closes"
    return ""


def _flows(view: View, elements: tuple[str, ...], contacts: tuple[str, ...]) -> bool:
    """Does current flow with these contacts closed too?"""
    plain, closed = view.plain, view.shut.union(contacts)
    other = plain.view(tuple(c in closed for c in plain.circuit.contacts), frozenset())
    return any(abs(other.amps(e, plain.scenario)) > figures.SLACK for e in elements)


def _alike(view: View, a: str, b: str) -> str:
    """The pole at whose potential both of these stand, or that they are joined; "" where neither is so."""
    fixed, at = view.network.fixed, (_node(view, a), _node(view, b))
    if at[0] == at[1]:
        return "its two ends are joined"
    if not all(n in fixed for n in at) or not _same(fixed, *at):
        return ""
    pole = next((t for t in view.plain.circuit.poles if _node(view, t) == at[0]), "")
    return f"both its ends stand at the potential of {pole}" if pole else ""


def _dead(view: View, core: str) -> bool:
    """Does nothing drive a transformer?"""
    windings = view.plain.transformers[core].windings
    return all(abs(view.between(a, b, view.plain.scenario)) < figures.LIVE_VOLTS for a, b, _ in windings)


def _least(view: View, a: str, b: str, barred: frozenset[str], own: frozenset[str]) -> Gap | None:
    """The fewest contacts, through no other impedance if there is such a way.

    barred: what is not passed again; own: the other windings of the same motor.
    """
    for more in (view.plain.impedances.keys() - own, frozenset[str]()):
        each = [_through(view, one, other, barred | more) for one, other in ((a, b), (b, a))]
        found = [gap for gap in each if gap is not None]
        if found:
            return min(found, key=lambda gap: len(gap.contacts))
    return None


def _through(view: View, first: str, second: str, barred: frozenset[str]) -> Gap | None:
    """What is open on a way from one end to a source, and from the other to one at another potential."""
    every = _hops(view)
    last = {words for each in every.values() for words, _ in each if words.startswith(OPEN)}
    last |= view.plain.impedances.keys()
    out = _way(view, first, _at(view, sources(view)), every, barred, last)
    if out is None:
        return None
    end = out[-1][1] if out else first
    back = _way(view, second, _others(view, end), every, barred | {w for w, _ in out}, last)
    if back is None:
        return None
    opened = dict.fromkeys(w.removeprefix(OPEN) for w, _ in (*out, *back) if w.startswith(OPEN))
    node, of = view.network.node, view.plain.nets.of
    cores = view.plain.transformers.values()
    dead = (c.id for c in cores if node[of[end]] in {node[of[t]] for t in c.secondary} and _dead(view, c.id))
    return Gap(tuple(opened), next(dead, None))


def _way(
    view: View,
    start: str,
    goals: set[str],
    every: dict[str, list[Hop]],
    barred: frozenset[str],
    last: set[str],
) -> list[Hop] | None:
    """A way to a goal that passes nothing that is held at a potential.

    [] where it begins at a goal, None where there is no way.
    """
    if start in goals:
        return []
    held = _held(view)
    free = {t: leads for t, leads in every.items() if t not in held}
    return way(start, goals, free, barred, last) or None


def _held(view: View) -> set[str]:
    """The terminals at a pole or a secondary's end: where a way ends."""
    known = {t for t in view.plain.circuit.terminals if _node(view, t) in view.network.fixed}
    return known | _at(view, sources(view))


def _node(view: View, terminal: str) -> int:
    return view.network.node[view.plain.nets.of[terminal]]


def _at(view: View, terminals: Iterable[str]) -> set[str]:
    """Every terminal that is joined to one of these."""
    nodes = {_node(view, t) for t in terminals}
    return {t for t in view.plain.circuit.terminals if _node(view, t) in nodes}


def _others(view: View, end: str) -> set[str]:
    """Where the current that comes from one source goes back to: its circuit's own ends at other nodes."""
    plain, at = view.plain, _node(view, end)
    circuits = [{*c.secondary} for c in plain.transformers.values()] + [set(plain.circuit.poles)]
    own = {t for c in circuits if at in {_node(view, t) for t in c} for t in c if _node(view, t) != at}
    fixed = view.network.fixed
    alike = {t for t in own if at in fixed and _node(view, t) in fixed and _same(fixed, at, _node(view, t))}
    return _at(view, own - alike)


def _same(fixed: Fixed, one: int, other: int) -> bool:
    """Are two held nodes at the same potential: N and earth, two poles of one phase?"""
    return not unlike(fixed[one], fixed[other])


def _hops(view: View) -> dict[str, list[Hop]]:
    """Every way that current could take if the open contacts were closed."""
    found = hops(view, idle=True)
    for c in view.plain.circuit.contacts.values():
        if c.id not in view.shut:
            found.setdefault(c.a, []).append((f"{OPEN}{c.id}", c.b))
            found.setdefault(c.b, []).append((f"{OPEN}{c.id}", c.a))
    return found
