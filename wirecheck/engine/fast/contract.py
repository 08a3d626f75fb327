"""Conductors and links contracted: terminals become nets, contacts edges with a literal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import ByCoil, ByPosition
from wirecheck.engine.fast.table import FALSE, TRUE, CoilBit, DelayBit, InputBit, Table

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Contact
    from wirecheck.engine.fast.space import Space
    from wirecheck.engine.solver import Solver

Edges = dict[tuple[int, int], int]  # (net, net), the lower first -> where they are joined


class Nets(Struct, frozen=True):
    """The nets of one circuit and the literal of each of its contacts.

    pole_of: net -> the net that stands for it; poles at earth are one net where that changes nothing.
    """

    of: dict[str, int]
    count: int
    literals: dict[str, int]
    edges: Edges
    poles: tuple[int, ...]  # nets of the circuit's poles, in its order
    same: dict[int, int]

    def net(self, terminal: str) -> int:
        n = self.of[terminal]
        return self.same.get(n, n)


class Movers:
    """Nodes of what moves contacts: inputs as variables, coils and delays of one side."""

    def __init__(self, table: Table, space: Space, plain: Solver, side: str) -> None:
        self.table, self.space, self.plain, self.side = table, space, plain, side
        self.coils = {i: table.variable(CoilBit(side, i)) for i in plain.coils}
        self.delays = {d.name: table.variable(DelayBit(side, d.name)) for d in plain.circuit.delays.values()}
        self._late = {(d.coil, d.late): self.delays[d.name] for d in plain.circuit.delays.values()}

    def position(self, name: str) -> int:
        """Where an input stands moved."""
        k, flip = self.space.where[self.side == "after", name]
        if k is None:
            return TRUE if flip else FALSE
        held = self.space.constant(k)
        if held is not None:
            return TRUE if held != flip else FALSE
        node = self.table.variable(InputBit(k))
        return self.table.negate(node) if flip else node

    def literal(self, c: Contact) -> int:
        """Where a contact is closed."""
        moved = self._moved(c)
        return self.table.negate(moved) if c.rests_closed else moved

    def _moved(self, c: Contact) -> int:
        match c.mover:
            case ByPosition(name):
                return self.position(name)
            case ByCoil(coil, None):
                return self.coils[coil]
            case ByCoil(coil, late):
                delay = self._late.get((coil, "on" if late == "on" else "off"), FALSE)
                both = self.table.both if late == "on" else self.table.either
                return both(self.coils[coil], delay)


def contracted(movers: Movers) -> Nets:
    """The nets of the movers' circuit."""
    plain, table = movers.plain, movers.table
    circuit, of = plain.circuit, plain.nets.of
    literals = {c.id: movers.literal(c) for c in circuit.contacts.values()}
    same = _joined_at_earth(plain)
    edges: Edges = {}
    for c in circuit.contacts.values():
        a, b = (same.get(n, n) for n in (of[c.a], of[c.b]))
        if a != b and literals[c.id] != FALSE:
            key = (min(a, b), max(a, b))
            edges[key] = table.either(edges.get(key, FALSE), literals[c.id])
    poles = tuple(same.get(of[p.terminal], of[p.terminal]) for p in circuit.poles.values())
    return Nets(of, plain.nets.count, literals, edges, poles, same)


def _joined_at_earth(plain: Solver) -> dict[int, int]:
    """Nets of poles at 0 V -> one of them, where one supply is hot and no start device looks at nodes."""
    poles = plain.circuit.poles.values()
    if len({p.supply for p in poles if p.phasor != 0}) > 1 or plain.starters:
        return {}
    zero = [plain.nets.of[p.terminal] for p in poles if p.phasor == 0]
    hot = {plain.nets.of[p.terminal] for p in poles if p.phasor != 0}
    return {} if not zero or hot & set(zero) else dict.fromkeys(zero, zero[0])
