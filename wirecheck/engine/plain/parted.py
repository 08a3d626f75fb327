"""Why no current flows through a load: what stands open between it and its supply, and why that does.

Read off one network of the plain evaluator; it decides nothing. A way is shown as `route` shows one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.elements import ByCoil
from wirecheck.engine import figures
from wirecheck.engine.plain.route import Hop, called, hops, sources, way

if TYPE_CHECKING:
    from wirecheck.engine.solver import View

OPEN = "open contact "


class Gap(NamedTuple):
    """What parts something from its supply: contacts that stand open; a transformer that feeds nothing."""

    contacts: tuple[str, ...]
    core: str | None = None


def parted(view: View, name: str) -> tuple[str, ...]:
    """A line for the load, for each transformer that is dead and each relay that is out on its way.

    () where current flows.
    """
    queue, lines = [name], list[str]()
    for thing in queue:
        gap = gap_of(view, thing)
        if gap is None:
            continue
        lines.append(f"{thing} has no current: {words(view, gap)}")
        relays = [r for c in gap.contacts if (r := relay_of(view, c))]
        core = [view.plain.transformers[gap.core].device] if gap.core else []
        queue += [n for n in (*core, *relays) if n not in queue]
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
    return "; ".join(found) or "no way leads to its supply, whatever contact closes"


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
        return _least(view, a, b, frozenset()) if _dead(view, core.id) else None
    relay, load = plain.circuit.relays.get(name), plain.circuit.loads.get(name)
    elements = (relay.coil,) if relay is not None else view.elements_of(load) if load is not None else ()
    if not elements or any(abs(view.amps(e, plain.scenario)) > figures.SLACK for e in elements):
        return None
    z = plain.impedances[elements[0]]
    return _least(view, z.a, z.b, frozenset(elements))


def _dead(view: View, core: str) -> bool:
    """Does nothing drive a transformer?"""
    windings = view.plain.transformers[core].windings
    return all(abs(view.between(a, b, view.plain.scenario)) < figures.LIVE_VOLTS for a, b, _ in windings)


def _least(view: View, a: str, b: str, own: frozenset[str]) -> Gap:
    """The fewest contacts, through no other impedance if there is such a way."""
    for barred in (own | view.plain.impedances.keys(), own):
        each = [_through(view, one, other, barred) for one, other in ((a, b), (b, a))]
        found = [gap for gap in each if gap is not None]
        if found:
            return min(found, key=lambda gap: len(gap.contacts))
    return Gap(())


def _through(view: View, first: str, second: str, barred: frozenset[str]) -> Gap | None:
    """What is open on a way from one end to a source, and from the other to one at another potential."""
    every, goals = _hops(view), sources(view)
    last = {words for each in every.values() for words, _ in each if words.startswith(OPEN)}
    last |= view.plain.impedances.keys()
    out = way(first, goals, every, barred, last)
    end = out[-1][1] if out else first
    others = _others(view, end)
    back = way(second, others, every, barred | {w for w, _ in out}, last)
    if (not out and first not in goals) or (not back and second not in others):
        return None
    opened = dict.fromkeys(w.removeprefix(OPEN) for w, _ in (*out, *back) if w.startswith(OPEN))
    cores = (c.id for c in view.plain.transformers.values() if end in c.secondary and _dead(view, c.id))
    return Gap(tuple(opened), next(cores, None))


def _others(view: View, end: str) -> set[str]:
    """Where the current that comes from one source goes back to: its circuit's own ends at other nodes."""
    plain, node, of = view.plain, view.network.node, view.plain.nets.of
    circuits = [{*c.secondary} for c in plain.transformers.values()] + [set(plain.circuit.poles)]
    own = set().union(*(c for c in circuits if end in c))
    return {t for t in own if node[of[t]] != node[of[end]]}


def _hops(view: View) -> dict[str, list[Hop]]:
    """Every way that current could take if the open contacts were closed."""
    found = hops(view, idle=True)
    for c in view.plain.circuit.contacts.values():
        if c.id not in view.shut:
            found.setdefault(c.a, []).append((f"{OPEN}{c.id}", c.b))
            found.setdefault(c.b, []).append((f"{OPEN}{c.id}", c.a))
    return found
