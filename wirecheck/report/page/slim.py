"""Drawings as they travel in a page: what the page's style says once is not said again at every piece."""

from __future__ import annotations

import re

_NUMBERS = re.compile(r'( (?:d|x|y|cx|cy|x1|x2|y1|y2|width|height|points|transform)=")([^"]*)(")')
_LONG = re.compile(r"-?\d+\.\d\d+")
_TEXT = re.compile(r"<text([^>]*)>")
_QUESTION = re.compile(r'<text class="q"[^>]*>\?</text>')
_STRAIGHT = re.compile(r"M(\S+) (\S+)L(\S+) (\S+?)(?=\")")
_SAID = {
    ' text-anchor="middle"': "m", ' text-anchor="end"': "e",
    ' font-weight="700"': "b", ' font-size="12"': "n",
}  # fmt: skip
_ZERO = re.compile(r' (?:x|y|cx|cy)="0"')
_INK = re.compile(r'(?:<(?:path|circle) class="ink"[^>]*/>\n?){1,}')
_WAYS = re.compile(r'<g class="(open|shut)"([^>]*)><use class="ink" ([^>]*)/></g>')
_FIELD = re.compile(r'<path class="field" d="([^"]*)"/>')
_MARGIN = re.compile(
    r'viewBox="-10 -10 380 ([\d.]+)"'
)  # of a sheet of 360: no phone or paper has room for it
_BETWEEN = re.compile(r">\s*\n\s*<")
_LEAST = 60  # letters of ink from which it is worth a shape of its own
# What the short classes stand for.
STYLE = """
figure text{font-size:11px}.m,.q{text-anchor:middle}.e{text-anchor:end}.b{font-weight:700}
figure .n{font-size:12px}.ladder circle[data-id]{r:1.6px}.connections .body{rx:1px}
.connections circle:not([r]){r:2.6px}.connections circle:not([class]){fill:#fff;stroke:#222;stroke-width:1.2}
.connections [data-level=voltage]>circle:not([class]){stroke-width:2.4}
.connections [data-level=current]>circle:not([class]){fill:#222}
.ladder path[data-level]{fill:none;stroke:#222;stroke-width:1.6}
.ladder path[data-level=voltage]{stroke:#8f4a00;stroke-width:2.6}
.ladder path[data-level=current]{stroke:#0b55a4;stroke-width:4.2}
.ladder path[data-level=unknown]+.q{display:inline}
.overview polygon,.overview ellipse,.overview path{fill:none;stroke:#111}.overview .bare{stroke:none}
"""


class Shapes:
    """Ink that stands once in a page, and is used wherever it is drawn."""

    def __init__(self) -> None:
        self._known: dict[str, str] = {}

    def use(self, ink: str) -> str:
        """A reference to ink that is set in one piece; short ink stays as it is."""
        bare = ink.replace(' class="ink"', "").replace("\n", "")
        if len(bare) < _LEAST:
            return ink
        name = self._known.setdefault(bare, f"i{len(self._known)}")
        return f'<use class="ink" href="#{name}"/>'

    def defs(self) -> str:
        return (
            "<defs>" + "".join(f'<g id="{name}">{ink}</g>' for ink, name in self._known.items()) + "</defs>"
        )


class Slim:
    """Writes drawings in fewer letters. unknown: can any level be unknown? Else the marks for that can go."""

    def __init__(self, shapes: Shapes, unknown: bool) -> None:
        self.shapes, self.unknown = shapes, unknown

    def ladder(self, svg: str) -> str:
        """With shared shapes; its description lists every element."""
        svg = re.sub(r'<path class="net" +data-', "<path data-", svg)
        svg = _INK.sub(lambda m: self.shapes.use(m[0]), svg)
        return self._slim(_WAYS.sub(r'<use class="ink \1"\2 \3/>', svg))

    def connections(self, svg: str) -> str:
        """The list of conductors describes it; the lines between terminals are one path."""
        svg = re.sub(r"<desc>.*?</desc>", "", svg, count=1, flags=re.DOTALL)
        svg = _MARGIN.sub(lambda m: f'viewBox="0 -2 360 {float(m[1]) - 14:g}"', svg, count=1)
        lines = "".join(_FIELD.findall(svg))
        svg = _FIELD.sub("", svg).replace(
            '<g class="terminal"', f'<path class="field" d="{lines}"/><g class="terminal"', 1
        )
        for said in (' r="2.6"', ' rx="1"', ' class="terminal"', ' class="device"', ' class="screw"'):
            svg = svg.replace(said, "")
        return self._slim(svg)

    def overview(self, svg: str) -> str:
        """Without names for programs."""
        svg = re.sub(r"<!--.*?-->|<title>.*?</title>", "", svg, flags=re.DOTALL)
        svg = re.sub(r' (?:id|class|xml:space|font-family|xmlns(?::xlink)?)="[^"]*"', "", svg)
        svg = (
            svg.replace(' fill="none"', "")
            .replace(' stroke="black"', "")
            .replace(' stroke="none"', ' class="bare"')
        )
        svg = _LONG.sub(lambda m: f"{float(m[0]):.0f}", svg)
        svg = svg.replace("<svg ", '<svg class="overview" ', 1)
        return self._slim(svg)

    def _slim(self, svg: str) -> str:
        if not self.unknown:
            svg = _QUESTION.sub("", svg)
        start = svg.index(">") + 1
        first = re.compile(r"\s*<title>[^<]*</title>").match(svg, start)
        kept = first.end() if first else start
        svg = svg[:kept] + re.sub(r"<title>[^<]*</title>", "", svg[kept:])
        svg = _TEXT.sub(_text, svg.replace(' style="font-size:12px"', ' font-size="12"'))
        svg = _NUMBERS.sub(lambda m: m[1] + _LONG.sub(_rounded, m[2]) + m[3], svg)
        svg = _STRAIGHT.sub(_line, svg)
        svg = re.sub(r' data-key="[^"]*"', "", svg).replace(' class="slot"', "").replace(' r="1.6"', "")
        svg = re.sub(r' data-panel="[^"]*"| transform="translate\(0 0\)"', "", svg)
        return _BETWEEN.sub("><", _ZERO.sub("", svg))


def _text(found: re.Match[str]) -> str:
    """Size, anchor and weight as classes."""
    said = found[1].replace(' font-size="11"', "")
    names = []
    for attribute, name in _SAID.items():
        if attribute in said:
            said = said.replace(attribute, "")
            names.append(name)
    if names and ' class="' in said:
        said = said.replace(' class="', f' class="{" ".join(names)} ', 1)
    elif names:
        said = f' class="{" ".join(names)}"{said}'
    return f"<text{said}>"


def _rounded(found: re.Match[str]) -> str:
    """A tenth of a unit is finer than any line."""
    text = f"{float(found[0]):.1f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def _line(found: re.Match[str]) -> str:
    """A level or upright stretch by its one changing coordinate."""
    x1, y1, x2, y2 = found.groups()
    if y1 == y2:
        return f"M{x1} {y1}H{x2}"
    return f"M{x1} {y1}V{y2}" if x1 == x2 else found[0]
