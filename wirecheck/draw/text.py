"""Widths of text, and the short forms in drawings: names cut, colours as letters, gauges as numbers."""

from __future__ import annotations

import json
import unicodedata
from functools import cache, lru_cache
from importlib.resources import files

LONGEST_NAME = 24  # characters; the whole name stands in the list
BASELINE_TO_TOP = 0.78  # of the size: highest capital with accent, from the font's outlines
BASELINE_TO_BOTTOM = 0.22

# IEC 60757:2021, letter codes of colours (from memory: check against the standard).
_LETTERS = {
    "black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU",
    "violet": "VT", "purple": "VT", "grey": "GY", "gray": "GY", "white": "WH", "pink": "PK",
    "turquoise": "TQ", "gold": "GD", "silver": "SR",
}  # fmt: skip


@cache
def _advances() -> dict[str, dict[str, int]]:
    table: dict[str, dict[str, int]] = json.loads(
        files("wirecheck.draw").joinpath("font/advances.json").read_text("utf-8")
    )
    return table


@lru_cache(maxsize=4096)
def width(text: str, size: float, bold: bool = False) -> float:
    """Units that the text takes in our font; a character that the font lacks counts as a whole square."""
    advances = _advances()
    of = advances["bold" if bold else "regular"]
    em = 2048  # units per em of the font
    return sum(of.get(c, em) for c in text) * size / em


_HIDDEN = ("Cc", "Cf", "Cs", "Co")  # control characters, direction marks, lone surrogates, private ones


def plain(text: str) -> str:
    """The text on one line, with direction marks and other characters that show nothing written as U+202E."""
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    kind = unicodedata.category(character)
    return f"U+{ord(character):04X}" if kind in _HIDDEN else " " if kind in ("Zl", "Zp") else character


def short(text: str, limit: int = LONGEST_NAME) -> str:
    """At most `limit` characters, the last of them … where something was cut."""
    text = plain(text)
    return text if len(text) <= limit else text[: limit - 1] + "…"


def fitted_line(text: str, limit: float, size: float, bold: bool = False) -> str:
    """The text cut to `limit` units, the last character … where something was cut."""
    text = plain(text)
    if len(text) <= 1 or width(text, size, bold) <= limit:
        return text
    kept, long = 0, width("…", size, bold)
    while kept < len(text) and long + width(text[kept], size, bold) <= limit:
        long += width(text[kept], size, bold)
        kept += 1
    return text[:kept].rstrip("…") + "…"


def fitted(text: str, limit: float, size: float, bold: bool = False) -> str:
    """A name, cut to 24 characters and to `limit` units."""
    return fitted_line(short(text), limit, size, bold)


def fitted_terminal(terminal: str, limit: float, size: float) -> str:
    """DEVICE.TERMINAL with the middle of the device's name cut: names that begin alike often end apart."""
    device, dot, name = plain(terminal).rpartition(".")
    name = short(name, 12)
    room = limit - width(dot + name, size)
    return fitted_line(fitted_middle(device, max(room, 20.0), size) + dot + name, limit, size)


def fitted_middle(text: str, limit: float, size: float, bold: bool = False) -> str:
    """The text with its middle cut, to 24 characters and to `limit` units."""
    text = plain(text)
    kept, shown = len(text), text
    while (len(shown) > LONGEST_NAME or width(shown, size, bold) > limit) and kept > 2:
        kept -= 1
        shown = f"{text[: kept - kept // 2]}…{text[len(text) - kept // 2 :]}"
    return shown


def wrapped(text: str, limit: float, size: float, bold: bool = False) -> tuple[str, ...]:
    """Lines no wider than `limit`; a word that is wider by itself is cut."""
    lines = [""]
    for word in plain(text).split():
        longer = f"{lines[-1]} {word}".strip()
        if width(longer, size, bold) <= limit or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(fitted_line(line, limit, size, bold) for line in lines if line)


def colour_letters(colour: str | None) -> str:
    """`white/brown` as WHBN; a colour without letters of its own as written; none as ?."""
    if not colour:
        return "?"
    words = [w for w in "".join(c if c.isalpha() else " " for c in colour.lower()).split() if w in _LETTERS]
    return "".join(_LETTERS[w] for w in words) if words else short(colour, 8)


def gauge_number(gauge: str | None) -> str:
    """`18 AWG` as 18, anything else as written without blanks; none as nothing."""
    if not gauge:
        return ""
    number, _, unit = plain(gauge).partition(" ")
    return number if unit.strip().upper() == "AWG" else short(number + unit.strip(), 8)
