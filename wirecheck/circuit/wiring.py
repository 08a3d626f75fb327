"""What hands can change: devices and the conductors between them, as one immutable value."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

from wirecheck import quantity
from wirecheck.circuit.elements import Conductor, Pole
from wirecheck.circuit.nodes import Nodes
from wirecheck.circuit.poles import hertz_of, poles_of
from wirecheck.problem import BadInput, Place, Problem, near

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.design import models
    from wirecheck.design.resolved import ResolvedDevice

T = TypeVar("T")


@dataclass(frozen=True)
class Wiring:
    """Devices and conductors. loose: nodes that are loose ends, W7:K1.T2 (lifted there) or W7.a (cut)."""

    hertz: float
    poles: Mapping[str, Pole]
    devices: Mapping[str, ResolvedDevice]
    conductors: Mapping[str, Conductor]
    conditions: Mapping[str, models.Quantity] = field(default_factory=dict)
    loose: frozenset[str] = frozenset()
    broken: frozenset[str] = frozenset()  # devices that could not be read

    @property
    def splices(self) -> tuple[str, ...]:
        """What conductors end in that is no pole, terminal or loose end, in the order of the conductors."""
        ends = dict.fromkeys(end for wire in self.conductors.values() for end in (wire.a, wire.b))
        return tuple(end for end in ends if not self._held(end))

    def _held(self, node: str) -> bool:
        device = self.devices.get(node.partition(".")[0])
        on_device = device is not None and node.partition(".")[2] in device.terminals
        return on_device or node in self.poles or node in self.loose

    @property
    def capped(self) -> frozenset[str]:
        """Splices in which one conductor ends alone."""
        uses = Counter(end for wire in self.conductors.values() for end in (wire.a, wire.b))
        return frozenset(name for name in self.splices if uses[name] == 1)

    def at(self, node: str) -> tuple[Conductor, ...]:
        """The conductors that end at a node."""
        return tuple(w for w in self.conductors.values() if node in (w.a, w.b))

    def most(self, node: str) -> int | None:
        """How many conductors a terminal takes, where its device says."""
        device = self.devices.get(node.partition(".")[0])
        return None if device is None else device.stacks.get(node.partition(".")[2])


def read_wiring(
    unit: models.UnitFile, devices: Mapping[str, ResolvedDevice], problems: list[Problem]
) -> Wiring:
    """The wiring of a unit file, its devices resolved. Problems are added to."""
    poles = poles_of(unit.supplies, problems)
    declared = {tag: unit.key_place("devices", tag) for tag in unit.devices}
    _clashes(unit, declared, problems)
    _slips(unit, declared, problems)
    nodes = Nodes(devices, declared, poles, None)
    wires = [*_wires(unit, nodes, problems), *_rungs(unit, nodes, problems)]
    _twice(wires, problems)
    conductors = {w.id: w for w in wires}
    wiring = Wiring(
        hertz_of(unit.supplies, problems), poles, devices, conductors, unit.conditions,
        broken=frozenset(unit.devices) - frozenset(devices),
    )  # fmt: skip
    _stacks(wiring, problems)
    return wiring


def conductor(wire: models.Wire, a: str, b: str) -> Conductor:
    """A conductor as the file describes it, between two nodes."""
    insulation = wire.insulation
    return Conductor(
        id=wire.id, a=a, b=b, color=wire.color, gauge=wire.gauge, awg=awg(wire.gauge),
        insulation_volts=insulation.volts if insulation else None,
        insulation_degc=insulation.degC if insulation else None,
        route=wire.route, label=wire.label, length=wire.length,
        length_m=None if wire.length is None else quantity.length_m(wire.length), place=wire.place(),
    )  # fmt: skip


def awg(gauge: str | None) -> float | None:
    """The AWG number of a gauge; 1/0 is 0, 2/0 is -1; None for square millimetres."""
    return None if gauge is None else quantity.gauge(gauge).awg


def _tried(find: Callable[[str, Place], T], text: str, place: Place, problems: list[Problem]) -> T | None:
    try:
        return find(text, place)
    except BadInput as bad:
        problems.extend(bad.problems)
        return None


def _wires(unit: models.UnitFile, nodes: Nodes, problems: list[Problem]) -> Iterator[Conductor]:
    for wire in unit.wires:
        a = _tried(nodes.end, wire.from_, wire.place("from_"), problems)
        b = _tried(nodes.end, wire.to, wire.place("to"), problems)
        if a is not None and a == b:
            message = f"{wire.id} goes from {a} to {a}; a conductor joins two places."
            problems.append(Problem("wire-to-itself", message, wire.place("to")))
        elif a is not None and b is not None:
            yield conductor(wire, a, b)


def _rungs(unit: models.UnitFile, nodes: Nodes, problems: list[Problem]) -> Iterator[Conductor]:
    """ID.1, ID.2 … between neighbours in a rung's path; none where both ends are one terminal."""
    for rung in unit.rungs:
        ways = [_tried(nodes.way, item, rung.place("path", i), problems) for i, item in enumerate(rung.path)]
        number = 0
        for index, (left, right) in enumerate(pairwise(ways)):
            if left is None or right is None or left[1] == right[0]:
                continue
            number += 1
            yield Conductor(
                f"{rung.id}.{number}", left[1], right[0], rung.color, rung.gauge, awg(rung.gauge),
                place=rung.place("path", index + 1),
            )  # fmt: skip


