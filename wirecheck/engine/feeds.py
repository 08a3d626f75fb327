"""Which load is fed through which (engine.md section 5): opening every element of Y takes 10 % from X."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Coil, Estimate, Motor
from wirecheck.engine import figures
from wirecheck.engine.estimates import value
from wirecheck.engine.judge import load_elements
from wirecheck.engine.solve import solve

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.solver import Solver, View


def owners(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    """Name of each load, relay and other coil -> its elements."""
    found = {n: load_elements(load) for n, load in circuit.loads.items()}
    found |= {n: (r.coil,) for n, r in circuit.relays.items()}
    named = {e for elements in found.values() for e in elements}
    found |= {i: (i,) for i, e in circuit.elements.items() if isinstance(e, Coil) and i not in named}
    return found


def rated(plain: Solver, name: str) -> float | None:
    """Rated volts of a load or a relay's coil."""
    load = plain.circuit.loads.get(name)
    if isinstance(load, Motor):
        return load.volts
    if load is not None:
        return load.volts if not isinstance(load.volts, Estimate) else value(load.volts, plain.scenario)
    coil = plain.circuit.elements[plain.circuit.relays[name].coil if name in plain.circuit.relays else name]
    return value(coil.volts, plain.scenario) if isinstance(coil, Coil) else None


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
        names = {by_element[i] for i, _, _, _ in placed.part.branches if i in by_element}
        if len(names) > 1:
            found |= part_feeds(view, k, by_element)
    return frozenset((x, y) for x, y in found if is_on(view, x))


def is_on(view: View, name: str) -> bool:
    """Not `off`: a load by its word, a coil by a tenth of its rated volts."""
    plain = view.plain
    if name in plain.circuit.loads:
        return plain.load_word(plain.circuit.loads[name], view) != "off"
    coil = plain.circuit.relays[name].coil if name in plain.circuit.relays else name
    volts = rated(plain, name)
    return volts is not None and abs(view.across(coil, plain.scenario)) >= figures.OFF_BELOW * volts


def part_feeds(view: View, k: int, by_element: dict[str, str]) -> set[tuple[str, str]]:
    """The pairs within one part: it is solved once without each of its loads and coils."""
    plain = view.plain
    key = view.parts[k]
    if key not in plain.fed:
        part = view.network.parts[k].part
        here = view.solution(k, plain.scenario).across
        elements = {i for i, _, _, _ in part.branches}
        names = {by_element[i] for i in elements if i in by_element}
        pairs = set()
        for y in names:
            rest = tuple(b for b in part.branches if by_element.get(b[0]) != y)
            without = replace(part, branches=rest)
            there = solve(
                without, plain.impedances, plain.transformers, plain.circuit.hertz, plain.scenario
            ).across
            for i in elements:
                x = by_element.get(i)
                volts = rated(plain, x) if x is not None and x != y else None
                lost = abs(here[i]) - abs(there.get(i, 0j))
                if x is not None and volts and lost >= figures.FED_THROUGH * volts - figures.SLACK:
                    pairs.add((x, y))
        plain.fed[key] = frozenset(pairs)
    return set(plain.fed[key])
