"""A bonded secondary tied to a supply's N: where nothing else bonds that N, the two circuits are one.

Then N stands on the bar over the secondary alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.earth_ways import EARTH, joins_of
from wirecheck.circuit.elements import Capacitor, Coil, Resistor, Transformer, Winding
from wirecheck.circuit.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Container, Iterable

    from wirecheck.circuit.graph import Circuit

Line = tuple[str, str]


def tied(circuit: Circuit, shut: Container[str]) -> frozenset[frozenset[str]]:
    """Each supply and transformer so tied, in a position of the contacts; shut: those that are closed.

    A secondary that is not bonded is told among chains that do not pass earth, too.
    """
    lines = _lines(circuit, shut)
    return frozenset(
        frozenset({supply, core})
        for supply, core, neutral, end in _chained(circuit, lines)
        if not _bonded(lines, neutral, end)
    )


def may_be_tied(circuit: Circuit) -> bool:
    """Is any so tied in some position of the contacts? True too where none is after all."""
    return bool(_chained(circuit, _lines(circuit, circuit.contacts)))


def _lines(circuit: Circuit, shut: Container[str]) -> list[Line]:
    return joins_of(circuit, [(c.a, c.b) for i, c in circuit.contacts.items() if i in shut])


def _chained(circuit: Circuit, lines: list[Line]) -> list[tuple[str, str, str, str]]:
    """Supply, transformer, N and end of a secondary that a chain joins which passes no PE and no bar."""
    cores = [e for e in circuit.elements.values() if isinstance(e, Transformer)]
    neutrals = [p for p in circuit.poles.values() if p.phasor == 0 and p.terminal not in circuit.earth]
    if not cores or not neutrals:
        return []
    elements = circuit.elements.values()
    over = [(e.a, e.b) for e in elements if isinstance(e, Coil | Resistor | Capacitor | Winding)]
    chains = _along([*lines, *over], {EARTH, *circuit.earth})
    return [
        (n.supply, core.device, n.terminal, end)
        for core in cores
        for end in core.secondary
        for n in neutrals
        if chains.root(n.terminal) == chains.root(end)
    ]


def _bonded(lines: list[Line], neutral: str, end: str) -> bool:
    """Is N bonded by anything but this end of a secondary?"""
    others = _along(lines, {end})
    return others.root(neutral) == others.root(EARTH)


def _along(lines: Iterable[Line], without: Container[str]) -> Joined:
    joined = Joined()
    for a, b in lines:
        if a not in without and b not in without:
            joined.join(a, b)
    return joined
