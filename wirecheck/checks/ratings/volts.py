"""The volts that a terminal or a conductor stands at in one network."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.carried import motor_volts
from wirecheck.circuit.elements import Motor
from wirecheck.engine import figures

if TYPE_CHECKING:
    from wirecheck.engine.plain.evaluator import View


class Standing:
    """Volts of every net, network by network."""

    def __init__(self) -> None:
        self._earth: dict[int, dict[int, float]] = {}
        self._circuit: dict[int, dict[int, float]] = {}

    def to_earth(self, view: View, terminal: str) -> float:
        """Volts of a terminal to earth; of an unearthed circuit the most between it and the rest of that."""
        node = view.network.node[view.plain.nets.of[terminal]]
        if id(view) not in self._earth:
            self._earth[id(view)] = potentials(view)
        return self._earth[id(view)].get(node, 0.0)

    def circuit(self, view: View, terminal: str) -> float:
        """The same, or the volts across what hangs on it where those are more."""
        node = view.network.node[view.plain.nets.of[terminal]]
        if id(view) not in self._circuit:
            self._circuit[id(view)] = across(view)
        return max(self.to_earth(view, terminal), self._circuit[id(view)].get(node, 0.0))


def potentials(view: View) -> dict[int, float]:
    """Node -> volts to earth, or within its own floating group."""
    node, of = view.network.node, view.plain.nets.of
    first = {node[of[t]]: t for t in reversed(view.plain.circuit.terminals)}
    known = {n: view.potential(t) for n, t in first.items()}
    groups: dict[str, list[complex]] = {}
    for p in known.values():
        groups.setdefault(p.ref, []).append(p.volts)
    found = {}
    for n, p in known.items():
        others = [0j] if p.ref == "" else groups[p.ref]
        found[n] = max(abs(p.volts - v) for v in others) if p.driven else 0.0
    return {n: v for n, v in found.items() if v > figures.SLACK}


def across(view: View) -> dict[int, float]:
    """Node -> the most volts across a load that has an end on it. A capacitor's say nothing of the circuit's."""
    circuit, node, of = view.plain.circuit, view.network.node, view.plain.nets.of
    found: dict[int, float] = {}
    rows = [
        (circuit.elements[r.coil], abs(view.across(r.coil, view.plain.scenario)))
        for r in circuit.relays.values()
    ]
    for load in circuit.loads.values():
        if isinstance(load, Motor):
            rows += [(view.impedances[w], motor_volts(load, view)) for w in load.main]
        else:
            rows.append((view.impedances[load.element], abs(view.across(load.element, view.plain.scenario))))
    for element, volts in rows:
        for end in (element.a, element.b):
            n = node[of[end]]
            found[n] = max(found.get(n, 0.0), volts)
    return found
