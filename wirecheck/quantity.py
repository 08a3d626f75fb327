"""Numbers with units. SI inside; pressures are gauge, `inHg` is vacuum.

A quantity's base unit is the one whose factor is 1: V, A, VA, W, ohm, F, Pa gauge, K, m, mm2, m3/s, m/s,
rpm, %, s, Hz, lux, ppm, kg.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from wirecheck.limits import GREATEST
from wirecheck.problem import meant

if TYPE_CHECKING:
    from collections.abc import Iterable

ATMOSPHERE: Final = 101_325.0  # Pa; standard atmosphere, ISO 2533
PSI: Final = 6_894.757_293_168  # Pa; pound-force over square inch, from 0.45359237 kg, 9.80665 m/s2, 25.4 mm
INCH_MERCURY: Final = 3_386.389  # Pa at 0 degC; NIST SP 811 appendix B.8 (from memory)
INCH_WATER: Final = 249.088_9  # Pa at 4 degC; NIST SP 811 appendix B.8 (from memory)
INCH: Final = 0.0254
FOOT: Final = 0.3048
GALLON: Final = 231 * INCH**3  # m3; US liquid gallon
FOOT_CANDLE: Final = 1 / FOOT**2  # lux
POUND: Final = 0.453_592_37  # kg
RANKINE_OFFSET: Final = 459.67  # degF at 0 K


class Unit(Struct, frozen=True):
    """One unit: SI = figure * factor / per + offset. `exact`: its letters' case matters (m and M differ).

    `per` keeps decimal parts exact: 5 uF is 5e-6, which 5 * 1e-6 is not.
    """

    name: str
    kind: str
    factor: float = 1.0
    offset: float = 0.0
    also: tuple[str, ...] = ()
    exact: bool = False
    per: float = 1.0

    def to_si(self, figure: float) -> float:
        return figure * self.factor / self.per + self.offset

    def from_si(self, si: float) -> float:
        return (si - self.offset) * self.per / self.factor


UNITS: Final = (
    Unit("V", "voltage", also=("volt", "volts", "Vac", "VAC")),
    Unit("mV", "voltage", exact=True, per=1e3),
    Unit("kV", "voltage", 1e3),
    Unit("A", "current", also=("amp", "amps", "ampere", "amperes")),
    Unit("mA", "current", exact=True, per=1e3),
    Unit("kA", "current", 1e3),
    Unit("VA", "apparent power"),
    Unit("kVA", "apparent power", 1e3),
    Unit("W", "power", also=("watt", "watts")),
    Unit("kW", "power", 1e3),
    Unit("ohm", "resistance", also=("ohms", "\N{GREEK CAPITAL LETTER OMEGA}", "\N{OHM SIGN}")),
    Unit("kohm", "resistance", 1e3, also=("k\N{GREEK CAPITAL LETTER OMEGA}", "k\N{OHM SIGN}", "k")),
    Unit("Mohm", "resistance", 1e6, also=("M\N{GREEK CAPITAL LETTER OMEGA}", "M\N{OHM SIGN}"), exact=True),
    Unit(
        "mohm", "resistance", also=("m\N{GREEK CAPITAL LETTER OMEGA}", "m\N{OHM SIGN}"), exact=True, per=1e3
    ),
    Unit("uF", "capacitance", also=("\N{MICRO SIGN}F", "\N{GREEK SMALL LETTER MU}F", "mfd", "MFD"), per=1e6),
    Unit("nF", "capacitance", per=1e9),
    Unit("F", "capacitance"),
    Unit("Pa", "pressure"),
    Unit("kPa", "pressure", 1e3),
    Unit("MPa", "pressure", 1e6, exact=True),
    Unit("bar", "pressure", 1e5, also=("barg", "bar g")),
    Unit("mbar", "pressure", 1e2, exact=True),
    Unit("psig", "pressure", PSI, also=("psi", "psi g")),
    Unit("psia", "pressure", PSI, -ATMOSPHERE, also=("psi abs",)),
    Unit("bara", "pressure", 1e5, -ATMOSPHERE, also=("bar abs",)),
    Unit("inHg", "pressure", -INCH_MERCURY, also=("inHg vacuum", "inHg vac", "in Hg", "in Hg vacuum")),
    Unit("inWC", "pressure", INCH_WATER, also=("inH2O", "in WC", "in w.c.", "in H2O", "iwc")),
    Unit("degC", "temperature", 1.0, 273.15, also=("°C", "C", "deg C", "celsius")),
    Unit("degF", "temperature", 5 / 9, RANKINE_OFFSET * 5 / 9, also=("°F", "F", "deg F", "fahrenheit")),
    Unit("K", "temperature", also=("kelvin",)),
    Unit("m", "length", exact=True),
    Unit("cm", "length", per=1e2),
    Unit("mm", "length", exact=True, per=1e3),
    Unit("in", "length", INCH, also=("inch", "inches", '"')),
    Unit("ft", "length", FOOT, also=("foot", "feet", "'")),
    Unit("mm2", "area", also=("mm²", "sqmm")),
    Unit("m3/s", "flow", also=("m³/s",)),
    Unit("m3/h", "flow", also=("m³/h",), per=3600),
    Unit("L/s", "flow", per=1e3),
    Unit("L/min", "flow", also=("lpm",), per=60e3),
    Unit("L/h", "flow", per=3600e3),
    Unit("cfm", "flow", FOOT**3, also=("ft3/min", "ft³/min"), per=60),
    Unit("gpm", "flow", GALLON, also=("gal/min",), per=60),
    Unit("m/s", "speed"),
    Unit("km/h", "speed", per=3.6),
    Unit("fpm", "speed", FOOT, also=("ft/min",), per=60),
    Unit("mph", "speed", 1609.344, per=3600),
    Unit("rpm", "rotation", also=("1/min", "r/min")),
    Unit("%", "percentage", also=("%RH", "% RH", "percent")),
    Unit("s", "time", also=("sec", "second", "seconds")),
    Unit("ms", "time", exact=True, per=1e3),
    Unit("min", "time", 60, also=("minute", "minutes")),
    Unit("h", "time", 3600, also=("hr", "hour", "hours")),
    Unit("d", "time", 86400, also=("day", "days")),
    Unit("Hz", "frequency", also=("hertz",)),
    Unit("lux", "illuminance", also=("lx",)),
    Unit("fc", "illuminance", FOOT_CANDLE, also=("foot-candle", "foot-candles", "footcandles")),
    Unit("ppm", "concentration"),
    Unit("kg", "mass"),
    Unit("lb", "mass", POUND, also=("lbs", "pound", "pounds")),
)

SENSED: Final = (
    "pressure", "temperature", "length", "flow", "speed", "rotation", "percentage", "time", "frequency",
    "illuminance", "concentration", "mass", "current", "voltage", "power",
)  # fmt: skip
"""Kinds that a switch may sense; where two share a spelling, the first."""

LOWEST: Final = {"pressure": -ATMOSPHERE, "temperature": 0.0, "length": -math.inf}
"""Least that a quantity can be, SI; 0 where not named. A level may lie below its mark."""

MOST: Final = {
    "capacitance": 0.1,  # 100 times the greatest start capacitor
    "current": 1e5, "voltage": 1e5, "apparent power": 1e8, "power": 1e8, "frequency": 1e6,
    "pressure": 1e8, "temperature": 3000.0, "length": 1e5,
}  # fmt: skip
"""Greatest figure, SI, where it is below `limits.GREATEST`. Project rules: beyond it, a slip of the pen."""

LEAST: Final = {"capacitance": 1e-12}
"""Least figure above 0 that a part can be marked with, SI; 1e-6 where not named. Project rule."""

SHELF: Final = {"temperature": 293.15}
"""What a switch sees as it lies on the shelf, SI; 0 where not named (contract section 2)."""

NUMBER: Final = re.compile(
    r"\s*(?P<sign>[-+]?)(?:(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<under>[0-9]+)"
    r"|(?P<number>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?))"
    r"(?![0-9.,:])\s*(?P<unit>[^-+0-9\s_].*?)?\s*"
)


class QuantityError(ValueError):
    """A text that is no figure of the kind that is wanted. `code` names the problem."""

    def __init__(self, code: str, message: str) -> None:
        self.code, self.message = code, message
        super().__init__(message)


class Measure(Struct, frozen=True):
    """A figure as written and in SI. `text` has its unit, added where the user left it out."""

    si: float
    unit: Unit
    text: str

    @property
    def figure(self) -> float:
        """The figure in its own unit."""
        return self.unit.from_si(self.si)

    def figure_in(self, name: str) -> float:
        """The figure in another unit of the same kind."""
        return unit(name, (self.unit.kind,)).from_si(self.si)


def unit(spelled: str, kinds: Iterable[str] = SENSED) -> Unit:
    """The unit that is spelled so, of one of `kinds`. Raises QuantityError."""
    kinds = tuple(kinds)
    found = _find(spelled, kinds)
    if found is not None:
        return found
    other = _find(spelled, tuple(dict.fromkeys(u.kind for u in UNITS)))
    if other is not None:
        wanted = kinds[0] if len(kinds) == 1 else "a quantity that a switch can sense"
        raise QuantityError("wrong-unit", f"{spelled} is a unit of {other.kind}, not of {wanted}.")
    known = [u.name for u in UNITS if u.kind in kinds]
    listed = f" Known: {', '.join(known)}." if len(known) <= 8 else ""
    raise QuantityError("unknown-unit", f"no unit is called {spelled}.{listed}{meant(spelled, known)}")


@lru_cache
def _find(spelled: str, kinds: tuple[str, ...]) -> Unit | None:
    spelled = " ".join(spelled.split())
    among = [u for kind in kinds for u in UNITS if u.kind == kind]
    for candidate in among:
        if spelled == candidate.name or spelled in candidate.also:
            return candidate
    folded = spelled.casefold()
    for candidate in among:
        if not candidate.exact and folded in {n.casefold() for n in (candidate.name, *candidate.also)}:
            return candidate
    return None


def read(text: str, bare: str | Unit) -> Measure:
    """A figure with or without its unit; `bare`: the unit of a bare number, which sets the kind.

    Raises QuantityError: not-a-number, unknown-unit, wrong-unit, figure-too-great, impossible-figure.
    """
    usual = bare if isinstance(bare, Unit) else unit(bare, dict.fromkeys(u.kind for u in UNITS))
    figure, spelled = split(text)
    own = usual if spelled is None else unit(spelled, (usual.kind,))
    if own.kind != "length" and "/" in text.removesuffix(spelled or ""):  # 208/230 V is no fraction
        raise QuantityError("not-a-number", f"{' '.join(text.split())} is two figures; one is expected.")
    si = own.to_si(figure)
    written = " ".join(text.split())
    if abs(si) > MOST.get(own.kind, GREATEST):
        raise QuantityError("figure-too-great", f"{written} is beyond anything that such equipment has.")
    if si < LOWEST.get(own.kind, 0.0) - 1e-6:
        raise QuantityError("impossible-figure", f"{written} cannot be: {_least(own)}.")
    return Measure(si, own, written if spelled is not None else f"{written} {own.name}")


def _least(own: Unit) -> str:
    match own.kind:
        case "pressure":
            return "a gauge pressure ends at a perfect vacuum, -14.7 psig"
        case "temperature":
            return "a temperature ends at -273.15 degC"
        case kind:
            return f"{kind} is not below 0"


def split(text: str) -> tuple[float, str | None]:
    """The number and the unit's spelling. Takes 1.5, .5, 1e3, 1/2, 1 1/2. Raises QuantityError."""
    found = NUMBER.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if found is None or (found["under"] is not None and int(found["under"]) == 0):
        hint = " Write a decimal point, and no mark for thousands." if re.search(r"[0-9],[0-9]", text) else ""
        raise QuantityError("not-a-number", f"{' '.join(text.split())} is not a number with a unit.{hint}")
    if found["number"] is not None:
        size = float(found["number"])
    else:
        size = float(int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["under"])))
    return (-size if found["sign"] == "-" else size), found["unit"]


