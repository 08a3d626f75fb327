"""Placed pieces to SVG: one self-contained file, our font inside, the same bytes every time."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING, assert_never

from wirecheck.draw.pieces import Bar, Dot, End, Label, Plate, Rule, Stretch, Symbol
from wirecheck.draw.scene import STILL, WORKS
from wirecheck.draw.shapes import SHAPES, standing
from wirecheck.draw.text import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.draw.pieces import Panel, Piece, Sheet
    from wirecheck.draw.scene import Scene

MARGIN = 10.0
FAMILY = "Wirecheck Sans"
BASE_STYLE = """
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
.help{fill:none;stroke:#777;stroke-width:.8;stroke-dasharray:2 3}
.works{fill:#222}
.doubt{fill:#fff;stroke:#222;stroke-width:1.4;stroke-dasharray:2 2}
""".strip()


# Levels by width first, then by colour (drawings.md section 5). Spelled out, for renderers without variables.
_LINES = (
    ("none", "#222", 1.6, 1.7),
    ("voltage", "#8f4a00", 2.6, 2.2),
    ("current", "#0b55a4", 4.2, 3),
    ("unknown", "#222", 1.6, 1.7),
)
LEVEL_STYLE = (
    "".join(
        f"""
.net[data-level={level}],.rail[data-level={level}]{{stroke:{colour};stroke-width:{line}}}
[data-level={level}]>.ink,[data-level={level}]>g>.ink{{stroke:{colour};stroke-width:{ink}}}
circle[data-id][data-level={level}],[data-level={level}]>g>.block{{fill:{colour}}}"""
        for level, colour, line, ink in _LINES
    )
    + """
.q{display:none;font-weight:700;paint-order:stroke;stroke:#fff;stroke-width:3px}
.net[data-level=unknown]+.q,.rail[data-level=unknown]+.q{display:inline}
.edge{fill:none;stroke:#fff;stroke-width:5}
[data-shut="0"]>.shut,[data-shut="1"]>.open{display:none}
[data-does=works]>.ink,[data-does=works]>g>.ink{fill:#cfe4ff}
[data-does=odd]>.ink,[data-does=odd]>g>.ink{fill:url(#hatch)}
"""
)
HATCH = (
    '<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="5" height="5" fill="#fff"/>'
    '<path d="M0,0V5" stroke="#555" stroke-width="2"/></pattern></defs>'
)


def svg(sheet: Sheet, scenes: Mapping[str, Scene] | None = None) -> str:
    """The sheet as SVG text. User text is escaped; control characters are written out.

    scenes: by the name of a panel, the state to show in it.
    """
    wide, tall = sheet.width + 2 * MARGIN, sheet.height + 2 * MARGIN
    shown = scenes or {}
    body = "\n".join(panel_svg(panel, shown.get(panel.name)) for panel in sheet.panels)
    style, hatch = (f"{BASE_STYLE}\n{LEVEL_STYLE}", HATCH) if scenes else (BASE_STYLE, "")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}" height="{_n(tall)}" '
        f'viewBox="{_n(-MARGIN)} {_n(-MARGIN)} {_n(wide)} {_n(tall)}" role="img">\n'
        f"<title>{escaped(sheet.name)}</title>\n<desc>{escaped(sheet.says)}</desc>\n"
        f"<style>{faces()}\n{style}</style>{hatch}\n"
        f'<rect x="{_n(-MARGIN)}" y="{_n(-MARGIN)}" width="{_n(wide)}" height="{_n(tall)}" fill="#fff"/>\n'
        f"{body}\n</svg>\n"
    )


ASCII = frozenset(map(chr, range(0x7F))) | set("°µ·×–…ΔΩ→")  # what the smaller cut of the font has


@cache
def faces(cut: str = "") -> str:
    """Our font, so that labels are as wide as the layout took them to be. cut: "-ascii", the smaller one."""
    rules = []
    for weight, name in ((400, f"regular{cut}"), (700, f"bold{cut}")):
        data = b64encode(files("wirecheck.draw").joinpath(f"font/{name}.woff2").read_bytes()).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};'
            f"src:url(data:font/woff2;base64,{data}) format('woff2')}}"
        )
    return "\n".join(rules)


def panel_svg(panel: Panel, scene: Scene | None = None) -> str:
    """Casings lie under all lines, lines under symbols, text on top."""
    pieces = panel.pieces
    layers = (
        *(_casing(p) for p in pieces if isinstance(p, Stretch) and p.mark),
        *(_piece(p, scene) for p in pieces if isinstance(p, Stretch | Rule | Bar)),
        *(_piece(p, scene) for p in pieces if isinstance(p, Symbol | Dot | End)),
        *(_piece(p, scene) for p in pieces if isinstance(p, Label | Plate)),
    )
    inside = "\n".join(layer for layer in layers if layer)
    at = f"translate({_n(panel.x)} {_n(panel.y)})"
    return f'<g transform="{at}" data-panel="{escaped(panel.name)}">\n{inside}\n</g>'


def _odd(scene: Scene, works: str) -> str:
    """The word of what neither works nor stands still."""
    word = scene.words[works]
    return "" if word in WORKS | STILL else word


def _piece(piece: Piece, scene: Scene | None = None) -> str:
    match piece:
        case Label():
            return _label(piece)
        case Symbol():
            return _symbol(piece, scene)
        case Stretch():
            return _stretch(piece, scene)
        case Dot():
            return f'<circle class="dot" cx="{_n(piece.x)}" cy="{_n(piece.y)}" r="2.6"/>'
        case End():
            return f'<circle class="end" cx="{_n(piece.x)}" cy="{_n(piece.y)}" r="2.2"/>'
        case Plate():
            return _plate(piece)
        case Rule():
            y = _n(piece.y)
            return f'<path class="rule" d="M{_n(piece.left)} {y}H{_n(piece.right)}"/>'
        case Bar():
            return _track(piece)
        case _:
            assert_never(piece)


def _track(bar: Bar) -> str:
    kind, tall = ("doubt", 10) if bar.hatched else ("works", 8)
    x, wide = _n(bar.left), _n(bar.right - bar.left)
    return f'<rect class="{kind}" x="{x}" y="{_n(bar.y - tall / 2)}" width="{wide}" height="{tall}"/>'


def _casing(piece: Stretch) -> str:
    return f'<path class="casing" d="{_d(piece.points)}"/>'


def _stretch(piece: Stretch, scene: Scene | None) -> str:
    """A line; in a state with its level, and those of the conductors that it stands for."""
    kind = "rail" if piece.rail else "help" if piece.thin else "net"
    if scene is None or not (piece.wires or piece.near):
        return f'<path class="{kind}" d="{_d(piece.points)}"/>'
    names = f'data-id="{escaped(piece.wires[0])}"' if len(piece.wires) == 1 else ""
    if not names and scene.living:
        names = f'data-of="{scene.line(piece)}"'
    line = f'<path class="{kind}" {names} data-level="{scene.of_line(piece)}" d="{_d(piece.points)}"/>'
    line += _question(piece)
    for wire in piece.wires if len(piece.wires) > 1 else ():
        line = f'<g data-id="{escaped(wire)}" data-level="{scene.level(wire)}">{line}</g>'
    return line


def _question(piece: Stretch) -> str:
    """A mark that shows where the level is unknown, on a line that is long enough."""
    (x1, y1), (x2, y2) = piece.points[0], piece.points[-1]
    if abs(x2 - x1) + abs(y2 - y1) < 12:
        return ""
    at = f'x="{_n((x1 + x2) / 2)}" y="{_n((y1 + y2) / 2 + 4)}"'
    return f'<text class="q" {at} font-size="11" text-anchor="middle">?</text>'


def _label(label: Label) -> str:
    style = f'font-size="{_n(label.size)}"'
    style += ' font-weight="700"' if label.bold else ""
    style += f' text-anchor="{label.anchor}"' if label.anchor != "start" else ""
    style += ' text-decoration="underline"' if label.underlined else ""
    whole = f"<title>{escaped(label.whole)}</title>" if label.whole and label.whole != label.text else ""
    return f'<text x="{_n(label.x)}" y="{_n(label.y)}" {style}>{escaped(label.text)}{whole}</text>'


def _symbol(piece: Symbol, scene: Scene | None) -> str:
    """The ink, mirrored where its first terminal is at the right; letters are never mirrored."""
    state = "" if scene is None else _state(piece, scene)
    at = f'<g transform="translate({_n(piece.x)} {_n(piece.y)})" data-key="{escaped(piece.key)}"{state}>'
    said = f"<title>{escaped(piece.says)}</title>"
    ink = _bar(piece) if piece.symbol in ("bar", "earth bar") else _ink(piece, scene)
    size = 12 if len(piece.letters) < 3 else 11
    letters = (
        f'<text y="4" font-size="{size}" font-weight="700" text-anchor="middle">'
        f"{escaped(piece.letters)}</text>"
        if piece.letters
        else ""
    )
    pins = "".join(
        f'<text x="{_n(x)}" y="{_n(y + 4)}" font-size="11" text-anchor="middle">{escaped(name)}</text>'
        for name, x, y in piece.pins
    )
    slots = "" if scene is None else "".join(_slot(piece, scene, *end) for end in piece.ends)
    slots += "" if scene is None else _word(piece, scene)
    return f"{at}{said}{_frame(piece)}{ink}{letters}{pins}{slots}</g>"


def _word(piece: Symbol, scene: Scene) -> str:
    """What it does, where that is neither on nor off."""
    works = scene.works(piece)
    if works is None or piece.word_at is None or not (scene.living or _odd(scene, works)):
        return ""
    at = f'x="{_n(piece.word_at[0] - piece.x)}" y="{_n(piece.word_at[1] - piece.y)}"'
    word = _odd(scene, works)
    style = 'font-size="11" font-weight="700" text-anchor="middle"'
    return f'<text {at} {style} data-does-of="{escaped(works)}">{word}</text>'


def _ink(piece: Symbol, scene: Scene | None) -> str:
    """At rest; in a state as it stands, in a living drawing both ways."""
    contact = scene.contact(piece) if scene is not None else None
    if scene is None or contact is None:
        ink = SHAPES[piece.symbol].ink
        return f'<g transform="scale(-1 1)">{ink}</g>' if piece.mirrored else ink
    mirror = ' transform="scale(-1 1)"' if piece.mirrored else ""
    ways = (False, True) if scene.living else (scene.closed[contact],)
    each = ((("open", "shut")[way], standing(piece.symbol, way)) for way in ways)
    return "".join(f'<g class="{name}"{mirror}>{ink}</g>' for name, ink in each)


def _state(piece: Symbol, scene: Scene) -> str:
    """What a symbol is, its level, how it stands and what it does."""
    name = scene.name(piece)
    found = f' data-id="{escaped(name)}" data-level="{scene.level(name)}"'
    contact = scene.contact(piece)
    if contact is not None:
        return found + f' data-contact="{escaped(contact)}" data-shut="{int(scene.closed[contact])}"'
    works = scene.works(piece)
    if works is None:
        return found
    word = scene.words[works]
    does = "works" if word in WORKS else "still" if word in STILL else "odd"
    return found + f' data-is="{escaped(works)}" data-does="{does}"'


def _slot(piece: Symbol, scene: Scene, terminal: str, x: float, y: float) -> str:
    """The point at which a line ends on a terminal."""
    at = f'cx="{_n(x - piece.x)}" cy="{_n(y - piece.y)}"'
    shown = f'data-id="{escaped(terminal)}" data-level="{scene.level(terminal)}"'
    return f'<circle class="slot" {shown} {at} r="1.6"/>'


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
        f'font-size="11" font-weight="700" text-anchor="middle">{escaped(plate.text)}</text>'
    )


def _d(points: Iterable[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


def _n(value: float) -> str:
    """At most two decimals, no trailing zeros, no minus before a zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def escaped(text: str) -> str:
    """Text for SVG and HTML, control characters written out."""
    return escape(plain(text), quote=True)
