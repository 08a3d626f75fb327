"""Symbols as lines: IEEE 315 ladder form, IEC 60617 where named (from memory: check).

Centre (0,0), y down, leads on y = 0 from ±`half` outwards. Everything is drawn at rest.
"""

from __future__ import annotations

from msgspec import Struct


class Shape(Struct, frozen=True):
    """half: where the leads begin. side, top, bottom: how far ink reaches. ink: an SVG fragment."""

    half: float
    side: float
    top: float
    bottom: float
    ink: str


def _path(d: str) -> str:
    return f'<path class="ink" d="{d}"/>'


def _ring(x: float, y: float, r: float) -> str:
    return f'<circle class="ink" cx="{x:g}" cy="{y:g}" r="{r:g}"/>'


_POINTS = _ring(-10, 0, 2.2) + _ring(10, 0, 2.2)
_BLADES = {
    ("above", False): _path("M-8,-1L9,-10"),
    ("above", True): _path("M-8,-1L11,-2.6"),
    ("below", False): _path("M-8,1L9,10"),
    ("below", True): _path("M-8,1L11,2.6"),
}
# What works the blade: drawn below it, from the blade's middle.
_ACTUATORS = {
    "": ("", 0.0),
    "pressure": (_path("M0,0V14M-7,21A7,7 0 0 1 7,21Z"), 21.0),
    "temperature": (_path("M0,0V11H6V16H0V21"), 21.0),
    "level": (_path("M0,0V14.5") + _ring(0, 19, 4.5), 23.5),
    "flow": (_path("M0,0V22M0,12L9,17L0,22"), 22.0),
    "door": (_path("M-2,4L6,8L-2,14Z"), 14.0),
    "late on": (_path("M0,0V21M-4,18L0,12L4,18"), 21.0),
    "late off": (_path("M0,0V21M-4,12L0,18L4,12"), 21.0),
}


def _blade(side: str, closed: bool, actuator: str) -> Shape:
    ink, bottom = _ACTUATORS[actuator]
    # The stem starts where the blade passes x = 0.
    start = {("above", False): -5, ("above", True): -2, ("below", False): 5, ("below", True): 2}[side, closed]
    ink = ink.replace("M0,0V", f"M0,{start}V")
    return Shape(
        12.2,
        13,
        12 if side == "above" else 5,  # room for the blade either way
        max(bottom, 11 if side == "below" else 4),
        _POINTS + _BLADES[side, closed] + ink,
    )


_BARS = _path("M-5,-10V10M5,-10V10")
_HUMPS = "a5,5 0 0 1 10,0"
_CORE = _path("M-20,5H20M-20,8H20")

SHAPES: dict[str, Shape] = {
    "contact open": Shape(5, 6, 11, 11, _BARS),
    "contact closed": Shape(5, 12, 12, 12, _BARS + _path("M-11,11L11,-11")),
    "overload": Shape(5, 12, 12, 21, _BARS + _path("M-11,11L11,-11M0,0V11H6V16H0V21")),
    "fuse": Shape(12, 13, 8, 8, _path("M-12,0C-8,-10 -4,-10 0,0S8,10 12,0")),
    "breaker": Shape(12.2, 13, 17, 4, _POINTS + _path("M-10,-4Q0,-15 10,-4")),
    "breaker open": Shape(12.2, 13, 17, 4, _POINTS + _path("M-10,-10Q0,-21 10,-10")),
    "coil": Shape(12, 13, 13, 13, _ring(0, 0, 12)),
    "heater": Shape(12, 13, 7, 7, _path("M-12,-6H12V6H-12ZM-6,-6V6M0,-6V6M6,-6V6")),
    "resistor": Shape(12, 13, 8, 8, _path("M-12,0L-10,-7L-6,7L-2,-7L2,7L6,-7L10,7L12,0")),
    "lamp": Shape(10, 11, 11, 11, _ring(0, 0, 10) + _path("M-7,-7L7,7M-7,7L7,-7")),
    "capacitor": Shape(5, 9, 11, 11, _path("M-5,0H-3M-3,-10V10M4,0H5M8,-10Q0,0 8,10")),
    "winding": Shape(12, 13, 5, 2, _path("M-12,0a4,4 0 0 1 8,0a4,4 0 0 1 8,0a4,4 0 0 1 8,0")),
    "transformer": Shape(20, 21, 6, 9, _path(f"M-20,0{_HUMPS * 4}") + _CORE),
    "link": Shape(9.2, 10, 5, 5, _ring(-7, 0, 2.2) + _ring(7, 0, 2.2) + _path("M-5,-1.4H5M-5,1.4H5")),
    "motor": Shape(19, 20, 20, 20, _ring(0, 0, 19)),
}
_SLASH = "M-11,11L11,-11"
_BLOCK = '<path class="block" d="M-5,-10H5V10H-5Z"/>'
_BLOWN = _path("M-12,0C-9,-8 -6,-9 -4,-5M4,5C6,9 9,8 12,0")
SHAPES |= {
    f"switch {side} {'closed' if closed else 'open'}{' ' + actuator if actuator else ''}": _blade(
        side, closed, actuator
    )
    for (side, closed) in _BLADES
    for actuator in _ACTUATORS
}


def standing(symbol: str, closed: bool) -> str:
    """The ink of a contact that stands open or closed now, whatever its rest is."""
    if symbol.startswith("switch "):
        words = symbol.split(" ")
        words[2] = "closed" if closed else "open"
        return SHAPES[" ".join(words)].ink
    if symbol.startswith("breaker"):
        return SHAPES["breaker" if closed else "breaker open"].ink
    if symbol == "fuse" and not closed:
        return _BLOWN
    if symbol == "fuse" or not closed:
        return SHAPES[symbol].ink
    edged = f'<path class="edge" d="{_SLASH}"/>' if symbol != "contact open" else ""
    return _BLOCK + edged + SHAPES[symbol].ink
