"""Every single mistake that can be made while a change is carried out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.mistakes import parts, taken, wires
from wirecheck.questions.mistakes.bench import Bench
from wirecheck.questions.mistakes.same import signature

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.mistakes.mistake import Mistake


def generate(changed: Changed, everywhere: bool = False) -> tuple[Mistake, ...]:
    """The mistakes, each once: the same end in the same place is named by its nearest kind.

    everywhere: each end also on one terminal of every net of the unit, for a sweep.
    """
    bench = Bench(changed)
    every = (
        *wires.other_lifted(bench),
        *wires.elsewhere(bench, everywhere),
        *wires.forgotten(bench),
        *wires.exchanged(bench),
        *taken.left_in(bench),
        *taken.other_taken(bench),
        *taken.other_cut(bench),
        *parts.ways_exchanged(bench),
        *parts.put_across(bench),
        *parts.bridged(bench, everywhere),
        *parts.other_sense(bench),
        *parts.coil_volts(bench),
        *parts.bar_for_pole(bench),
        *parts.capacitors_exchanged(bench),
        *parts.wrong_port(bench),
        *parts.earthed(bench),
    )
    found: dict[object, Mistake] = {}
    for mistake in every:
        if mistake is not None:
            found.setdefault(as_wired(mistake), mistake)
    return tuple(found.values())


def as_wired(mistake: Mistake) -> object:
    """What tells one mistake from another: every conductor's ends, and the electrical circuit."""
    wires = mistake.after.conductors.values()
    return frozenset((w.id, w.a, w.b) for w in wires), signature(mistake.after)