def _twice(wires: list[Conductor], problems: list[Problem]) -> None:
    first: dict[str, Conductor] = {}
    for wire in wires:
        other = first.setdefault(wire.id, wire)
        if other is not wire and wire.place and other.place:
            message = f"the conductor {wire.id} stands here a second time."
            others = ((other.place, "the first"),)
            problems.append(Problem("conductor-id-twice", message, wire.place, others))


def _slips(unit: models.UnitFile, declared: Mapping[str, Place], problems: list[Problem]) -> None:
    """A bare name that stands once and looks like a device's tag is a slip of the pen, not a capped end."""
    said = [(wire.from_, wire.place("from_")) for wire in unit.wires]
    said += [(wire.to, wire.place("to")) for wire in unit.wires]
    said += [(item, rung.place("path", i)) for rung in unit.rungs for i, item in enumerate(rung.path)]
    uses = Counter(name for name, _ in said)
    for name, place in said:
        bare = "." not in name and name not in declared and name not in unit.supplies
        tags = near(name, declared) if bare and uses[name] == 1 else ()
        if tags:
            message = f"{name} is no device, and as a splice it joins nothing. Meant {tags[0]}?"
            others = ((declared[tags[0]], f"{tags[0]} stands here"),)
            problems.append(Problem("unknown-device", message, place, others))


def _clashes(unit: models.UnitFile, declared: Mapping[str, Place], problems: list[Problem]) -> None:
    for name in unit.supplies:
        if name in declared:
            message = f"{name} is the name of a supply and of a device; terminals would be confused."
            others = ((unit.key_place("supplies", name), "the supply"),)
            problems.append(Problem("name-twice", message, declared[name], others))


def _stacks(wiring: Wiring, problems: list[Problem]) -> None:
    """More conductors at a terminal than it takes."""
    ends: dict[str, list[Conductor]] = {}
    for wire in wiring.conductors.values():
        for end in (wire.a, wire.b):
            ends.setdefault(end, []).append(wire)
    for node, wires in ends.items():
        most = wiring.most(node)
        place = None if most is None or len(wires) <= most else wires[most].place
        if most is None or len(wires) <= most or place is None:
            continue
        message = f"{node} takes {count(most)}, this is number {most + 1}: {', '.join(w.id for w in wires)}."
        others = tuple((w.place, w.id) for w in wires[:most] if w.place)
        problems.append(Problem("terminal-full", message, place, others))


def count(number: int) -> str:
    """A number of conductors, in words."""
    return "one conductor" if number == 1 else f"{number} conductors"
