"""What hands can change: devices and the conductors between them, as one immutable value."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck import quantity
from wirecheck.circuit.elements import Conductor, Pole
from wirecheck.circuit.nodes import Nodes
from wirecheck.circuit.poles import hertz_of, poles_of
from wirecheck.design.broken import CONDUCTORS, LOOKS, NODES, Broken, room
from wirecheck.problem import BadInput, Place, Problem, near

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.design import models
    from wirecheck.design.load import Drafted
    from wirecheck.design.resolved import ResolvedDevice

T = TypeVar("T")


class Wiring(Struct, frozen=True):
    """Devices and conductors. loose: nodes that are loose ends, W7:K1.T2 (lifted there) or W7.a (cut).

    broken: names that are wrong in the file, or rest on one that is.
    """

    hertz: float
    poles: Mapping[str, Pole]
    devices: Mapping[str, ResolvedDevice]
    conductors: Mapping[str, Conductor]
    conditions: Mapping[str, models.Quantity] = field(default_factory=dict)
    loose: frozenset[str] = frozenset()
    broken: Broken = field(default_factory=Broken)

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


def read_wiring(drafted: Drafted, devices: Mapping[str, ResolvedDevice], problems: list[Problem]) -> Wiring:
    """The wiring of a unit file, its devices resolved. Problems are added to, no echoes of what is broken."""
    unit, declared, broken = drafted.unit, drafted.declared, drafted.broken
    found: list[Problem] = []
    lost: set[str] = set()
    poles = poles_of(unit.supplies, found)
    nodes = Nodes(devices, declared, poles, None)
    nodes.said.update(problem.about[0] for problem in found if problem.code == "unknown-supply")
    _clashes(unit, declared, found)
    _slips(unit, nodes, found)
    wires, rungs = [*_wires(unit, nodes, found, lost)], [*_rungs(unit, nodes, found, lost)]
    # Of wires every id counts, also where its ends are wrong.
    ids = [*((w.id, w.place()) for w in unit.wires), *((w.id, w.place) for w in rungs)]
    _twice("conductor", ids, found, lost)
    _twice("rung", [(rung.id, rung.place()) for rung in unit.rungs], found, lost)
    conductors = {w.id: w for w in (*wires, *rungs)}
    wiring = Wiring(hertz_of(unit.supplies, found), poles, devices, conductors, unit.conditions)
    _stacks(wiring, found, lost)
    problems += broken.left(found)
    return replace(wiring, broken=broken.also([*lost, *nodes.said, *([LOOKS] if lost else [])]))


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


def _wires(
    unit: models.UnitFile, nodes: Nodes, problems: list[Problem], lost: set[str]
) -> Iterator[Conductor]:
    """The conductors; of one that cannot be bound its id and the splices that it may go to are lost."""
    for wire in unit.wires:
        a = _tried(nodes.end, wire.from_, wire.place("from_"), problems)
        b = _tried(nodes.end, wire.to, wire.place("to"), problems)
        if a is not None and a == b:
            message = f"{wire.id} goes from {a} to {a}; a conductor joins two places."
            problems.append(Problem("wire-to-itself", message, wire.place("to")))
        if a is None or b is None or a == b or nodes.said & {a, b}:
            lost.update((wire.id, *(end for end in (wire.from_, wire.to) if "." not in end)))
        else:
            yield conductor(wire, a, b)


def _rungs(
    unit: models.UnitFile, nodes: Nodes, problems: list[Problem], lost: set[str]
) -> Iterator[Conductor]:
    """ID.1, ID.2 … between neighbours in a rung's path; none where both ends are one terminal.

    Where a part of the path cannot be bound, no number of it is known. Of two with one id the first counts.
    """
    first: set[str] = set()
    for rung in unit.rungs:
        ways = [_tried(nodes.way, item, rung.place("path", i), problems) for i, item in enumerate(rung.path)]
        if rung.id in first:
            continue
        first.add(rung.id)
        if None in ways or nodes.said & {*rung.path}:
            splices = [item for item in rung.path if "." not in item and item not in nodes.declared]
            lost.update((rung.id, *splices))
        number = 0
        for index, (left, right) in enumerate(pairwise(ways)):
            if left is None or right is None or left[1] == right[0]:
                continue
            number += 1
            yield Conductor(
                f"{rung.id}.{number}", left[1], right[0], rung.color, rung.gauge, awg(rung.gauge),
                place=rung.place("path", index + 1),
            )  # fmt: skip


def _twice(what: str, ids: list[tuple[str, Place | None]], problems: list[Problem], lost: set[str]) -> None:
    first: dict[str, Place] = {}
    for wire_id, place in ids:
        if place is not None and first.setdefault(wire_id, place) != place:
            message = f"the {what} {wire_id} stands here a second time."
            others = ((first[wire_id], "the first"),)
            problems.append(Problem("conductor-id-twice", message, place, others))
            lost.add(wire_id)


def _slips(unit: models.UnitFile, nodes: Nodes, problems: list[Problem]) -> None:
    """A bare name that stands once and looks like a device's tag is a slip of the pen, not a capped end."""
    declared = nodes.declared
    said = [(wire.from_, wire.place("from_")) for wire in unit.wires]
    said += [(wire.to, wire.place("to")) for wire in unit.wires]
    said += [(item, rung.place("path", i)) for rung in unit.rungs for i, item in enumerate(rung.path)]
    uses = Counter(name for name, _ in said)
    wires = {wire.id: wire.place("id") for wire in unit.wires}
    for name, place in said:
        bare = "." not in name and name not in declared and name not in unit.supplies
        alone = bare and uses[name] == 1
        tags = near(name, declared) if alone else ()
        if alone and name in wires:
            message = f"{name} is a conductor; an end goes to a terminal, DEVICE.TERMINAL, or to a splice."
            others = ((wires[name], f"{name} stands here"),)
            problems.append(Problem("unknown-device", message, place, others, about=(name, *NODES)))
            nodes.said.add(name)
        elif tags:
            message = f"{name} is no device, and as a splice it joins nothing. Meant {tags[0]}?"
            others = ((declared[tags[0]], f"{tags[0]} stands here"),)
            about = (name, *NODES, *CONDUCTORS)
            problems.append(Problem("unknown-device", message, place, others, about=about))
            nodes.said.add(name)


def _clashes(unit: models.UnitFile, declared: Mapping[str, Place], problems: list[Problem]) -> None:
    for name in unit.supplies:
        if name in declared:
            message = f"{name} is the name of a supply and of a device; terminals would be confused."
            others = ((unit.key_place("supplies", name), "the supply"),)
            problems.append(Problem("name-twice", message, declared[name], others))


def _stacks(wiring: Wiring, problems: list[Problem], lost: set[str]) -> None:
    """More conductors at a terminal than it takes; how many it has room for is not known then."""
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
        lost.add(room(node))


def count(number: int) -> str:
    """A number of conductors, in words."""
    return "one conductor" if number == 1 else f"{number} conductors"
