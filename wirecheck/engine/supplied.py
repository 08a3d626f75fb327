"""The volts of the supply or secondary that each net hangs on, whatever the contacts do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from wirecheck.engine.solver import Solver


def supplied(plain: Solver) -> dict[int, float]:
    """Net -> rated volts, V, of what can feed it; the smallest where several can. Earth has none.

    Found with every contact closed, through impedances, not through transformers and not through earth.
    """
    nets, joined = plain.nets, Joined(plain.nets.count)
    poles = plain.circuit.poles.values()
    earth = {nets.of[p.terminal] for p in poles if p.phasor == 0} | {nets.of[t] for t in plain.circuit.earth}
    ties = [(c.a, c.b) for c in plain.circuit.contacts.values()]
    ties += [(z.a, z.b) for z in plain.impedances.values()]
    for a, b in ties:
        if not {nets.of[a], nets.of[b]} & earth:
            joined.join(nets.of[a], nets.of[b])
    found: dict[int, float] = {}
    for terminal, volts in _sources(plain):
        if nets.of[terminal] not in earth:
            group = joined.find(nets.of[terminal])
            found[group] = min(volts, found.get(group, volts))
    return {n: found[joined.find(n)] for n in range(nets.count) if n not in earth and joined.find(n) in found}


def _sources(plain: Solver) -> list[tuple[str, float]]:
    """Every pole and end of a secondary, with the rated volts between it and the rest of its supply."""
    poles = list(plain.circuit.poles.values())
    found = [
        (p.terminal, max(abs(p.phasor - q.phasor) for q in poles if q.supply == p.supply)) for p in poles
    ]
    return found + [(t, core.windings[-1][2]) for core in plain.transformers.values() for t in core.secondary]
