"""Blown fuses: what a state with an open fuse pardons (contract section 6)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.answers import WORKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair


def open_fuses(pair: Pair, case: Case) -> frozenset[str]:
    """Devices of type fuse that stand open in this state, in either unit.

    One that nothing is wired to, or that `given` holds open in every state, is no blown fuse: it would pardon
    whatever the change does.
    """
    return frozenset(
        i.device
        for circuit in (pair.changed.after, pair.changed.before)
        for i in circuit.inputs.values()
        if circuit.devices[i.device].fuse and i.listed and i.given is None
        if i.word(pair.world.position(circuit, i.name, case.setting)) == "open"
    )


def pardoned(pair: Pair, case: Case, name: str) -> bool:
    """Is a load or relay pardoned in this state: brought, or hanging on what the change brings?

    Everything is, where the change brings the blown fuse itself.
    """
    fuses = open_fuses(pair, case)
    if not fuses:
        return False
    if fuses & pair.changed.brought:
        return True
    return pair.is_brought(name) or name in hanging_on_brought(pair, case)


def started(pair: Pair, case: Case, loads: Iterable[str]) -> bool:
    """Does one of these loads run here where it did not before? Then no fuse pardons it."""
    return any(
        case.after.loads[n] in WORKING
        and n in pair.old_name
        and all(b.loads[pair.old_name[n]] not in WORKING for b in case.befores)
        for n in loads
        if n in case.after.loads
    )


def hanging_on_brought(pair: Pair, case: Case) -> frozenset[str]:
    """What is fed through the loads and relays that the change brings, and what their relays switch."""
    from wirecheck.engine.feeds import feeds

    found = set()
    for view in pair.views(case.joint):
        found |= {x for x, y in feeds(view) if pair.is_brought(y)}
    for relay in pair.changed.after.relays.values():
        if pair.is_brought(relay.name):
            found |= switched_by(pair, case, relay.contacts)
    return frozenset(found)


def switched_by(pair: Pair, case: Case, contacts: tuple[str, ...]) -> frozenset[str]:
    """The loads and relays whose word differs in this state with these contacts put the other way."""
    found = set()
    for words in pair.put_other_way(case.joint, contacts):
        found |= {n for n, w in words.loads.items() if case.after.loads[n] != w}
        found |= {n for n, w in words.relays.items() if case.after.relays[n] != w}
    return frozenset(found)
