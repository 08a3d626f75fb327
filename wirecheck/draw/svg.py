"""Placed pieces to SVG: one self-contained file, our font inside, the same bytes every time."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING, assert_never

from wirecheck.draw.pieces import Dot, End, Label, Plate, Rule, Stretch, Symbol
from wirecheck.draw.shapes import SHAPES
from wirecheck.draw.text import plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.draw.pieces import Panel, Piece, Sheet

MARGIN = 10.0
FAMILY = "Wirecheck Sans"
_STYLE = """
text{font-family:"Wirecheck Sans",Roboto,Arial,sans-serif;fill:#222}
.ink,.net,.rail{fill:none;stroke:#222;stroke-width:1.7}
.net{stroke-width:1.6}.rail{stroke-width:2.2}
.dot{fill:#222}
.body{fill:#fff;stroke:#222;stroke-width:1.7}
.casing{fill:none;stroke:#ffc44d;stroke-width:13;stroke-linecap:round}
.new{fill:none;stroke:#222;stroke-width:2.4;stroke-dasharray:6 4}
.gone{fill:none;stroke:#222;stroke-width:1.6;stroke-dasharray:1.6 3}
.plate{fill:#ffe9b8;stroke:#222;stroke-width:1}
.end{fill:#fff;stroke:#222;stroke-width:1.4}
.rule{stroke:#999;stroke-width:.8}
""".strip()


def svg(sheet: Sheet) -> str:
    """The sheet as SVG text. User text is escaped; control characters are written out."""
    wide, tall = sheet.width + 2 * MARGIN, sheet.height + 2 * MARGIN
    body = "\n".join(_panel(panel) for panel in sheet.panels)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}" height="{_n(tall)}" '
        f'viewBox="{_n(-MARGIN)} {_n(-MARGIN)} {_n(wide)} {_n(tall)}" role="img">\n'
        f"<title>{_text(sheet.name)}</title>\n<desc>{_text(sheet.says)}</desc>\n"
        f"<style>{_faces()}\n{_STYLE}</style>\n"
        f'<rect x="{_n(-MARGIN)}" y="{_n(-MARGIN)}" width="{_n(wide)}" height="{_n(tall)}" fill="#fff"/>\n'
        f"{body}\n</svg>\n"
    )


@cache
def _faces() -> str:
    """Our font, so that labels are as wide as the layout took them to be."""
    rules = []
    for weight, name in ((400, "regular"), (700, "bold")):
        data = b64encode(files("wirecheck.draw").joinpath(f"font/{name}.woff2").read_bytes()).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};'
            f"src:url(data:font/woff2;base64,{data}) format('woff2')}}"
        )
    return "\n".join(rules)


def _panel(panel: Panel) -> str:
    """Casings lie under all lines, lines under symbols, text on top."""
    pieces = panel.pieces
    layers = (
        *(_casing(p) for p in pieces if isinstance(p, Stretch) and p.mark),
        *(_piece(p) for p in pieces if isinstance(p, Stretch | Rule)),
        *(_piece(p) for p in pieces if isinstance(p, Symbol | Dot | End)),
        *(_piece(p) for p in pieces if isinstance(p, Label | Plate)),
    )
    inside = "\n".join(layer for layer in layers if layer)
    at = f"translate({_n(panel.x)} {_n(panel.y)})"
    return f'<g transform="{at}" data-panel="{_text(panel.name)}">\n{inside}\n</g>'


def _piece(piece: Piece) -> str:
    match piece:
        case Label():
            return _label(piece)
        case Symbol():
            return _symbol(piece)
        case Stretch():
            return f'<path class="{"rail" if piece.rail else "net"}" d="{_d(piece.points)}"/>'
        case Dot():
            return f'<circle class="dot" cx="{_n(piece.x)}" cy="{_n(piece.y)}" r="2.6"/>'
        case End():
            return f'<circle class="end" cx="{_n(piece.x)}" cy="{_n(piece.y)}" r="2.2"/>'
        case Plate():
            return _plate(piece)
        case Rule():
            y = _n(piece.y)
            return f'<path class="rule" d="M{_n(piece.left)} {y}H{_n(piece.right)}"/>'
        case _:
            assert_never(piece)


def _casing(piece: Stretch) -> str:
    return f'<path class="casing" d="{_d(piece.points)}"/>'


def _label(label: Label) -> str:
    style = f'font-size="{_n(label.size)}"'
    style += ' font-weight="700"' if label.bold else ""
    style += f' text-anchor="{label.anchor}"' if label.anchor != "start" else ""
    style += ' text-decoration="underline"' if label.underlined else ""
    whole = f"<title>{_text(label.whole)}</title>" if label.whole and label.whole != label.text else ""
    return f'<text x="{_n(label.x)}" y="{_n(label.y)}" {style}>{_text(label.text)}{whole}</text>'


def _symbol(piece: Symbol) -> str:
    """The ink, mirrored where its first terminal is at the right; letters are never mirrored."""
    at = f'<g transform="translate({_n(piece.x)} {_n(piece.y)})" data-key="{_text(piece.key)}">'
    said = f"<title>{_text(piece.says)}</title>"
    if piece.symbol in ("bar", "earth bar"):
        ink = _bar(piece)
    else:
        ink = SHAPES[piece.symbol].ink
        ink = f'<g transform="scale(-1 1)">{ink}</g>' if piece.mirrored else ink
    size = 12 if len(piece.letters) < 3 else 11
    letters = (
        f'<text y="4" font-size="{size}" font-weight="700" text-anchor="middle">{_text(piece.letters)}</text>'
        if piece.letters
        else ""
    )
    pins = "".join(
        f'<text x="{_n(x)}" y="{_n(y + 4)}" font-size="11" text-anchor="middle">{_text(name)}</text>'
        for name, x, y in piece.pins
    )
    return f"{at}{said}{_frame(piece)}{ink}{letters}{pins}</g>"


def _frame(piece: Symbol) -> str:
    """Round what is new a dashed box, round what is gone afterwards a dotted one."""
    if piece.frame is None:
        return ""
    left, top = piece.frame.left - piece.x, piece.frame.top - piece.y
    wide, tall = piece.frame.right - piece.frame.left, piece.frame.bottom - piece.frame.top
    kind = "gone" if piece.mark == "gone" else "new"
    return f'<rect class="{kind}" x="{_n(left)}" y="{_n(top)}" width="{_n(wide)}" height="{_n(tall)}"/>'


def _bar(piece: Symbol) -> str:
    """A bar with a square at each of its terminals; at earth also the sign of protective earth."""
    tall = piece.box.bottom - piece.box.top
    top = piece.box.top - piece.y
    squares = "".join(
        f'<rect class="body" x="{_n(x - piece.x - 8)}" y="{_n(y - piece.y - 3)}" width="6" height="6"/>'
        for _, x, y in piece.ends
    )
    return f'<rect class="body" x="-5" y="{_n(top)}" width="10" height="{_n(tall)}"/>{squares}'


def _plate(plate: Plate) -> str:
    box = plate.box
    return (
        f'<rect class="plate" x="{_n(box.left)}" y="{_n(box.top)}" width="{_n(box.right - box.left)}" '
        f'height="{_n(box.bottom - box.top)}" rx="2"/><text x="{_n(plate.x)}" y="{_n(plate.y + 4)}" '
        f'font-size="11" font-weight="700" text-anchor="middle">{_text(plate.text)}</text>'
    )


def _d(points: Iterable[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


def _n(value: float) -> str:
    """At most two decimals, no trailing zeros, no minus before a zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _text(text: str) -> str:
    return escape(plain(text), quote=True)
