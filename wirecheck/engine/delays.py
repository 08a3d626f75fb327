"""Delays: which of them may run out in a state, and the state that one leaves (engine.md section 4)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirecheck.engine.answers import State
    from wirecheck.engine.solver import Solver


def pending(unit: Solver, state: State) -> list[str]:
    """Delays that may run out: an on-delay whose coil is in, an off-delay that is held."""
    coils, delays = state
    out = []
    for k, d in enumerate(unit.circuit.delays.values()):
        if d.late == "off" and delays[k]:
            out.append(d.name)
        if d.late == "on" and coils[unit.coils[d.coil]] and not delays[k]:
            out.append(d.name)
    return out


def run_out(unit: Solver, state: State, delay: str) -> State:
    """The delay of this name runs out, where it is pending."""
    coils, delays = state
    if delay not in pending(unit, state):
        return state
    moved = list(delays)
    k = list(unit.circuit.delays).index(delay)
    moved[k] = unit.circuit.delays[delay].late == "on"
    return coils, tuple(moved)
