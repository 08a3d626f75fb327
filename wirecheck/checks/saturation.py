"""The temperature at which a refrigerant boils or condenses at a pressure, from the library's table."""

from __future__ import annotations

from bisect import bisect_right
from functools import cache
from math import exp, log

from msgspec import Struct

from wirecheck.checks.tables import read
from wirecheck.problem import near
from wirecheck.quantity import ATMOSPHERE, PSI, unit

# Bubble and dew are told apart where they are this far from each other (psi; facts.md 2.5).
GLIDE_PSI = 0.5


class Refrigerant(Struct, frozen=True):
    """kelvin: of each row; bubble, dew: Pa absolute."""

    name: str
    kelvin: tuple[float, ...]
    bubble: tuple[float, ...]
    dew: tuple[float, ...]

    def temperature(self, gauge: float, dew: bool = False) -> float | None:
        """Saturation temperature, K, at a gauge pressure, Pa; None outside the table."""
        rows = self.dew if dew else self.bubble
        pascal = gauge + ATMOSPHERE
        if not rows[0] <= pascal <= rows[-1]:
            return None
        k = min(bisect_right(rows, pascal), len(rows) - 1)
        share = (log(pascal) - log(rows[k - 1])) / (log(rows[k]) - log(rows[k - 1]))
        cold, hot = 1 / self.kelvin[k - 1], 1 / self.kelvin[k]
        return 1 / (cold + share * (hot - cold))

    def pressure(self, kelvin: float, dew: bool = False) -> float | None:
        """Gauge pressure, Pa, at a saturation temperature, K; None outside the table."""
        rows = self.dew if dew else self.bubble
        if not self.kelvin[0] <= kelvin <= self.kelvin[-1]:
            return None
        k = min(bisect_right(self.kelvin, kelvin), len(rows) - 1)
        cold, hot = 1 / self.kelvin[k - 1], 1 / self.kelvin[k]
        share = (1 / kelvin - cold) / (hot - cold)
        return exp(log(rows[k - 1]) + share * (log(rows[k]) - log(rows[k - 1]))) - ATMOSPHERE

    def words(self, gauge: float, scale: str) -> str:
        """`111.3 degF`, or `bubble 95.1, dew 104.3 degF`; "" outside the table, which ends sooner for dew."""
        bubble = self.temperature(gauge)
        if bubble is None:
            return ""
        dew, at_dew = self.temperature(gauge, dew=True), self.pressure(bubble, dew=True)
        if at_dew is None or gauge - at_dew < GLIDE_PSI * PSI:
            return f"{degrees(bubble, scale)} {scale}"
        if dew is None:
            most = degrees(self.kelvin[len(self.dew) - 1], scale)
            return f"bubble {degrees(bubble, scale)}, dew above {most} {scale}"
        return f"bubble {degrees(bubble, scale)}, dew {degrees(dew, scale)} {scale}"


def degrees(kelvin: float, name: str) -> str:
    """To a tenth of a degree."""
    return f"{unit(name).from_si(kelvin):.1f}"


@cache
def names() -> dict[str, str]:
    """Every spelling, folded -> the name in the table."""
    found: dict[str, str] = {}
    for name, row in read("saturation")["refrigerants"].items():
        found |= {folded(n): name for n in (name, *row.get("also", ()))}
    return found


def folded(name: str) -> str:
    """R-410A, 410a and R 410A are one."""
    bare = name.casefold().replace("-", "").replace(" ", "")
    return f"r{bare}" if bare[:1].isdigit() else bare


def near_names(name: str) -> tuple[str, ...]:
    """At most two refrigerants of the table that were probably meant."""
    return tuple(names()[n] for n in near(folded(name), names()))


@cache
def refrigerant(name: str) -> Refrigerant | None:
    """A refrigerant of the table by any of its spellings; None where it has none."""
    known = names().get(folded(name))
    if known is None:
        return None
    table = read("saturation")
    row = table["refrigerants"][known]
    first, step = float(table["first_degf"]), float(table["step_degf"])
    bubble = tuple(float(p) * PSI for p in row["bubble"])
    dew = tuple(float(p) * PSI for p in row.get("dew", row["bubble"]))
    return Refrigerant(
        known, tuple((first + step * k + 459.67) * 5 / 9 for k in range(len(bubble))), bubble, dew
    )
