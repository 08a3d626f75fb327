"""Networks and changes as unit and change files, as a user would write them (contract.md 2 and 3)."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from tests.benchmark.networks import HOT, RETURN

if TYPE_CHECKING:
    import random
    from pathlib import Path

    from tests.benchmark.networks import Network

Spare = tuple[str, bool]  # of an input or relay: a contact that nothing is wired to; breaks?
# All figures stand in the file, so that nothing is estimated.
COIL = "coil: {volts: 24, va: 8, inrush: 24, pick_up: 85, drop_out: 60}"
LAMP = "{type: lamp, volts: 24, watts: 10}"


@dataclass(frozen=True)
class Wired:
    """A network on terminals. contacts: its two terminals, in the network's order; wires: id -> both ends."""

    contacts: list[tuple[str, str]]
    spares: list[tuple[str, str]]
    wires: dict[str, tuple[str, str]]
    nets: list[list[str]]  # terminals of each net
    rows: dict[str, str]  # device tag -> its line
    types: dict[str, list[str]]


def wired(net: Network, rng: random.Random, spares: list[Spare] | None = None) -> Wired:
    """Terminals for every contact and load, each net daisy-chained in a drawn order."""
    poles: list[list[str]] = [[] for _ in range(net.nets)]
    poles[HOT].append("MAINS.L")
    poles[RETURN].append("MAINS.N")
    plates = _Plates(net, spares or [])
    for contact, ends in zip(net.contacts, plates.contacts, strict=True):
        poles[contact.a].append(ends[0])
        poles[contact.b].append(ends[1])
    for load in net.loads:
        ends = (
            (f"{load.tag}.A1", f"{load.tag}.A2")
            if load.tag in net.relays
            else (f"{load.tag}.1", f"{load.tag}.2")
        )
        poles[load.a].append(ends[0])
        poles[load.b].append(ends[1])
    for k, n in enumerate(net.strips):
        poles[n].append(f"TS.{k + 1}")
    for terminals in poles:
        rng.shuffle(terminals)
    pairs = [pair for terminals in poles for pair in pairwise(terminals)]
    wires = {f"W{k + 1}": pair for k, pair in enumerate(pairs)}
    return Wired(plates.contacts, plates.spares, wires, poles, plates.rows, plates.types)


class _Plates:
    """The devices of a network: a tag for each input, relay and lamp, a type for each set of contacts."""

    def __init__(self, net: Network, spares: list[Spare]) -> None:
        self.rows: dict[str, str] = {}
        self.types: dict[str, list[str]] = {}
        self.contacts: list[tuple[str, str]] = [("", "")] * len(net.contacts)
        self.spares: list[tuple[str, str]] = [("", "")] * len(spares)
        for tag in (*net.inputs, *net.relays):
            used = [(k, c.breaks) for k, c in enumerate(net.contacts) if c.by == tag]
            free = [(k, breaks) for k, (by, breaks) in enumerate(spares) if by == tag]
            relay = tag in net.relays
            ends = self._device(tag, relay, [b for _, b in (*used, *free)])
            for (k, _), pair in zip(used, ends, strict=False):
                self.contacts[k] = pair
            for (k, _), pair in zip(free, ends[len(used) :], strict=True):
                self.spares[k] = pair
        for load in net.loads:
            if load.tag not in net.relays:
                self.rows[load.tag] = LAMP
        if net.strips:
            self.rows["TS"] = f"{{type: terminal-strip, terminals: {len(net.strips)}}}"

    def _device(self, tag: str, relay: bool, contacts: list[bool]) -> list[tuple[str, str]]:
        """The terminals of each of its contacts; a built-in type where it has one contact."""
        if len(contacts) <= 1 and relay:
            breaks = bool(contacts and contacts[0])
            self.rows[tag] = f"{{type: relay-{'nc' if breaks else 'no'}, {COIL}}}"
            return [(f"{tag}.C", f"{tag}.{'NC' if breaks else 'NO'}")][: len(contacts)]
        if len(contacts) == 1:
            self.rows[tag] = f"{{type: switch, rests: {'closed' if contacts[0] else 'open'}}}"
            return [(f"{tag}.1", f"{tag}.2")]
        marks = "".join("c" if breaks else "o" for breaks in contacts)
        name = f"{'relay' if relay else 'selector'}-{marks}"
        self.types.setdefault(name, _type(relay, contacts))
        self.rows[tag] = f"{{type: {name}, {COIL}}}" if relay else f"{{type: {name}}}"
        return [(f"{tag}.{2 * k + 1}", f"{tag}.{2 * k + 2}") for k in range(len(contacts))]


def _type(relay: bool, contacts: list[bool]) -> list[str]:
    """A type of so many contacts, and a coil where it is a relay."""
    names = [str(k + 1) for k in range(2 * len(contacts))] + (["A1", "A2"] if relay else [])
    by = ", moved_by: coil" if relay else ""
    lines = [f"terminals: [{', '.join(names)}]", "elements:"]
    for k, breaks in enumerate(contacts):
        rests = "closed" if breaks else "open"
        lines.append(f"  c{k + 1}: {{kind: contact, across: [{2 * k + 1}, {2 * k + 2}], rests: {rests}{by}}}")
    return [*lines, "  coil: {kind: coil, across: [A1, A2]}"] if relay else lines


@dataclass
class Steps:
    """A change: its name and its steps, each a line of YAML."""

    name: str
    lines: list[str] = field(default_factory=list)
    runs: int = 0

    def move(self, wire: str, end: str, on: str) -> None:
        """Lift one end of a conductor and land it elsewhere."""
        self.lines.append(f"lift: {{wire: {wire}, end: {end}}}")
        self.lines.append(f"land: {{wire: {wire}, on: {on}}}")

    def run(self, start: str, end: str) -> None:
        self.runs += 1
        self.lines.append(f"run: {{id: R{self.runs}, from: {start}, to: {end}}}")


def write_unit(path: Path, wiring: Wired) -> Path:
    lines = ["unit:", "  name: a drawn network", "supplies:", "  MAINS: {kind: single-phase, volts: 24}"]
    if wiring.types:
        lines.append("types:")
        for name, rows in wiring.types.items():
            lines += [f"  {name}:", *(f"    {row}" for row in rows)]
    lines += ["devices:", *(f"  {tag}: {row}" for tag, row in wiring.rows.items()), "wires:"]
    lines += [f"  - {{id: {i}, from: {a}, to: {b}}}" for i, (a, b) in wiring.wires.items()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def write_change(path: Path, steps: Steps) -> Path:
    lines = ["change:", f"  name: {steps.name}", "steps:", *(f"  - {line}" for line in steps.lines)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
