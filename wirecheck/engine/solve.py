"""Complex phasors of one part: nodal equations with the ideal transformer constraint (engine.md section 2).

Unknowns are the node voltages, the current of each transformer winding (from its first end inward) and
each transformer's volts per turn φ:

    node:        Σ (V - V') / Z + Σ ± I = 0
    winding:     V(a) - V(b) - turns φ - r I = 0         (r shares parallel secondaries, SERIES_SHARE)
    transformer: Σ turns I - y φ = 0                      (y keeps an undriven core at rest, MAGNETISING_VA)

Source: modified nodal analysis; Ho, Ruehli, Brennan, IEEE Trans. Circuits and Systems 22 (1975) 504, from
memory.
"""

from __future__ import annotations

import cmath
import math
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Capacitor, Coil, Estimate, Resistor, Winding
from wirecheck.engine import figures
from wirecheck.engine.equations import Equations
from wirecheck.engine.estimates import value
from wirecheck.engine.nets import Joined

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Figure, Impedance, Transformer
    from wirecheck.engine.network import Part


def inductive(ohms: float, pf: float) -> complex:
    """The impedance of a magnitude and a lagging power factor, ohms."""
    return cmath.rect(ohms, math.acos(pf))


def coil_ohms(coil: Coil, is_in: bool, scenario: Mapping[str, int]) -> complex:
    """|Z| = volts² / VA at power factor 0.3: `va` when it is in, `inrush` when it is out."""
    if coil.ohms is not None:
        return complex(coil.ohms)
    va = value(coil.va, scenario)
    if not is_in:
        va = va * value(coil.inrush_ratio, scenario) if coil.inrush is None else value(coil.inrush, scenario)
    return inductive(value(coil.volts, scenario) ** 2 / va, figures.COIL_PF)


def ohms(z: Impedance, is_in: bool, hertz: float, scenario: Mapping[str, int]) -> complex:
    """The impedance of an element in this scenario."""
    match z:
        case Coil():
            return coil_ohms(z, is_in, scenario)
        case Resistor():
            return complex(value(z.ohms, scenario))
        case Capacitor():
            return -1j / (2 * math.pi * hertz * value(z.farads, scenario))
        case Winding():
            return z.ohms * value(z.scale, scenario)


def figures_of(z: Impedance, is_in: bool) -> tuple[Figure, ...]:
    """The figures that `ohms` reads."""
    match z:
        case Coil(ohms=None):
            if is_in:
                return (z.volts, z.va)
            return (z.volts, z.va, z.inrush_ratio) if z.inrush is None else (z.volts, z.inrush)
        case Resistor():
            return (z.ohms,)
        case Capacitor():
            return (z.farads,)
        case Winding():
            return (z.scale,)
    return ()


class Solution(Struct, frozen=True):
    """Volts of each local node, the reference of each, and volts and amperes of each impedance.

    refs: "" or a transformer's for what stands on known potentials, "?k" for the k-th floating group.
    winding_amps: transformer id -> amperes into the first end of each winding.
    """

    volts: tuple[complex, ...]
    refs: tuple[str, ...]
    across: dict[str, complex]
    amps: dict[str, complex]
    winding_amps: dict[str, tuple[complex, ...]]
    shorted: str | None = None  # the transformer whose ideal winding is forced


def phase_estimates(part: Part) -> tuple[Estimate, ...]:
    """Supplies that no field puts in step with the first one: their phase is anything, in radians."""
    sources = sorted({p.source for _, p in part.fixed if p.source})
    return tuple(Estimate(f"supplies.{s}.same_source_as", math.pi / 2, 0.0, math.pi) for s in sources[1:])


def fixed_volts(part: Part, scenario: Mapping[str, int]) -> dict[int, complex]:
    """The known potentials of a part, V: supplies that nothing puts in step turned as the scenario says."""
    turned = {e.field: cmath.exp(1j * value(e, scenario)) for e in phase_estimates(part)}
    return {
        n: p.volts * turned.get(f"supplies.{p.source}.same_source_as", 1.0) if p.source else p.volts
        for n, p in part.fixed
    }


def references(part: Part) -> tuple[str, ...]:
    """The reference of each local node: galvanic groups, through impedances and each winding's two ends."""
    joined = Joined(part.size)
    for _, a, b, _ in part.branches:
        joined.join(a, b)
    for _, windings in part.cores:
        for a, b in windings:
            joined.join(a, b)
    known = {joined.find(n): p.ref for n, p in part.fixed}
    return tuple(known.get(joined.find(n), f"?{joined.find(n)}") for n in range(part.size))


