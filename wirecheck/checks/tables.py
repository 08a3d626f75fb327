"""The tables of the library, as figures. Each file names its sources in its head."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from msgspec import Struct

from wirecheck import quantity
from wirecheck.design.reader import own


class Size(Struct, frozen=True):
    """A row of the table of conductors. A; None where the table has no figure."""

    awg: int
    amps_60c: float | None
    amps_90c: float
    overcurrent: float | None

    @property
    def amps(self) -> float:
        """The 60 degC column, for terminals of unknown marking; of 18 and 16 AWG the only one there is."""
        return self.amps_90c if self.amps_60c is None else self.amps_60c


class Conductors(Struct, frozen=True):
    """The table of conductors."""

    source: str
    overcurrent_source: str
    sizes: tuple[Size, ...]  # thick ones last

    def size(self, gauge: str) -> Size | None:
        """The greatest size of the table that this gauge is not below; None of finer ones."""
        area = quantity.gauge(gauge).area_mm2
        fits = [s for s in self.sizes if quantity.gauge(f"{s.awg} AWG").area_mm2 <= area * (1 + 1e-9)]
        return fits[-1] if fits else None


@cache
def conductors() -> Conductors:
    """library/tables/conductors.yaml."""
    table = read("conductors")
    sizes = (
        Size(int(awg), figure(row, "amps_60c"), float(row["amps_90c"]), figure(row, "overcurrent"))
        for awg, row in table["sizes"].items()
    )
    thin_first = tuple(sorted(sizes, key=lambda s: -s.awg))
    return Conductors(table["source"], table["overcurrent_source"], thin_first)


def figure(row: dict[str, str], name: str) -> float | None:
    """A figure of a row; None where it has none."""
    return float(row[name]) if name in row else None


@cache
def read(name: str) -> dict[str, Any]:
    """One file of library/tables, every scalar as text."""
    text = (files("wirecheck") / "library" / "tables" / f"{name}.yaml").read_text(encoding="utf-8")
    return own(text)
