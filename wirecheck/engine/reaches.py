"""What hangs on a supply with every contact closed: over impedances and transformers, not over earth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Transformer

if TYPE_CHECKING:
    from wirecheck.engine.solver import Solver


def hung_on(plain: Solver, supply: str) -> frozenset[str]:
    """The terminals that hang on a supply's poles or on a secondary fed from it, earth left out."""
    of, circuit = plain.nets.of, plain.circuit
    poles = circuit.poles.values()
    earth = {of[p.terminal] for p in poles if p.phasor == 0} | {of[t] for t in circuit.earth}
    near: dict[int, set[int]] = {}
    for element in circuit.elements.values():
        if isinstance(element, Transformer):
            ends = [of[t] for a, b, _ in element.windings for t in (a, b)]
        else:
            ends = [of[element.a], of[element.b]]
        for net in ends:
            near.setdefault(net, set()).update(ends)
    queue = [of[p.terminal] for p in poles if p.supply == supply and p.phasor != 0]
    seen = set(queue)
    for net in queue:
        new = near.get(net, set()) - seen - earth
        seen |= new
        queue += new
    return frozenset(t for t, net in of.items() if net in seen)