def solve(
    part: Part,
    impedances: Mapping[str, Impedance],
    transformers: Mapping[str, Transformer],
    hertz: float,
    scenario: Mapping[str, int],
) -> Solution:
    """Node voltages and branch currents of one part.

    V, A rms; potentials of a floating group from its own.
    """
    known = fixed_volts(part, scenario)
    refs = references(part)
    z = {i: ohms(impedances[i], is_in, hertz, scenario) for i, _, _, is_in in part.branches}
    grounded = _grounded(refs)
    free = [n for n in range(part.size) if n not in known and n not in grounded]
    if not part.cores and (not free or len(set(known.values())) <= 1):
        # Nothing drives it: all of it stands at the one potential that it touches, if any.
        resting = next(iter(known.values()), 0j)
        return _solution(part, [known.get(n, resting) for n in range(part.size)], refs, z, {}, None)
    return _nodal(part, known, refs, z, free, transformers)


def _grounded(refs: tuple[str, ...]) -> set[int]:
    """One node of each floating group stands for its zero: only differences are known there."""
    first: dict[str, int] = {}
    for n, ref in enumerate(refs):
        if ref.startswith("?"):
            first.setdefault(ref, n)
    return set(first.values())


def _nodal(
    part: Part,
    known: dict[int, complex],
    refs: tuple[str, ...],
    z: dict[str, complex],
    free: list[int],
    transformers: Mapping[str, Transformer],
) -> Solution:
    row = {n: k for k, n in enumerate(free)}
    count = len(free) + sum(len(w) + 1 for _, w in part.cores)
    equations = Equations(count)
    matrix, right = equations.matrix, equations.right
    for i, a, b, _ in part.branches:
        for here, there in ((a, b), (b, a)):
            if here in row and here != there:
                matrix[row[here]][row[here]] += 1 / z[i]
                if there in row:
                    matrix[row[here]][row[there]] -= 1 / z[i]
                else:
                    right[row[here]] += known.get(there, 0j) / z[i]
    columns = _constraints(part, known, row, transformers, matrix, right)
    x = equations.solved()
    volts = [known[n] if n in known else x[row[n]] if n in row else 0j for n in range(part.size)]
    amps = {core: tuple(x[k] for k in ks) for core, ks in columns.items()}
    return _solution(part, volts, refs, z, amps, _forced(amps, transformers))


def _constraints(
    part: Part,
    known: dict[int, complex],
    row: dict[int, int],
    transformers: Mapping[str, Transformer],
    m: list[list[complex]],
    r: list[complex],
) -> dict[str, list[int]]:
    """Write the rows of the ideal transformers; the column of each winding's current."""
    at = len(row)
    columns: dict[str, list[int]] = {}
    for core, windings in part.cores:
        phi = at + len(windings)
        columns[core] = list(range(at, phi))
        for k, (a, b) in enumerate(windings):
            turns = transformers[core].windings[k][2]
            for n, sign in ((a, 1), (b, -1)):
                if n in row:
                    m[row[n]][at + k] += sign
                    m[at + k][row[n]] += sign
                else:
                    r[at + k] -= sign * known.get(n, 0j)
            m[at + k][phi] -= turns
            m[at + k][at + k] -= figures.SERIES_SHARE * turns**2
            m[phi][at + k] += turns
        m[phi][phi] -= figures.MAGNETISING_VA
        at = phi + 1
    return columns


def _forced(amps: dict[str, tuple[complex, ...]], transformers: Mapping[str, Transformer]) -> str | None:
    """The transformer through which only a short can drive this current."""
    for core, currents in amps.items():
        for (_, _, turns), i in zip(transformers[core].windings, currents, strict=True):
            if abs(turns * i) > figures.SHORT_VA:
                return core
    return None


def _solution(
    part: Part,
    volts: list[complex],
    refs: tuple[str, ...],
    z: dict[str, complex],
    winding_amps: dict[str, tuple[complex, ...]],
    shorted: str | None,
) -> Solution:
    across = {i: volts[a] - volts[b] for i, a, b, _ in part.branches}
    amps = {i: v / z[i] for i, v in across.items()}
    return Solution(tuple(volts), refs, across, amps, winding_amps, shorted)
