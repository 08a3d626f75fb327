"""What is marked on loads: running and locked-rotor amps, the volt-amps of coils, with their ranges."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.moments import Span, exactly
from wirecheck.circuit.elements import Estimate, Motor

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Coil, Figure
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.solver import View

    Scenario = Mapping[str, int]  # where estimates stand: field -> -1, 0, 1

# An estimated locked-rotor current, with the range of an estimated winding: |Z| ±25 % (engine.md section 2).
LRA_LOW, LRA_HIGH = 1 / 1.25, 1 / 0.75


def motors(circuit: Circuit) -> list[Motor]:
    """The motors of a circuit."""
    return [m for m in circuit.loads.values() if isinstance(m, Motor)]


def running_amps(m: Motor) -> float | None:
    """Running current as the nameplate says it, A."""
    return m.rla if m.rla is not None else m.fla


def running_field(m: Motor) -> str:
    """Where that is stated."""
    return f"{m.name}.{'rla' if m.compressor else 'fla'}"


def locked_amps(m: Motor) -> Span | None:
    """Locked-rotor amps: given, or as estimated from the running ones, with its range."""
    if m.lra is None:
        return None
    return exactly(m.lra) if m.lra_given else Span(m.lra * LRA_LOW, m.lra, m.lra * LRA_HIGH)


def missing_of(m: Motor) -> tuple[str, ...]:
    """The fields without which its running current is not known."""
    if running_amps(m) is None:
        return (running_field(m),) if m.lra is not None else (running_field(m), f"{m.name}.lra")
    return ()


def spread(figure: Figure) -> Span:
    """A figure with its range."""
    if isinstance(figure, Estimate):
        return Span(figure.low, figure.nominal, figure.high)
    return exactly(figure)


def inrush_of(z: Coil) -> Span:
    """VA with the armature open."""
    if z.inrush is not None:
        return spread(z.inrush)
    va, ratio = spread(z.va), spread(z.inrush_ratio)
    return Span(va.low * ratio.low, va.nominal * ratio.nominal, va.high * ratio.high)


def loads_by_element(circuit: Circuit) -> dict[str, str]:
    """Element -> the relay or load, but a motor, that it is."""
    named = {r.coil: r.name for r in circuit.relays.values()}
    return named | {x.element: n for n, x in circuit.loads.items() if not isinstance(x, Motor)}


def motor_volts(m: Motor, view: View, scenario: Scenario) -> float:
    """Volts across a motor's main; of a three-phase one the greatest between two of its terminals."""
    if m.kind == "3ph":
        ends = m.terminals
        return max(abs(view.between(a, b, scenario)) for a in ends for b in ends)
    return max(abs(view.across(w, scenario)) for w in m.main)
