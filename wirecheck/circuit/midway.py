"""The unit in the middle of a change: as it stands after the first of its plain steps, loose ends and all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.assemble import Said, assemble, cuts_of
from wirecheck.circuit.bound import InputIs, QuantityIs, atoms

if TYPE_CHECKING:
    from wirecheck.circuit.bound import Bound
    from wirecheck.circuit.graph import Changed, Circuit


def circuit_at(changed: Changed, number: int) -> Circuit:
    """The unit after the first `number` plain steps, 0 to all of them.

    No sentence is asked of it; what the unit's files hold, or take for impossible, holds as far as it is
    there.
    """
    if number == 0:
        return changed.before
    if number == len(changed.steps):
        return changed.after
    before = changed.before
    name = f"{before.name}, after step {number} of {len(changed.steps)}"
    said = Said(name, before.about, before.refrigerant, before.design, before.place)
    found = assemble(changed.stages[number - 1], said, [])
    given = {n: i.given for c in (before, changed.after) for n, i in c.inputs.items() if i.given is not None}
    inputs = {n: replace(i, given=given.get(n)) for n, i in found.inputs.items()}
    impossible = tuple(row for row in before.impossible if _is_there(row[0], found))
    found = replace(found, inputs=inputs, impossible=impossible)
    return replace(found, cuts=cuts_of(found))


def _is_there(condition: Bound, circuit: Circuit) -> bool:
    """Does the unit have everything that a combination names?"""
    return all(
        (isinstance(a, InputIs) and a.input in circuit.inputs)
        or (isinstance(a, QuantityIs) and a.quantity in circuit.quantities)
        for a in atoms(condition)
    )
