"""The parts of one circuit in one scenario of its estimates: each solved once, and what decides noted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Capacitor, Coil, Resistor, Transformer, Winding
from wirecheck.engine.estimates import among, decided
from wirecheck.engine.solve import figures_of, phase_estimates, solve

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from wirecheck.circuit.elements import Estimate, Impedance
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.network import Part
    from wirecheck.engine.solve import Solution


class Solved:
    """Numbers the parts of one circuit and keeps their solutions.

    `sensitive` collects the estimates on which some decision so far depends; `resting` tells those of each.
    """

    def __init__(self, circuit: Circuit, scenario: Mapping[str, int] | None = None) -> None:
        self.circuit = circuit
        self.scenario: Mapping[str, int] = dict(scenario or {})
        self.sensitive: dict[str, Estimate] = {}
        elements = circuit.elements.items()
        self.impedances: dict[str, Impedance] = {
            i: e for i, e in elements if isinstance(e, Coil | Resistor | Capacitor | Winding)
        }
        self.transformers = {i: e for i, e in elements if isinstance(e, Transformer)}
        self._parts: dict[Part, int] = {}
        self._part_list: list[Part] = []
        self._part_estimates: list[tuple[Estimate, ...]] = []
        self._part_fields: list[tuple[str, ...]] = []
        self._solutions: dict[tuple[object, ...], Solution] = {}
        self._firm: dict[tuple[object, ...], str | bool] = {}
        self.resting: dict[tuple[object, ...], tuple[str, ...]] = {}

    def part_number(self, part: Part) -> int:
        """The number of a part: equal parts have one."""
        if part not in self._parts:
            self._parts[part] = len(self._part_list)
            self._part_list.append(part)
            self._part_estimates.append(self._moving(part))
            every = (*self._of_impedances(part), *self._part_estimates[-1])
            self._part_fields.append(tuple(sorted({e.field for e in every})))
        return self._parts[part]

    def _moving(self, part: Part) -> tuple[Estimate, ...]:
        """The estimates that can move a voltage in this part.

        None where one impedance stands between poles.
        """
        found = {e.field: e for e in phase_estimates(part)}
        if len(part.fixed) < part.size or part.cores:
            found |= {e.field: e for e in self._of_impedances(part)}
        return tuple(found.values())

    def _of_impedances(self, part: Part) -> list[Estimate]:
        return [e for i, _, _, is_in in part.branches for e in among(figures_of(self.impedances[i], is_in))]

    def estimates_in(self, number: int) -> tuple[Estimate, ...]:
        """The estimates that can move a voltage in a part."""
        return self._part_estimates[number]

    def solution(self, number: int, scenario: Mapping[str, int]) -> Solution:
        """Volts and amperes of a part in a scenario."""
        key = (number, tuple((f, scenario[f]) for f in self._part_fields[number] if scenario.get(f)))
        if key not in self._solutions:
            part = self._part_list[number]
            self._solutions[key] = solve(
                part, self.impedances, self.transformers, self.circuit.hertz, scenario
            )
        return self._solutions[key]

    def firm(
        self,
        key: tuple[object, ...],
        parts: Iterable[int],
        own: Iterable[Estimate],
        decide: Callable[[Mapping[str, int]], str | bool],
    ) -> str | bool:
        """`decide` in this scenario; notes in `sensitive` the estimates that would change it."""
        if key not in self._firm:
            found = {e.field: e for k in parts for e in self._part_estimates[k]} | {e.field: e for e in own}
            self._firm[key], moving = decided(tuple(found), self.scenario, decide)
            if moving:
                self.resting[key] = tuple(f for f in found if f in moving)
                self.sensitive |= {f: found[f] for f in self.resting[key]}
        return self._firm[key]
