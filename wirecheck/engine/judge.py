"""Is a load on? The words of loads from volts and currents (engine.md section 3)."""

from __future__ import annotations

import cmath
import math
from typing import TYPE_CHECKING, Protocol

from wirecheck.circuit.elements import Motor, VoltLoad
from wirecheck.engine import figures
from wirecheck.engine.answers import BACKWARD, OFF, ON, OVER, RUNS, STALLS, UNKNOWN, WEAK
from wirecheck.engine.estimates import among, value
from wirecheck.engine.solve import ohms

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Coil, Estimate, Impedance, Load
    from wirecheck.circuit.graph import Circuit


class MissingFigure(Exception):
    """A motor is asked for what only figures tell that the file does not give. Carries its name."""


class Sight(Protocol):
    """What a judge may look at: one network, in one scenario."""

    @property
    def circuit(self) -> Circuit: ...

    @property
    def impedances(self) -> Mapping[str, Impedance]: ...

    def across(self, element: str, scenario: Mapping[str, int]) -> complex: ...

    def amps(self, element: str, scenario: Mapping[str, int]) -> complex: ...

    def between(self, a: str, b: str, scenario: Mapping[str, int]) -> complex: ...

    def starting(self, motor: Motor, scenario: Mapping[str, int]) -> bool: ...


def by_volts(share: float, low: str, good: str) -> str:
    """The word for a share of rated volts: off below 10 %, `low`, `good` from 85 %, over above 110 %."""
    if share < figures.OFF_BELOW - figures.SLACK:
        return OFF
    if share < figures.ON_LOW - figures.SLACK:
        return low
    return good if share <= figures.ON_HIGH + figures.SLACK else OVER


def judge(load: Load, sight: Sight, scenario: Mapping[str, int]) -> str:
    """The word of a load; `unknown` where a figure is missing that would decide it."""
    match load:
        case VoltLoad():
            return volt_word(load, sight, scenario)
        case Motor(kind="1ph"):
            return one_winding_word(load, sight, scenario)
        case Motor(kind="3ph"):
            return three_phase_word(load, sight, scenario)
        case Motor():
            return psc_word(load, sight, scenario)


def missing(load: Load) -> tuple[str, ...]:
    """The fields without which `judge` says `unknown` of a load that is not dead."""
    if load.volts is None:
        return (f"{load.name}.volts",)
    if isinstance(load, Motor) and load.kind == "psc" and load.needs is None:
        return (f"{load.name}.needs",)
    return ()


def load_elements(load: Load) -> tuple[str, ...]:
    """The impedances that a load is made of: of a motor its windings, the auxiliary last."""
    if isinstance(load, Motor):
        return load.main if load.aux is None else (*load.main, load.aux)
    return (load.element,)


def own_estimates(thing: Load | Coil) -> list[Estimate]:
    """The estimates of its own that a load's word or a coil's position rests on, beside its impedances."""
    if isinstance(thing, Motor):
        return []
    if isinstance(thing, VoltLoad):
        return among([thing.volts])
    return among([thing.volts, thing.pick_up, thing.drop_out])


def coil_moves(coil: Coil, is_in: bool, volts: float, scenario: Mapping[str, int]) -> bool:
    """Does a coil move at these volts: out at pick-up volts or more, in below drop-out volts?"""
    share = volts / value(coil.volts, scenario)
    pick = value(coil.pick_up, scenario)
    if not is_in:
        return share >= pick - figures.SLACK
    return share < min(value(coil.drop_out, scenario), figures.DROP_BELOW_PICK * pick) - figures.SLACK


def volt_word(load: VoltLoad, sight: Sight, scenario: Mapping[str, int]) -> str:
    """on, weak, over or off, by the volts across the load; `unknown` where its rated volts are not given."""
    volts = abs(sight.across(load.element, scenario))
    if load.volts is None:
        return OFF if volts < figures.SLACK else UNKNOWN
    return by_volts(volts / value(load.volts, scenario), WEAK, ON)


