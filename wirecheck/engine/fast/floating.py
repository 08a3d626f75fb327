"""Where numbers decide: floating nets whose part touches unlike potentials (speed.md section 4).

A net floats where no potential of it is known. A floating part that touches at most one potential carries
nothing: all its differences are 0. A transformer couples its sides only where something drives one of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wirecheck.engine.fast.eliminate import Row, reach
from wirecheck.engine.fast.table import FALSE, Table
from wirecheck.engine.network import unlike

if TYPE_CHECKING:
    from wirecheck.engine.answers import Potential
    from wirecheck.engine.fast.contract import Nets
    from wirecheck.engine.fast.potentials import Known
    from wirecheck.engine.solver import Solver


@dataclass
class Floating:
    """floats, asks: net -> where it floats, and where its part has to be solved too.

    touched: net -> potential -> where its floating part is tied to it, not over a transformer.
    driven: transformer -> where something drives one of its windings.
    """

    floats: dict[int, int]
    asks: dict[int, int]
    touched: dict[int, dict[Potential, int]]
    driven: dict[str, int]


def floating(table: Table, plain: Solver, nets: Nets, known: Known) -> Floating:
    """Where the nets of a circuit float, and where their part has to be solved."""
    floats = {n: table.negate(table.any(at.values())) for n, at in known.at.items()}
    labels = list(dict.fromkeys(p for at in known.at.values() for p in at))
    sinks: dict[object, int] = {p: nets.count + k for k, p in enumerate(labels)}
    windings = [
        (c.id, k, a, b) for c in plain.transformers.values() for k, (a, b, _) in enumerate(c.windings)
    ]
    for core, k, _, _ in windings:
        sinks[core, k] = nets.count + len(sinks)
    edges = _edges(table, plain, nets, known, floats, sinks, windings)
    every = [n for n in floats if floats[n] != FALSE]
    rows = reach(table, [*every, *sinks.values()], edges, set(sinks.values()), through=False)
    touched = {
        n: {p: table.both(floats[n], rows[n][sinks[p]]) for p in labels if sinks[p] in rows[n]} for n in every
    }
    touched = {n: {p: w for p, w in at.items() if w != FALSE} for n, at in touched.items()}
    unalike = {n: _unalike(table, at, at) for n, at in touched.items()}
    driven = _driven(table, plain, nets, known, floats, unalike, rows, sinks)
    asks = {}
    for n in every:
        found = unalike[n]
        for core, k, _, _ in windings:
            tied = table.both(floats[n], rows[n].get(sinks[core, k], FALSE))
            found = table.either(found, table.both(tied, driven[core]))
        asks[n] = found
    return Floating(floats, asks, touched, driven)


def ties(table: Table, plain: Solver, nets: Nets, floats: dict[int, int]) -> dict[tuple[int, int], int]:
    """Ways of floating nets over closed contacts, impedances and single windings."""
    found: dict[tuple[int, int], int] = {}
    for (a, b), closed in nets.edges.items():
        if floats[a] != FALSE and floats[b] != FALSE:
            _tie(table, found, a, b, closed)
    for a, b in _spans(plain, nets):
        _tie(table, found, a, b, table.both(floats[a], floats[b]))
    return found


def _spans(plain: Solver, nets: Nets) -> list[tuple[int, int]]:
    """The nets at both ends of each impedance and winding."""
    spans = [(nets.net(z.a), nets.net(z.b)) for z in plain.impedances.values()]
    return spans + [(nets.net(a), nets.net(b)) for c in plain.transformers.values() for a, b, _ in c.windings]


def _tie(table: Table, found: dict[tuple[int, int], int], a: int, b: int, where: int) -> None:
    if where != FALSE and a != b:
        key = (min(a, b), max(a, b))
        found[key] = table.either(found.get(key, FALSE), where)


def _edges(
    table: Table,
    plain: Solver,
    nets: Nets,
    known: Known,
    floats: dict[int, int],
    sinks: dict[object, int],
    windings: list[tuple[str, int, str, str]],
) -> dict[tuple[int, int], int]:
    """The ties, and ways to what floating nets touch."""
    found = ties(table, plain, nets, floats)
    for a, b in _spans(plain, nets):
        for here, there in ((a, b), (b, a)):
            for label, at in known.at[there].items():
                _tie(table, found, here, sinks[label], table.both(floats[here], at))
    for core, k, *ends in windings:
        for net in (nets.net(t) for t in ends):
            _tie(table, found, net, sinks[core, k], floats[net])
    return found


def _unalike(table: Table, one: dict[Potential, int], other: dict[Potential, int]) -> int:
    """Where two potentials are there that are not known to be alike."""
    found = FALSE
    for p, at_p in one.items():
        for q, at_q in other.items():
            if p != q and unlike(p, q):
                found = table.either(found, table.both(at_p, at_q))
    return found


def _driven(
    table: Table,
    plain: Solver,
    nets: Nets,
    known: Known,
    floats: dict[int, int],
    unalike: dict[int, int],
    rows: dict[int, Row],
    sinks: dict[object, int],
) -> dict[str, int]:
    """Where a transformer is driven: a winding between unlike potentials, or in a part that touches two."""
    found = {}
    for core in plain.transformers.values():
        where = FALSE
        for a, b, _ in core.windings:
            na, nb = nets.net(a), nets.net(b)
            where = table.either(where, _unalike(table, known.at[na], known.at[nb]))
            where = table.any((where, unalike.get(na, FALSE), unalike.get(nb, FALSE)))
        found[core.id] = where
    tied = _coupled(table, plain, nets, floats, rows, sinks)
    for _ in found:
        for (one, other), where in tied.items():
            found[one] = table.either(found[one], table.both(found[other], where))
    return found


def _coupled(
    table: Table,
    plain: Solver,
    nets: Nets,
    floats: dict[int, int],
    rows: dict[int, Row],
    sinks: dict[object, int],
) -> dict[tuple[str, str], int]:
    """Where windings of two transformers hang in one floating part."""
    found: dict[tuple[str, str], int] = {}
    cores = list(plain.transformers.values())
    for one in cores:
        for other in cores:
            if one is other:
                continue
            where = FALSE
            for end in {nets.net(t) for a, b, _ in one.windings for t in (a, b)}:
                for k in range(len(other.windings)):
                    tied = rows.get(end, {}).get(sinks[other.id, k], FALSE)
                    where = table.either(where, table.both(floats[end], tied))
            found[one.id, other.id] = where
    return found
