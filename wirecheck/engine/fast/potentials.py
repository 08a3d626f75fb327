"""Where each net stands at which known potential: poles, and secondaries whose primary is on known ones.

Follows engine.md sections 1 and 2 in the order of `Builder` and `Secondaries`; conditions are nodes of the
table.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.engine import figures
from wirecheck.engine.answers import Potential
from wirecheck.engine.fast.behind import Behind, exactly
from wirecheck.engine.fast.eliminate import Elimination, Row, reach
from wirecheck.engine.fast.table import FALSE, TRUE, Table
from wirecheck.engine.network import apart, unlike

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Transformer
    from wirecheck.engine.fast.contract import Nets
    from wirecheck.engine.solver import Solver

Labels = dict[Potential, int]  # known potential -> where
Supplies = frozenset[str]


@dataclass
class Known:
    """What is known of nets. ways: which are joined; `at`: net -> its potentials.

    short: the supplies that take part -> where. doubtful: shorts whose supplies are not worked out here.
    """

    ways: Elimination
    at: dict[int, Labels]
    short: dict[Supplies, int] = field(default_factory=dict)
    doubtful: int = FALSE
    behind: Behind | None = None

    @property
    def joined(self) -> dict[int, Row]:
        """Net -> pole's or winding's net -> where they are joined."""
        return self.ways.rows

    def supplies_behind(self, table: Table, plain: Solver, nets: Nets, core: str) -> dict[Supplies, int]:
        """The supplies that take part where this transformer is shorted -> where."""
        if self.behind is None:
            self.behind = Behind(table, plain, nets, self.joined)
        return self.behind.supplies(core)


def known(table: Table, plain: Solver, nets: Nets, dead: frozenset[str]) -> Known:
    """The known potentials of every net of a circuit. dead: supplies that a short has put out."""
    cores = list(plain.transformers.values())
    ends = {nets.net(t) for c in cores for a, b, _ in c.windings for t in (a, b)}
    every = {nets.same.get(n, n) for n in range(nets.count)}
    ways = Elimination(table, every, nets.edges, ends | set(nets.poles))
    found = Known(ways, {n: {} for n in every})
    _poles(table, plain, nets, found, dead)
    if cores:
        Holder(table, plain, nets, found, dead).run(cores)
    return found


def _poles(table: Table, plain: Solver, nets: Nets, found: Known, dead: frozenset[str]) -> None:
    """Nets joined to poles, and the shorts of unlike poles: every hot supply at such a joint takes part."""
    every = zip(nets.poles, plain.circuit.poles.values(), strict=True)
    poles = [(n, p) for n, p in every if p.phasor == 0 or p.supply not in dead]
    shorted: dict[str, int] = {}
    for net, pole in poles:
        label = Potential("", pole.phasor, pole.source)
        for n, row in found.joined.items():
            if net in row:
                found.at[n][label] = table.either(found.at[n].get(label, FALSE), row[net])
        if pole.phasor != 0:
            unlikes = (at for at, p in poles if unlike(Potential("", p.phasor, p.source), label))
            meet = table.any(found.joined[net].get(at, FALSE) for at in unlikes)
            shorted[pole.supply] = table.either(shorted.get(pole.supply, FALSE), meet)
    found.short = {s: n for s, n in exactly(table, shorted).items() if s}


class Holder:
    """Holds transformers on known potentials, one after the other."""

    def __init__(self, table: Table, plain: Solver, nets: Nets, known: Known, dead: frozenset[str]) -> None:
        self.table, self.plain, self.nets, self.known = table, plain, nets, known
        self.dead = dead
        self.alone: dict[str, int] = {}

    def run(self, cores: list[Transformer]) -> None:
        """As many rounds as there are cores: one may stand on the secondary of a later one."""
        left = {c.id: TRUE for c in cores}
        for _ in cores:
            for core in cores:
                risen = self._volts_per_turn(core, left[core.id])
                for phi, where in risen.items():
                    self._hold(core, phi, where)
                left[core.id] = self.table.both(
                    left[core.id], self.table.negate(self.table.any(risen.values()))
                )

    def at(self, terminal: str) -> Labels:
        return self.known.at[self.nets.net(terminal)]

    def _volts_per_turn(self, core: Transformer, left: int) -> dict[complex, int]:
        """φ where a winding but the secondary stands on known potentials of one reference -> where."""
        table = self.table
        found: dict[complex, int] = {}
        for a, b, turns in core.windings[:-1]:
            done = FALSE
            for one, at_one in list(self.at(a).items()):
                for other, at_other in list(self.at(b).items()):
                    where = table.all((left, at_one, at_other))
                    if one.ref != other.ref or apart(one, other) or table.never(where):
                        continue
                    phi = (one.volts - other.volts) / turns
                    found[phi] = table.either(found.get(phi, FALSE), where)
                    done = table.either(done, where)
            left = table.both(left, table.negate(done))
        return found

    def _hold(self, core: Transformer, phi: complex, where: int) -> None:
        """What φ says of each winding's ends; the short where it contradicts."""
        for a, b, turns in core.windings:
            for source, at_source in self._sources(core, where).items():
                self._winding(core, a, b, turns * phi, source, at_source)

    def _sources(self, core: Transformer, where: int) -> dict[str, int]:
        """The source of the first end of a primary that has one -> where."""
        table = self.table
        found: dict[str, int] = {}
        for a, b, _ in core.windings[:-1]:
            for terminal in (a, b):
                for label, at in list(self.at(terminal).items()):
                    here = table.both(where, at)
                    if label.source and here != FALSE:
                        found[label.source] = table.either(found.get(label.source, FALSE), here)
                        where = table.both(where, table.negate(at))
        if where != FALSE:
            found[""] = table.either(found.get("", FALSE), where)
        return found

    def _winding(self, core: Transformer, a: str, b: str, rise: complex, source: str, where: int) -> None:
        table = self.table
        na, nb = self.nets.net(a), self.nets.net(b)
        at_a, at_b = dict(self.known.at[na]), dict(self.known.at[nb])
        no_a = table.both(where, table.negate(table.any(at_a.values())))
        no_b = table.both(where, table.negate(table.any(at_b.values())))
        for one, here in at_a.items():
            for other, there in at_b.items():
                told = Potential(other.ref, other.volts + rise, one.source)
                if one.ref == other.ref and unlike(one, told):
                    self._shorted(core, table.all((where, here, there)))
        for other, there in at_b.items():
            self._write(na, Potential(other.ref, other.volts + rise, source), table.both(no_a, there))
        for one, here in at_a.items():
            self._write(nb, Potential(one.ref, one.volts - rise, source), table.both(no_b, here))
        neither = table.both(no_a, no_b)
        meet = TRUE if na == nb else self.known.joined[na].get(nb, FALSE)
        if abs(rise) > figures.SLACK:
            self._shorted(core, table.both(neither, meet))
        if (a, b) == core.secondary and core.windings[-1][:2] == (a, b):
            alone = table.all((neither, table.negate(meet), self._stands_alone(core)))
            if alone != FALSE:
                self._write(nb, Potential(f"~{core.id}", 0j, source), alone)
                self._write(na, Potential(f"~{core.id}", rise, source), alone)

    def _write(self, net: int, label: Potential, where: int) -> None:
        """What is joined to `net` stands at this potential there."""
        where = self._unshorted(where)
        if self.table.never(where):
            return
        for n, row in self.known.joined.items():
            here = self.table.both(where, row.get(net, FALSE))
            if here != FALSE:
                self.known.at[n][label] = self.table.either(self.known.at[n].get(label, FALSE), here)

    def _unshorted(self, where: int) -> int:
        shorts = self.table.any((*self.known.short.values(), self.known.doubtful))
        return self.table.both(where, self.table.negate(shorts))

    def _shorted(self, core: Transformer, where: int) -> None:
        """A secondary joined end to end, or forced: the supplies behind it take part."""
        where = self._unshorted(where)
        if self.table.never(where):
            return
        table, known = self.table, self.known
        for supplies, at in known.supplies_behind(table, self.plain, self.nets, core.id).items():
            here = table.both(where, at)
            if not supplies - self.dead:
                known.doubtful = table.either(known.doubtful, here)
            elif here != FALSE:
                known.short[supplies] = table.either(known.short.get(supplies, FALSE), here)

    def _stands_alone(self, core: Transformer) -> int:
        """Where nothing but its own loads hangs on it: no way over impedances to anything known."""
        if core.id not in self.alone:
            self.alone[core.id] = self._alone(core)
        return self.alone[core.id]

    def _alone(self, core: Transformer) -> int:
        table, nets = self.table, self.nets
        own = {nets.net(t) for t in core.secondary}
        others = {
            nets.net(t)
            for c in self.plain.transformers.values()
            for k, (a, b, _) in enumerate(c.windings)
            if not (c is core and k == len(c.windings) - 1)
            for t in (a, b)
        }
        goals = others | set(nets.poles)
        if own & goals:
            return FALSE
        edges = dict(nets.edges)
        for z in self.plain.impedances.values():
            a, b = nets.net(z.a), nets.net(z.b)
            if a != b:
                edges[min(a, b), max(a, b)] = TRUE
        rows = reach(table, self.known.joined, edges, goals | own)
        return table.negate(table.any(n for o in own for g, n in rows[o].items() if g in goals))