def one_winding_word(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> str:
    """runs, stalls, over or off, by the volts across the winding."""
    volts = abs(sight.across(motor.main[0], scenario))
    if motor.volts is None:
        return OFF if volts < figures.SLACK else UNKNOWN
    return by_volts(volts / motor.volts, STALLS, RUNS)


def sequence_volts(va: complex, vb: complex, vc: complex) -> tuple[float, float]:
    """Magnitudes of the positive and the negative sequence of three terminal voltages, V.

    Source: Fortescue, Trans. AIEE 37 (1918) 1027; V1 = (Va + a Vb + a² Vc) / 3, from memory.
    """
    a = cmath.exp(2j * math.pi / 3)
    return abs(va + a * vb + a * a * vc) / 3, abs(va + a * a * vb + a * vc) / 3


def three_phase_sequences(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> tuple[float, float]:
    """Magnitudes of the positive and the negative sequence at a motor's terminals, V."""
    first = motor.terminals[0]
    va, vb, vc = (sight.between(t, first, scenario) for t in motor.terminals)
    return sequence_volts(va, vb, vc)


def heats(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> bool:
    """Does a three-phase motor run on voltages unbalanced by 2 % or more (engine.md section 3)?"""
    if three_phase_word(motor, sight, scenario) not in (RUNS, BACKWARD):
        return False
    low, high = sorted(three_phase_sequences(motor, sight, scenario))
    return low >= figures.UNBALANCE_NOTE * high


def three_phase_word(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> str:
    """The word of a three-phase motor, by the sequences of its terminal voltages."""
    positive, negative = three_phase_sequences(motor, sight, scenario)
    if motor.volts is None:
        return OFF if max(positive, negative) < figures.SLACK else UNKNOWN
    rated = motor.volts / math.sqrt(3)
    return sequence_word(positive / rated, negative / rated)


def sequence_word(positive: float, negative: float) -> str:
    """The word for the shares of rated volts of the two sequences, in the order of engine.md section 3."""
    larger, smaller = max(positive, negative), min(positive, negative)
    if larger < figures.OFF_BELOW - figures.SLACK:
        return OFF
    if positive > figures.ON_HIGH + figures.SLACK:
        return OVER
    if smaller > figures.UNBALANCE_STALLS * larger + figures.SLACK:
        return STALLS
    if larger < figures.ON_LOW - figures.SLACK:
        return WEAK
    return RUNS if positive >= negative else BACKWARD


def torque(main: complex, aux: complex) -> float:
    """|Im| |Ia| sin(angle of Ia − angle of Im): starting torque of a two-winding motor, up to a constant.

    Source: any machines textbook on the split-phase motor, from memory: Fitzgerald, Electric Machinery.
    """
    return (main.conjugate() * aux).imag


def out_of_common(winding: Impedance, other: Impedance, amps: complex) -> complex:
    """The current counted from the terminal that both windings share."""
    return amps if winding.a in (other.a, other.b) or winding.b not in (other.a, other.b) else -amps


def psc_currents(
    motor: Motor, fed: str, sight: Sight, scenario: Mapping[str, int]
) -> tuple[complex, complex, complex, complex]:
    """Main and aux current now, and the same as designed at rated volts. A rms, at standstill.

    Raises MissingFigure.
    """
    if motor.aux is None or motor.volts is None or motor.needs is None:
        raise MissingFigure(motor.name)
    main, aux = sight.impedances[fed], sight.impedances[motor.aux]
    hertz = sight.circuit.hertz
    capacitor = -1j / (2 * math.pi * hertz * motor.needs)
    designed_main = motor.volts / ohms(main, False, hertz, scenario)
    designed_aux = motor.volts / (ohms(aux, False, hertz, scenario) + capacitor)
    now_main = out_of_common(main, aux, sight.amps(fed, scenario))
    now_aux = out_of_common(aux, main, sight.amps(motor.aux, scenario))
    return now_main, now_aux, designed_main, designed_aux


def fed_taps(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> tuple[str, ...]:
    """The windings of the main that carry a tenth or more of their designed current."""
    if motor.volts is None:
        return ()
    designed = {
        m: motor.volts / abs(ohms(sight.impedances[m], False, sight.circuit.hertz, scenario))
        for m in motor.main
    }
    return tuple(
        m for m in motor.main if abs(sight.amps(m, scenario)) >= figures.HUMS_AT * designed[m] - figures.SLACK
    )


def torque_ratio(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> float:
    """Standstill torque over the designed one; below zero the motor turns backward. 0 where it is dead.

    Raises MissingFigure.
    """
    fed = (fed_taps(motor, sight, scenario) or motor.main)[0]
    now_main, now_aux, designed_main, designed_aux = psc_currents(motor, fed, sight, scenario)
    return torque(now_main, now_aux) / torque(designed_main, designed_aux)


def psc_word(motor: Motor, sight: Sight, scenario: Mapping[str, int]) -> str:
    """The word of a two-winding motor: what its currents and its torque at standstill make of it."""
    if motor.volts is None or motor.needs is None:
        volts = [abs(sight.across(w, scenario)) for w in load_elements(motor)]
        return OFF if max(volts) < figures.SLACK else UNKNOWN
    taps = fed_taps(motor, sight, scenario)
    if len(taps) > 1:
        return OVER
    fed = (taps or motor.main)[0]
    main, aux, designed_main, designed_aux = psc_currents(motor, fed, sight, scenario)
    im, ia = abs(main) / abs(designed_main), abs(aux) / abs(designed_aux)
    if abs(sight.across(fed, scenario)) > (figures.ON_HIGH + figures.SLACK) * motor.volts:
        return OVER
    if max(im, ia) > figures.OVER_CURRENT + figures.SLACK and not sight.starting(motor, scenario):
        return OVER
    ratio = torque(main, aux) / torque(designed_main, designed_aux)
    least = figures.STARTS_COMPRESSOR if motor.compressor else figures.STARTS_FAN
    if ratio >= least - figures.SLACK:
        return RUNS
    if ratio <= -least + figures.SLACK:
        return BACKWARD
    return STALLS if max(im, ia) >= figures.HUMS_AT - figures.SLACK else OFF
