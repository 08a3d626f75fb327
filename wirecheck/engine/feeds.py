"""Which load is fed through which (engine.md section 5): opening every element of Y takes 10 % from X."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.elements import Coil
from wirecheck.engine import figures
from wirecheck.engine.answers import OFF
from wirecheck.engine.estimates import among, value
from wirecheck.engine.judge import load_elements
from wirecheck.engine.solve import solve

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Figure
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.network import Part
    from wirecheck.engine.solver import Solver, View


def owners(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Name of each load, relay and other coil -> its elements."""
    found = {n: load_elements(load) for n, load in circuit.loads.items()}
    found |= {n: (r.coil,) for n, r in circuit.relays.items()}
    named = {e for elements in found.values() for e in elements}
    found |= {i: (i,) for i, e in circuit.elements.items() if isinstance(e, Coil) and i not in named}
    return found


def rated_figure(plain: Solver, name: str) -> Figure | None:
    """Rated volts of a load or of any coil, as the file gives them or estimated."""
    load = plain.circuit.loads.get(name) or plain.circuit.coil_loads.get(name)
    if load is not None:
        return load.volts
    coil = plain.circuit.elements[name]
    return coil.volts if isinstance(coil, Coil) else None


def rated(plain: Solver, name: str, scenario: Mapping[str, int]) -> float | None:
    """The same as a figure, V."""
    volts = rated_figure(plain, name)
    return None if volts is None else value(volts, scenario)


def feeds(view: View) -> frozenset[tuple[str, str]]:
    """(X, Y): X is not off here and is fed through Y."""
    if view.fed is None:
        view.fed = _feeds(view)
    return view.fed


def _feeds(view: View) -> frozenset[tuple[str, str]]:
    plain = view.plain
    found: set[tuple[str, str]] = set()
    by_element = {e: n for n, elements in owners(plain.circuit).items() for e in elements}
    for k, placed in enumerate(view.network.parts):
        if len(placed.part.fixed) == placed.part.size and not placed.part.cores:
            continue
        names = dict.fromkeys(by_element[i] for i, _, _, _ in placed.part.branches if i in by_element)
        if len(names) > 1:
            found |= {(x, y) for x in names if is_on(view, x) for y in through(view, k, x, by_element)}
    return frozenset(found)


def is_on(view: View, name: str) -> bool:
    """Not `off`: a load by its word, a coil by a tenth of its rated volts."""
    plain = view.plain
    load = plain.circuit.loads.get(name) or plain.circuit.coil_loads.get(name)
    if load is not None:
        return plain.load_word(load, view) != OFF
    volts = rated(plain, name, plain.scenario)
    return volts is not None and abs(view.across(name, plain.scenario)) >= figures.OFF_BELOW * volts


def through(view: View, k: int, x: str, by_element: dict[str, str]) -> frozenset[str]:
    """What x is fed through within one part; the estimates that would change it are noted."""
    plain, part, number = view.plain, view.network.parts[k].part, view.parts[k]
    if (number, x) not in plain.fed:
        names = dict.fromkeys(by_element[i] for i, _, _, _ in part.branches if i in by_element)
        lost = Lost(plain, part, by_element)
        own = among([rated_figure(plain, x)])
        plain.fed[number, x] = frozenset(
            y for y in names if y != x
            and plain.firm(("fed", number, x, y), [number], own, partial(lost.takes, x, y))
        )  # fmt: skip
    return plain.fed[number, x]


class Lost:
    """One part as it is, and without each of its loads and coils."""

    def __init__(self, plain: Solver, part: Part, by_element: Mapping[str, str]) -> None:
        self.plain, self.part, self.by_element = plain, part, by_element
        self._across: dict[tuple[str, tuple[tuple[str, int], ...]], dict[str, complex]] = {}

    def takes(self, x: str, y: str, scenario: Mapping[str, int]) -> bool:
        """Does opening every element of y take a tenth of its rated volts from x?"""
        volts = rated(self.plain, x, scenario)
        if not volts:
            return False
        here, there = self.across("", scenario), self.across(y, scenario)
        own = (i for i, _, _, _ in self.part.branches if self.by_element.get(i) == x)
        least = figures.FED_THROUGH * volts - figures.SLACK
        return any(abs(here[i]) - abs(there.get(i, 0j)) >= least for i in own)

    def across(self, without: str, scenario: Mapping[str, int]) -> dict[str, complex]:
        """Volts across each element, with one load or coil opened."""
        key = without, tuple(sorted(scenario.items()))
        if key not in self._across:
            rest = tuple(b for b in self.part.branches if self.by_element.get(b[0], " ") != without)
            plain, part = self.plain, replace(self.part, branches=rest)
            found = solve(part, plain.impedances, plain.transformers, plain.circuit.hertz, scenario)
            self._across[key] = found.across
        return self._across[key]