def show(si: float, name: str | Unit, digits: int = 4) -> str:
    """A figure in a unit, for print: show(2585534, "psig") is "375 psig"."""
    own = name if isinstance(name, Unit) else unit(name, dict.fromkeys(u.kind for u in UNITS))
    figure = own.from_si(si)
    rounded = round(figure, max(0, digits - 1 - math.floor(math.log10(abs(figure))))) if figure else 0.0
    return f"{rounded:.10g} {own.name}"


def length_m(text: str) -> float:
    """A conductor's length in metres; a bare number is feet. Raises QuantityError."""
    return read(text, "ft").si


class Gauge(Struct, frozen=True):
    """A conductor's size. `awg`: 0 for 1/0, -1 for 2/0; None where it is metric. `text` is canonical."""

    text: str
    awg: int | None
    area_mm2: float


@lru_cache(256)
def gauge(text: str) -> Gauge:
    """`18 AWG`, `18`, `2/0 AWG`, `1.5 mm2`. Raises QuantityError.

    Area: ASTM B258, d = 0.005 in * 92^((36 - n) / 39).
    """
    found = re.fullmatch(r"\s*(?:#\s*)?([0-9]{1,2}|[1-4]/0)\s*(awg|ga|gauge)?\s*", text, re.IGNORECASE)
    if found is None:
        if not re.fullmatch(r"[^a-z]*(sq *)?mm[2²]?", text.strip(), re.IGNORECASE):
            raise QuantityError("not-a-gauge", f"{text.strip()} is no gauge: write it as 18 AWG or 1.5 mm2.")
        measure = read(text, "mm2")
        return Gauge(f"{measure.figure:g} mm2", None, _positive(measure.si, text))
    size = found[1]
    number = 1 - int(size[0]) if "/" in size else int(size)
    diameter_mm = 25.4 * 0.005 * 92 ** ((36 - number) / 39)
    if number > 40:
        raise QuantityError("impossible-figure", f"{size} AWG is finer than any wire of such equipment.")
    return Gauge(f"{size} AWG", number, math.pi * diameter_mm**2 / 4)


def _positive(figure: float, text: str) -> float:
    if figure <= 0:
        raise QuantityError("impossible-figure", f"{text.strip()} cannot be: it is above 0.")
    return figure
