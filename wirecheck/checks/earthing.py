"""What the change takes from earth, and what of a transformer's secondary it ties to earth: always notes.

The page has no check for it, but what an earth fault does hangs on it (`wirecheck explain earth-faults`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.circuit.elements import Transformer
from wirecheck.circuit.nets import nets

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.circuit.graph import Circuit


def notes(before: Circuit, after: Circuit, check: str) -> Iterator[Finding]:
    """A note for each frame or secondary that is earthed otherwise than before. check: where they stand."""
    for terminal in unearthed(before, after):
        says = f"{terminal} is no longer earthed: a fault to it leaves it live and trips nothing"
        yield Finding(check, terminal, "note", says, other="earth")
    for bar in cut_off(before, after):
        says = f"no conductor joins {bar} to the supply's PE any more: what is earthed there is not"
        yield Finding(check, bar, "note", says, other="earth")
    for core in (e for e in after.elements.values() if isinstance(e, Transformer)):
        if core.id not in before.elements:
            continue
        was, now = (earthed(c, core.secondary) for c in (before, after))
        if was == now:
            continue
        ends = f"{core.device}: {_told(was)} earthed before, {_told(now)} after"
        says = f"{ends}; what a control conductor touching earth does hangs on it"
        yield Finding(check, core.device, "note", says, other="earth")


def _told(terminals: set[str]) -> str:
    return f"{' and '.join(sorted(terminals))} is" if terminals else "no end of its secondary is"


def unearthed(right: Circuit, wrong: Circuit) -> list[str]:
    """Frames and other bare landing places that conductors joined to earth and no longer do."""
    bare = [t for d in right.devices.values() if not d.elements and not d.earth for t in d.terminals]
    return [t for t in bare if earthed(right, [t]) and not earthed(wrong, [t])]


def cut_off(before: Circuit, after: Circuit) -> list[str]:
    """Earth bars that a conductor joined to the PE of a supply, and none does any more."""

    def led(circuit: Circuit) -> set[str]:
        joined = nets(circuit.conductors.values(), circuit.elements.values())
        poles = {joined.root(t) for t in circuit.earth if circuit.device_of(t) is None}
        bars = (d for d in circuit.devices.values() if d.earth)
        return {d.tag for d in bars if any(joined.root(t) in poles for t in d.terminals)}

    left = led(after)
    return [tag for tag in before.devices if tag in led(before) - left and tag in after.devices]


def earthed(circuit: Circuit, terminals: Iterable[str]) -> set[str]:
    """Those of these terminals that conductors and links join to earth."""
    joined = nets(circuit.conductors.values(), circuit.elements.values())
    earth = {joined.root(e) for e in circuit.earth}
    return {t for t in terminals if joined.root(t) in earth}
