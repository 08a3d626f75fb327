"""Text for a terminal as plain values: lines with a style, folded to a width. Nothing here prints."""

from __future__ import annotations

from textwrap import TextWrapper
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

Style = Literal["", "head", "pass", "fail", "unknown", "note"]

CALLED = {"pass": "pass", "fail": "FAIL", "unknown": "not decided", "note": "note"}
COUNTED = (
    "How states are counted: each position of switches, delays and relays in each range of a quantity, "
    "before and after side by side. `wirecheck states` makes one row of those that differ in a range alone."
)
LAST = "This is about the wiring model only. Local code, the unit's label and a licensed person decide."


class Line(Struct, frozen=True):
    """One line. style: of its first `marked` characters, or of all."""

    text: str = ""
    style: Style = ""
    marked: int | None = None


def fold(text: str, width: int, first: str = "") -> list[str]:
    """A text on lines of `width`; `first` before the first, blanks before the others."""
    wrapper = TextWrapper(
        width=max(width, 20),
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_on_hyphens=False,
        break_long_words=True,
    )
    return wrapper.wrap(text) or [first.rstrip()]


def para(text: str, width: int, first: str = "", style: Style = "", marked: int | None = None) -> list[Line]:
    """A text folded; the style on its first line."""
    folded = fold(text, width, first)
    return [Line(folded[0], style, marked), *(Line(t, style if marked is None else "") for t in folded[1:])]


def head(text: str) -> list[Line]:
    """A blank line and a heading."""
    return [Line(), Line(text, "head")]


def items(texts: Iterable[str], width: int) -> Iterator[Line]:
    """Each text with a dash before it."""
    for text in texts:
        yield from para(text, width, "  - ")


def columns(rows: Iterable[Sequence[str]], widths: Sequence[int]) -> Iterator[str]:
    """Rows of cells, each folded within its column's width."""
    for row in rows:
        cells = [fold(cell, width) if cell else [""] for cell, width in zip(row, widths, strict=True)]
        for k in range(max(map(len, cells))):
            parts = [
                (cell[k] if k < len(cell) else "").ljust(width)
                for cell, width in zip(cells, widths, strict=True)
            ]
            yield "  ".join(parts).rstrip()


def said(names: Iterable[str], word: str = "and") -> str:
    """a, b and c."""
    *most, last = [*names] or ["none"]
    return f"{', '.join(most)} {word} {last}" if most else last


def ohms_text(value: float) -> str:
    """An ohm reading as a meter shows it: three digits, tenths at the least."""
    if value < 999.5:
        return f"{value:.1f} Ω" if value < 99.95 else f"{value:.0f} Ω"
    return f"{value / 1000:.3g} kΩ"


def volts_text(value: float) -> str:
    """A reading as a meter shows it: a digit after the point below 100 V."""
    return f"{value:.1f} V" if 0.05 <= value < 99.95 else f"{value:.0f} V"


def hot(found: Mapping[str, float]) -> str:
    """Terminals of the same volts together: K1.T1 and K1.T2 120 V."""
    groups: dict[str, list[str]] = {}
    for terminal, value in found.items():
        groups.setdefault(volts_text(value), []).append(terminal)
    return ", ".join(f"{said(names)} {value}" for value, names in groups.items())
