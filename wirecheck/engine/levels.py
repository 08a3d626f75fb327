"""Levels: where there is voltage and where current, of everything that is drawn, in one state.

*Voltage*: a node differs from earth, on a circuit that nothing earths from another of its nodes, by 1 % of
the supply or more. *Current*: an element has 1 % or more of its designed current; a conductor or a closed
contact where such currents on one side of it do not cancel (`engine/flow.py`). Where a state is not known,
or a short or a chattering relay makes it so, the level is `unknown`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from wirecheck.circuit.elements import Motor, Transformer
from wirecheck.engine import figures
from wirecheck.engine.flow import COUNTS, Flow
from wirecheck.engine.judge import load_elements
from wirecheck.engine.reaches import hung_on

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.elements import Element
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.engine.solver import Solver, View

Level = Literal["none", "voltage", "current", "unknown"]
NONE: Level = "none"
VOLTAGE: Level = "voltage"
CURRENT: Level = "current"
UNKNOWN: Level = "unknown"
LEVELS: tuple[Level, ...] = (NONE, VOLTAGE, CURRENT, UNKNOWN)

# What has a level: ("wire", "W7"), ("element", "K1.coil"), ("terminal", "K1.T2").
Thing = tuple[str, str]
Levels = dict[Thing, Level]


class Meters:
    """Reads the levels of one circuit's networks; keeps those that it has read."""

    def __init__(self, plain: Solver) -> None:
        self.plain, self.circuit = plain, plain.circuit
        self.flow = Flow(plain)
        self._kept: dict[int, tuple[View, Levels]] = {}

    def of_outcome(self, inputs: Bits, outcome: Outcome) -> Levels:
        """Where settling ended: what a short or chattering leaves open is `unknown`."""
        each = []
        for state, view in zip(outcome.members, self.plain.views(inputs, outcome), strict=True):
            closed = zip(self.circuit.contacts, self.plain.closed(inputs, *state), strict=True)
            each.append(self.of_view(view, frozenset(c for c, shut in closed if shut)))
        levels = agreed(each)
        if outcome.short is not None:
            levels |= dict.fromkeys(self.hung(outcome.short.supplies), UNKNOWN)
        return levels

    def hung(self, supplies: Iterable[str]) -> list[Thing]:
        """Everything that hangs on these supplies with every contact closed: a short makes it unknown."""
        reached = {t for s in supplies for t in hung_on(self.plain, s)}
        return [thing for thing, ends in things(self.circuit).items() if reached.intersection(ends)]

    def of_view(self, view: View, shut: frozenset[str]) -> Levels:
        """One network. shut: the contacts closed in it."""
        kept = self._kept.get(id(view))
        if kept is None:
            kept = self._kept[id(view)] = view, self._read(view, shut)
        return kept[1].copy()

    def _read(self, view: View, shut: frozenset[str]) -> Levels:
        if view.short is not None:
            return dict.fromkeys(things(self.circuit), UNKNOWN)
        live, carrying = self._live(view), self.flow.carrying(view, shut)
        of, found = self.plain.nets.of, Levels()
        busy: set[str] = set()
        for thing, ends in things(self.circuit).items():
            if thing[1] in carrying and thing[0] != "terminal":
                found[thing] = CURRENT
                busy.update(ends)
            else:
                found[thing] = VOLTAGE if any(view.network.node[of[t]] in live for t in ends) else NONE
        return found | {("terminal", t): CURRENT for t in busy}

    def _live(self, view: View) -> set[int]:
        """The nodes at a voltage."""
        node, of = view.network.node, self.plain.nets.of
        first = {node[n]: t for t, n in of.items()}
        least: dict[int, float] = {}
        for net, volts in self.flow.volts_at.items():
            least[node[net]] = min(volts, least.get(node[net], volts))
        known = {n: view.potential(t) for n, t in first.items()}
        groups: dict[str, list[complex]] = {"": [0j]}
        for p in known.values():
            if p.ref:
                groups.setdefault(p.ref, []).append(p.volts)
        spread = {n: max(abs(p.volts - v) for v in groups[p.ref]) for n, p in known.items() if p.driven}
        return {n for n, v in spread.items() if v > figures.SLACK and v >= COUNTS * least.get(n, 0.0)}


def things(circuit: Circuit) -> dict[Thing, tuple[str, ...]]:
    """Everything that has a level, with its terminals."""
    found: dict[Thing, tuple[str, ...]] = {("wire", w.id): (w.a, w.b) for w in circuit.conductors.values()}
    found |= {("element", e.id): ends_of(e) for e in circuit.elements.values()}
    return found | {("terminal", t): (t,) for t in circuit.terminals}


def ends_of(element: Element) -> tuple[str, ...]:
    """The terminals of an element."""
    if isinstance(element, Transformer):
        return tuple(dict.fromkeys(t for a, b, _ in element.windings for t in (a, b)))
    return element.a, element.b


def at_end(element: int, terminal: int) -> int:
    """The level of a line at an element's terminal: the element's own where it carries or is unknown.

    Else whether there is a voltage at the terminal. Levels as their places in LEVELS.
    """
    current, voltage = LEVELS.index(CURRENT), LEVELS.index(VOLTAGE)
    return element if element >= current else voltage if terminal == current else terminal


def agreed(each: list[Levels]) -> Levels:
    """What several networks have in common; `unknown` where they differ."""
    first = each[0]
    return {t: level if all(o[t] == level for o in each) else UNKNOWN for t, level in first.items()}


def named(circuit: Circuit) -> dict[str, tuple[Thing, ...]]:
    """Name on a drawing -> the things whose highest level it shows.

    Conductors, terminals, elements; devices, supplies and motors by what they consist of. A name that stands
    for two things shows the higher level of both.
    """
    found: dict[str, tuple[Thing, ...]] = {}
    for thing in things(circuit):
        found[thing[1]] = (*found.get(thing[1], ()), thing)
    for load in circuit.loads.values():
        if isinstance(load, Motor) and load.name not in circuit.devices:
            found.setdefault(load.name, tuple(("element", i) for i in load_elements(load)))
    for tag, device in circuit.devices.items():
        own: list[Thing] = [("element", i) for i in device.elements]
        found[tag] = (*found.get(tag, ()), *(own or [("terminal", t) for t in device.terminals]))
    for pole in circuit.poles.values():
        found[pole.supply] = (*found.get(pole.supply, ()), ("terminal", pole.terminal))
    return found


def by_name(circuit: Circuit, levels: Levels) -> dict[str, Level]:
    """The level of everything that has a name on a drawing."""
    return {
        name: max((levels[p] for p in parts), key=LEVELS.index, default=NONE)
        for name, parts in named(circuit).items()
    }
