"""Which terminals are live: their potential to earth is fixed, and above 10 V."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import figures

if TYPE_CHECKING:
    from wirecheck.engine.solver import View


def live_terminals(view: View) -> dict[str, float]:
    """Terminal -> volts to earth, of every live terminal of this network, in the order of the circuit."""
    if view.live is None:
        volts: dict[int, float] = {}
        node, of = view.network.node, view.plain.nets.of
        for terminal in view.plain.circuit.terminals:
            n = node[of[terminal]]
            if n not in volts:
                potential = view.potential(terminal)
                volts[n] = abs(potential.volts) if potential.ref == "" and potential.driven else 0.0
        view.live = {
            t: volts[node[of[t]]]
            for t in view.plain.circuit.terminals
            if volts[node[of[t]]] > figures.LIVE_VOLTS
        }
    return view.live
