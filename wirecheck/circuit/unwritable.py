"""What of a unit as changed a unit file cannot say, and the names that splices must take to be said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.hands import origin
from wirecheck.problem import Place, Problem, near

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Changed, Circuit


def unwritable(changed: Changed) -> Iterator[Problem]:
    """Each loose end, and each conductor that comes back to where it starts, at the step that left it so."""
    for wire in changed.after.conductors.values():
        place = _last_step(changed, wire.id)
        for end in (wire.a, wire.b):
            if end in changed.after.loose:
                message = (
                    f"the end of {wire.id} from {origin(end)} is left loose; a unit file has no loose end."
                )
                hint = f"Land it, cap it (splice: {{name: …, join: [{wire.id}]}}), or remove {wire.id}."
                yield Problem("not-in-a-unit-file", message, place, (), hint)
        if wire.a == wire.b:
            message = f"both ends of {wire.id} are on {wire.a}; a unit file has no such conductor."
            yield Problem("not-in-a-unit-file", message, place, (), f"Remove {wire.id}; it joins nothing.")


def _last_step(changed: Changed, wire: str) -> Place:
    """The last step that had this conductor in hand."""
    found = [step.place for step in changed.steps if wire in step.wires and step.place is not None]
    return found[-1] if found else Place("(change)")


def splice_names(circuit: Circuit) -> dict[str, str]:
    """Splice -> another name, where a unit file would take its own for something else.

    A point in a name makes it a terminal's; a lone end whose name is like a device's tag a slip of the pen.
    """
    supplies = {pole.supply for pole in circuit.poles.values()}
    taken = {*circuit.splices, *circuit.devices, *supplies}
    found: dict[str, str] = {}
    for name in sorted(circuit.splices):
        new = name.replace(".", "-")
        if name in circuit.capped and near(new, circuit.devices):
            new = f"capped-{new}"
        while new != name and new in taken:
            new += "-x"
        if new != name:
            found[name] = new
            taken.add(new)
    return found
