"""The level of everything that is drawn, as vectors of settings: `engine/levels.py` all at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import figures
from wirecheck.engine.fast.currents import Currents
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.rings import Rings
from wirecheck.engine.fast.space import lowest
from wirecheck.engine.fast.table import FALSE
from wirecheck.engine.flow import COUNTS, Flow
from wirecheck.engine.levels import CURRENT, LEVELS, NONE, UNKNOWN, VOLTAGE, Level, Meters, Thing, things
from wirecheck.engine.reaches import hung_on

if TYPE_CHECKING:
    from wirecheck.engine.answers import Potential
    from wirecheck.engine.fast.frame import Frame
    from wirecheck.engine.fast.side import Stand
    from wirecheck.engine.solver import Solver, View

Where = dict[Level, int]  # level -> settings
Some = tuple[int, int]  # where current, where a voltage at least


MOST_NETWORKS = 2_000  # looked at one by one, of one frame


class LevelVectors:
    """Reads the levels of one circuit: by vectors; where these cannot tell, one network after another."""

    def __init__(self, plain: Solver) -> None:
        self.plain, self.things = plain, things(plain.circuit)
        self.flow, self.rings, self.meters = Flow(plain), Rings(plain), Meters(plain)
        self.looked_at = False  # have networks been looked at one by one?
        self._hung: dict[str, frozenset[Thing]] = {}

    def of_stand(self, stand: Stand) -> dict[Thing, Where]:
        """Thing -> level -> settings of a stand; `unknown` where it chatters or is shorted.

        Raises TooLarge.
        """
        each = [self.of_frame(f, stand.mask) for f in stand.frames()]
        unknown = {t for s in stand.end.supplies for t in self._hung_on(s)}
        return {
            t: {UNKNOWN: stand.mask} if t in unknown else agreed([e[t] for e in each], stand.mask)
            for t in self.things
        }

    def _hung_on(self, supply: str) -> frozenset[Thing]:
        if supply not in self._hung:
            reached = hung_on(self.plain, supply)
            self._hung[supply] = frozenset(t for t, ends in self.things.items() if reached.intersection(ends))
        return self._hung[supply]

    def of_frame(self, frame: Frame, mask: int) -> dict[Thing, Some]:
        """Where each thing carries current, and where it is at a voltage at least. Raises TooLarge."""
        if not self.looked_at:
            try:
                return self._by_vectors(frame)
            except NotHere:
                self.looked_at = True
        return self._by_networks(frame, mask)

    def _by_networks(self, frame: Frame, mask: int) -> dict[Thing, Some]:
        found: dict[Thing, Some] = dict.fromkeys(self.things, (0, 0))
        for cell in self._cells(frame, mask):
            view = frame.asker.view(frame, lowest(cell))
            for thing, level in self.meters.of_view(view, view.shut).items():
                if level != NONE:
                    current, volts = found[thing]
                    found[thing] = current | (cell if level == CURRENT else 0), volts | cell
        return found

    def _cells(self, frame: Frame, mask: int) -> list[int]:
        """The settings of a frame by where its contacts and coils stand: each is one network."""
        nodes = [*frame.unit.nets.literals.values(), *frame.unit.movers.coils.values()]
        cells = [mask & frame.clear()]
        for node in dict.fromkeys(nodes):
            where = frame.value(node)
            halves = ((cell & where, cell & ~where) for cell in cells)
            cells = [half for pair in halves for half in pair if half]
            if len(cells) > MOST_NETWORKS:
                raise TooLarge(f"more than {MOST_NETWORKS} networks to look at one by one")
        return cells

    def _by_vectors(self, frame: Frame) -> dict[Thing, Some]:
        carries = Currents(frame, self.flow, self.rings).found
        live = Lives(frame, self.flow)
        busy: dict[str, int] = {}
        found: dict[Thing, Some] = {}
        for (kind, name), ends in self.things.items():
            current = carries.get(name, 0) if kind != "terminal" else 0
            volts = 0
            for t in ends:
                volts |= live.at(t)
                if current:
                    busy[t] = busy.get(t, 0) | current
            found[kind, name] = current, volts | current
        for t, current in busy.items():
            found["terminal", t] = current, found["terminal", t][1] | current
        return found


def agreed(each: list[Some], mask: int) -> Where:
    """The levels of a thing in every position of a set that is never left; `unknown` where they differ."""
    every, some = mask, 0
    for current, _ in each:
        every, some = every & current, some | current
    volts, any_volts = mask, 0
    for _, live in each:
        volts, any_volts = volts & live, any_volts | live
    found = {
        CURRENT: every,
        VOLTAGE: volts & ~some,
        NONE: mask & ~any_volts,
    }
    told = 0
    for where in found.values():
        told |= where
    found[UNKNOWN] = mask & ~told
    return {level: found[level] for level in LEVELS if found[level]}


class Lives:
    """Where each terminal is at a voltage, in one frame."""

    def __init__(self, frame: Frame, flow: Flow) -> None:
        self.frame, self.unit, self.flow = frame, frame.unit, flow
        self.clear = frame.clear()
        self._kept: dict[int, int] = {}
        self._ends = {
            f"~{c.id}": [self.unit.nets.net(t) for t in c.secondary]
            for c in self.unit.plain.transformers.values()
        }

    def at(self, terminal: str) -> int:
        net = self.unit.plain.nets.of[terminal]
        if net not in self._kept:
            self._kept[net] = self._live(net, terminal) & self.clear
        return self._kept[net]

    def _live(self, own: int, terminal: str) -> int:
        unit, value = self.unit, self.frame.value
        net = unit.nets.same.get(own, own)
        least = max(COUNTS * self.flow.volts_at.get(own, 0.0), figures.SLACK)
        ask = value(unit.floating.asks.get(net, FALSE)) & self.clear
        found = self._asked(terminal, ask) if ask else 0
        for label, node in unit.known.at[net].items():
            found |= self._differs(label, least, value(node))
        for label, node in unit.floating.touched.get(net, {}).items():
            found |= self._differs(label, least, value(node) & ~ask)
        return found

    def _differs(self, label: Potential, least: float, where: int) -> int:
        """Where a known potential differs from earth, or from another of a circuit that nothing earths."""
        if not where or label.ref == "":
            return where if abs(label.volts) >= least else 0
        found = 0
        for net in self._ends[label.ref]:
            for other, there in self.unit.known.at[net].items():
                if other.ref == label.ref and abs(other.volts - label.volts) >= least:
                    found |= where & self.frame.value(there)
        return found

    def _asked(self, terminal: str, ask: int) -> int:
        """Where numbers decide."""
        of = self.unit.plain.nets.of

        def answer(view: View) -> tuple[bool]:
            p = view.potential(terminal)
            if not p.driven:
                return (False,)
            if p.ref == "":
                return (abs(p.volts) >= least(view),)
            others = (view.potential(t) for t in of)
            return (any(o.ref == p.ref and abs(o.volts - p.volts) >= least(view) for o in others),)

        def least(view: View) -> float:
            node = view.network.node
            nets = (n for n, at in enumerate(node) if at == node[of[terminal]])
            volts = [v for n in nets if (v := self.flow.volts_at.get(n, 0.0))]
            return max(COUNTS * min(volts, default=0.0), figures.SLACK)

        seen = self.frame.asker.seen(self.frame, ("level", terminal), ask, answer, terminal)
        return seen.get((True,), 0)
