"""The volts that a terminal stands at in one network."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.engine.solver import View


class Standing:
    """Volts of every terminal to earth, network by network."""

    def __init__(self) -> None:
        self._kept: dict[int, dict[int, float]] = {}

    def to_earth(self, view: View, terminal: str) -> float:
        """Volts of a terminal to earth; of an unearthed circuit the most between it and the rest of that."""
        if id(view) not in self._kept:
            self._kept[id(view)] = potentials(view)
        return self._kept[id(view)].get(view.network.node[view.plain.nets.of[terminal]], 0.0)


def potentials(view: View, scenario: Mapping[str, int] | None = None) -> dict[int, float]:
    """Node -> volts to earth, or within its own floating group; nodes that are dead are left out.

    scenario: where estimates stand, else as the view has them.
    """
    node, of = view.network.node, view.plain.nets.of
    first = {node[of[t]]: t for t in reversed(view.plain.circuit.terminals)}
    known = {n: view.potential(t, scenario) for n, t in first.items()}
    groups: dict[str, list[complex]] = {"": [0j]}
    for p in known.values():
        if p.ref:
            groups.setdefault(p.ref, []).append(p.volts)
    found = {n: max(abs(p.volts - v) for v in groups[p.ref]) for n, p in known.items() if p.driven}
    return {n: v for n, v in found.items() if v > figures.SLACK}
