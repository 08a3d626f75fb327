"""Connection diagrams as SVG: each conductor's way is written once, for gap, outline, core and stripe."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, assert_never

from wirecheck.draw.connections.colours import CORES
from wirecheck.draw.connections.pieces import Body, Run, Sheet, Terminal
from wirecheck.draw.pieces import TEXT, Label, Plate, Rule
from wirecheck.draw.svg import MARGIN, _n, _plate, escaped, faces

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.draw.connections.pieces import Piece, Point, Stop

LEVELS_SAY = "A thin core: no voltage; a wider one: voltage, no current; the widest: current; ?: unknown."
STYLE = """
.connections text{font-family:"Wirecheck Sans",Roboto,Arial,sans-serif;font-size:11px;fill:#222;stroke:none}
.connections .e{text-anchor:end}
.connections .body{fill:#fff;stroke:#222;stroke-width:1.4}
.connections .new{fill:#fff;stroke:#222;stroke-width:2.4;stroke-dasharray:6 4}
.connections .gone{fill:#fff;stroke:#222;stroke-width:2.4;stroke-dasharray:2 3}
.connections .space{fill:none;stroke:#777;stroke-width:1;stroke-dasharray:1.6 3}
.connections .field{fill:none;stroke:#bbb;stroke-width:.8}
.connections .screw{fill:#fff;stroke:#222;stroke-width:1.2}
.connections .vacant{fill:#fff;stroke:#222;stroke-width:1;stroke-dasharray:1.4 1.4}
.connections .wire{fill:none;stroke:#fff;stroke-width:6;stroke-linejoin:round}
.connections .casing{stroke:#ffc44d;stroke-width:13;stroke-linejoin:round;fill:none}
.connections .edge{stroke:#222;stroke-width:3.6}
.connections .core{stroke-width:2}
.connections .dots{stroke-dasharray:2 3}
.connections .dash{stroke-dasharray:5 5;stroke-width:2}
.connections .off{fill:#fff;stroke:#222;stroke-width:1.4}
.connections .bar{stroke:#222;stroke-width:2}
.connections .tip{fill:#222;stroke:none}
.connections .plate{fill:#ffe9b8;stroke:#222;stroke-width:1}
.connections .rule{stroke:#999;stroke-width:.8;fill:none}
.connections .q{display:none;font-weight:700;text-anchor:middle;stroke:#fff;stroke-width:3;paint-order:stroke}
.connections [data-level=unknown]>.q{display:inline}
.connections .wire[data-level=voltage]{stroke-width:7}
.connections [data-level=voltage]>.edge{stroke-width:4.6}
.connections [data-level=voltage]>.core,.connections [data-level=voltage]>.dash{stroke-width:3}
.connections .wire[data-level=current]{stroke-width:8.5}
.connections [data-level=current]>.edge{stroke-width:6.1}
.connections [data-level=current]>.core,.connections [data-level=current]>.dash{stroke-width:4.5}
.connections [data-level=voltage]>.screw{stroke-width:2.4}
.connections [data-level=current]>.screw{fill:#222}
.connections [data-level=voltage]>.body{stroke-width:2.2}
.connections [data-level=current]>.body{stroke-width:3.2}
""".strip()


def svg(
    sheet: Sheet, levels: Mapping[str, str] | None = None, *, prefix: str = "", bare: bool = False
) -> str:
    """The sheet as SVG text.

    levels: none, voltage, current or unknown by conductor, terminal and device; what it lacks is unknown;
    None draws at rest. prefix: before each id in the file. bare: to stand in a page that has STYLE and font.
    """
    return sheet_svg(
        sheet.name, sheet.says, [(sheet, 0.0, 0.0, levels)], (sheet.width, sheet.height), prefix, bare
    )


def sheet_svg(
    name: str,
    says: str,
    placed: Iterable[tuple[Sheet, float, float, Mapping[str, str] | None]],
    size: tuple[float, float],
    prefix: str = "",
    bare: bool = False,
) -> str:
    """Several sheets on one, each with where it stands and its levels."""
    wide, tall = size[0] + 2 * MARGIN, size[1] + 2 * MARGIN
    box = f'viewBox="{_n(-MARGIN)} {_n(-MARGIN)} {_n(wide)} {_n(tall)}" role="img"'
    held = []
    for number, (sheet, x, y, levels) in enumerate(placed):
        inside = _Writer(levels, f"{prefix}{number}-").pieces(sheet.pieces)
        side = f' data-side="{sheet.side}"' if sheet.side else ""
        held.append(f'<g transform="translate({_n(x)} {_n(y)})"{side}>\n{inside}\n</g>')
    body = "\n".join(held)
    said = f"<title>{escaped(name)}</title>\n<desc>{escaped(says)}</desc>\n"
    if bare:
        return f'<svg class="connections" {box}>\n{said}{body}\n</svg>\n'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="connections" width="{_n(wide)}" height="{_n(tall)}" '
        f"{box}>\n{said}<style>{faces()}\n{STYLE}</style>\n"
        f'<rect x="{_n(-MARGIN)}" y="{_n(-MARGIN)}" width="{_n(wide)}" height="{_n(tall)}" fill="#fff"/>\n'
        f"{body}\n</svg>\n"
    )


class _Writer:
    def __init__(self, levels: Mapping[str, str] | None, prefix: str) -> None:
        self.levels = levels
        self.prefix = prefix

    def pieces(self, pieces: Iterable[Piece]) -> str:
        """Casings lie under everything, bodies under conductors, words on top."""
        held = list(pieces)
        runs = [(number, p) for number, p in enumerate(held) if isinstance(p, Run)]
        parts = (
            *(f'<path class="casing" d="{_d(p.points)}"/>' for _, p in runs if p.changed),
            *(self._body(p) for p in held if isinstance(p, Body)),
            *(self._terminal(p) for p in held if isinstance(p, Terminal)),
            *(self._run(p, f"{self.prefix}{number}") for number, p in runs),
            *(_words(p) for p in held if isinstance(p, Label | Plate | Rule)),
        )
        return "\n".join(parts)

    def _of(self, key: str, missing: str | None = "unknown") -> str:
        """What a group is, and its level where levels are known."""
        held = self.levels.get(key, missing) if self.levels is not None else None
        level = f' data-level="{held}"' if held is not None else ""
        return f'data-id="{escaped(key)}"{level}'

    def _body(self, body: Body) -> str:
        box = body.box
        size = f'width="{_n(box.right - box.left)}" height="{_n(box.bottom - box.top)}"'
        at = f'x="{_n(box.left)}" y="{_n(box.top)}" {size}'
        if body.look == "space":
            return f'<rect class="space" {at}/>'
        kind = body.look if body.look in ("new", "gone") else "body"
        round_ = ' rx="7"' if body.look == "splice" else ' rx="1"'
        said = f"<title>{escaped(body.says)}</title>"
        return f'<g class="device" {self._of(body.key, None)}>{said}<rect class="{kind}" {at}{round_}/></g>'

    def _terminal(self, terminal: Terminal) -> str:
        box = terminal.box
        field = ""
        if box.bottom - box.top > 15:
            field = f'<path class="field" d="M{_n(box.left + 2)} {_n(box.top)}H{_n(box.right - 2)}"/>'
        screws = "".join(_ring(x, y, 2.6, "screw") for x, y in terminal.screws)
        screws += "".join(_ring(x, y, 2.6, "vacant") for x, y in terminal.vacant)
        return f'<g class="terminal" {self._of(terminal.key)}>{field}{screws}</g>'

    def _run(self, run: Run, name: str) -> str:
        use = f'<use href="#{name}" class="'
        colours = [CORES[c] for c in run.colours] or ["#fff"]
        core = "core" if run.colours else "core dots"
        stripe = f'{use}dash" stroke="{colours[1]}"/>' if len(colours) > 1 else ""
        ends = "".join(_stop(stop) for stop in run.stops)
        asks = (
            "".join(_ask(run, stop) for stop in run.stops if stop.holds != "cut")
            if self.levels is not None
            else ""
        )
        return (
            f'<g class="wire" {self._of(run.key)}><path id="{name}" d="{_d(run.points)}"/>'
            f'{use}edge"/>{use}{core}" stroke="{colours[0]}"/>{stripe}{ends}{asks}</g>'
        )


def _stop(stop: Stop) -> str:
    """A screw that holds, an open ring beside the screw, one with a bar for a cap, a tip that points on."""
    way = 1 if stop.x > stop.screw[0] else -1
    match stop.holds:
        case "landed":
            return ""
        case "lifted":
            return _ring(stop.x, stop.y, 3.2, "off")
        case "capped":
            at = f"M{_n(stop.x - way * 3.2)} {_n(stop.y - 5)}V{_n(stop.y + 5)}"
            return f'{_ring(stop.x, stop.y, 3.2, "off")}<path class="bar" d="{at}"/>'
        case "cut":
            back = f"{_n(stop.x - way * 4)} {_n(stop.y - 4.5)}V{_n(stop.y + 4.5)}"
            return f'<path class="tip" d="M{back}L{_n(stop.x + way * 2)} {_n(stop.y)}Z"/>'
        case _:
            assert_never(stop.holds)


def _ask(run: Run, stop: Stop) -> str:
    """The mark of an unknown level, on the conductor's own line."""
    points = run.points if (stop.x, stop.y) == run.points[0] else run.points[::-1]
    way = 1 if points[1][0] > points[0][0] else -1
    at = f'x="{_n(stop.x + way * 8)}" y="{_n(stop.y + 4)}"'
    return f'<text class="q" {at}>?</text>'


def _ring(x: float, y: float, r: float, kind: str) -> str:
    return f'<circle class="{kind}" cx="{_n(x)}" cy="{_n(y)}" r="{r:g}"/>'


def _d(points: Iterable[Point]) -> str:
    """Upright and level stretches."""
    held = list(points)
    text = f"M{_n(held[0][0])} {_n(held[0][1])}"
    for (x, y), (to_x, to_y) in pairwise(held):
        text += f"V{_n(to_y)}" if x == to_x else f"H{_n(to_x)}" if y == to_y else f"L{_n(to_x)} {_n(to_y)}"
    return text


def _words(piece: Label | Plate | Rule) -> str:
    match piece:
        case Label():
            return _line(piece)
        case Plate():
            return _plate(piece)
        case Rule():
            return f'<path class="rule" d="M{_n(piece.left)} {_n(piece.y)}H{_n(piece.right)}"/>'
        case _:
            assert_never(piece)


def _line(label: Label) -> str:
    """Words; 11 units high, and beginning at x, unless it is said otherwise."""
    style = f' style="font-size:{_n(label.size)}px"' if label.size != TEXT else ""
    bold = ' font-weight="700"' if label.bold else ""
    end = ' class="e"' if label.anchor == "end" else ""
    whole = f"<title>{escaped(label.whole)}</title>" if label.whole and label.whole != label.text else ""
    return f'<text x="{_n(label.x)}" y="{_n(label.y)}"{end}{style}{bold}>{escaped(label.text)}{whole}</text>'
