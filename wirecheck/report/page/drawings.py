"""The page's drawings: ladders, connection diagrams, close-ups, the overview, in the opening state."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.graph import Changed
from wirecheck.draw.bridged import bridged
from wirecheck.draw.faces import faces
from wirecheck.draw.ladder import says
from wirecheck.draw.scene import Scene
from wirecheck.draw.slices import slices
from wirecheck.draw.svg import escaped, panel_svg
from wirecheck.engine.levels import LEVELS, by_name, things
from wirecheck.questions.shown.facts import WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.report.page.slim import Slim

MOST_CONNECTIONS = 200_000  # letters; beyond, sheets that are alike before and after are drawn once
OVERVIEW = "Overview: what hangs on what"
# Units of an overview across and down a page at which its text of 11 is 8 pt: upright, and lying.
UPRIGHT, LYING = (720.0, 900.0), (1020.0, 680.0)


class Figure(Struct, frozen=True):
    """A picture: of which side, what it is called, SVG."""

    side: str
    title: str
    svg: str


class Drawing(Struct, frozen=True):
    """Rows of figures beside each other. wide: in a frame that scrolls.

    turned: on paper on a lying page; vast: too large for paper.
    """

    title: str
    rows: list[list[Figure]]
    wide: bool = False
    turned: bool = False
    vast: bool = False
    note: str = ""


def scene(shown: Shown, side: str, state: int) -> Scene:
    """One side in a state; a script may show others in the same drawing."""
    circuit = shown.circuit(side)
    levels = {t: LEVELS[shown.value(side, *t, state)] for t in things(circuit)}
    closed = {c: bool(shown.value(side, "closed", c, state)) for c in circuit.contacts}
    named = [("load", n) for n in circuit.loads] + [("relay", n) for n in circuit.relays]
    words = {n: WORDS[shown.value(side, kind, n, state)] for kind, n in named}
    return Scene(circuit, levels, closed, words, living=True)


def drawings(drawn: Changed | Circuit, scenes: Mapping[str, Scene], slim: Slim) -> list[Drawing]:
    """Everything that is drawn but the close-ups.

    scenes: none where the state is not known.
    """
    return [*ladders(drawn, scenes, slim), *connections(drawn, scenes, slim), *overview(drawn, slim)]


def names(drawn: list[Drawing]) -> dict[str, set[str]]:
    """Side -> what stands in its drawings with a level."""
    found: dict[str, set[str]] = {"before": set(), "after": set()}
    for figure in (figure for drawing in drawn for row in drawing.rows for figure in row):
        if figure.side:
            found[figure.side] |= {unescape(name) for name in re.findall(r'data-id="([^"]*)"', figure.svg)}
    return found


def ladders(drawn: Changed | Circuit, scenes: Mapping[str, Scene], slim: Slim) -> list[Drawing]:
    """The ladder, cut to what fits a page."""
    rows = []
    parts = slices(drawn)
    for number, part in enumerate(parts, 1):
        row = []
        for side, panel in part.panels.items():
            of = f", part {number} of {len(parts)}" if len(parts) > 1 else ""
            title = f"Ladder {side}{of}" if isinstance(drawn, Changed) else f"Ladder{of}"
            inside = panel_svg(panel, scenes.get(side))
            said = f"<title>{escaped(title)}</title><desc>{escaped(says(panel.pieces))}</desc>"
            svg = (
                f'<svg class="ladder" viewBox="0 0 360 {part.height:.0f}" role="img" data-of-side="{side}">'
                f"{said}{inside}</svg>"
            )
            row.append(Figure(side, title, slim.ladder(svg)))
        rows.append(row)
    if not rows:
        return [Drawing("Ladder", rows, note="Nothing is wired that a ladder could show.")]
    told = [(face.side, text) for face in faces(drawn) for text in bridged(face)]
    note = " ".join(text if side == "both" else f"{side.capitalize()}: {text}" for side, text in told)
    return [Drawing("Ladder", rows, note=note)]


def connections(drawn: Changed | Circuit, scenes: Mapping[str, Scene], slim: Slim) -> list[Drawing]:
    """Which conductor goes to which screw, a sheet after the other."""
    from wirecheck.draw import connections as drawing
    from wirecheck.draw.connections.plan import TALLEST

    rows = []
    if isinstance(drawn, Changed):
        pairs = [(b.number, {"before": b.before, "after": b.after}) for b in drawing.before_after(drawn)]
    else:
        pairs = [(s.number, {"before": s}) for s in drawing.sheets(drawn)]
    for number, sides in pairs:
        row = []
        for side, sheet in sides.items():
            shown = scenes.get(side)
            levels = by_name(shown.circuit, dict(shown.levels)) if shown is not None else None
            svg = drawing.svg(sheet, levels, prefix=f"{side[0]}{number}", bare=True)
            of = f", sheet {number} of {len(pairs)}" if len(pairs) > 1 else ""
            title = f"Connections {side}{of}" if isinstance(drawn, Changed) else f"Connections{of}"
            svg = svg.replace("<svg ", f'<svg data-of-side="{side}" ', 1)
            if sheet.height > TALLEST:
                svg = svg.replace('class="connections"', 'class="connections tall"', 1)
            row.append(Figure(side, title, slim.connections(svg)))
        rows.append(row)
    if sum(len(figure.svg) for row in rows for figure in row) > MOST_CONNECTIONS:
        rows = [_once(row) if alike(row) else row for row in rows]
    return [Drawing("Connections", rows)]


def alike(row: list[Figure]) -> bool:
    """Is a sheet wired before and after in one way?"""
    return len(row) > 1 and len({_wiring(figure.svg) for figure in row}) == 1


def _wiring(svg: str) -> str:
    """A sheet without what tells its side or its state."""
    bare = re.sub(r'data-(?:level|of-side)="\w+"|(?<=id=")[ab](?=\d)|(?<=ef="#)[ab](?=\d)', "", svg)
    return re.sub(r"[Bb]efore|[Aa]fter", "", bare)


def _once(row: list[Figure]) -> list[Figure]:
    """A sheet that the change leaves as it is, in a page that would grow too large: after alone."""
    after = row[-1]
    title = f"{after.title}; wired alike before, drawn once so as to keep the page small"
    return [Figure(after.side, title, after.svg)]


def closeups(changed: Changed, slim: Slim) -> dict[int, list[Figure]]:
    """Number of a step -> the terminals that it is the first to touch, drawn large."""
    from wirecheck.draw import connections as drawing

    found: dict[int, list[Figure]] = {}
    for number, terminals in drawing.touched_by_step(changed).items():
        for place, terminal in enumerate(terminals):
            sheet = drawing.closeup(changed, terminal)
            svg = drawing.svg(sheet, None, prefix=f"t{number}-{place}", bare=True)
            svg = svg.replace(" data-id=", " data-part=")  # it shows no state, so it has no levels
            shot = Figure("", f"{terminal}, before and after", slim.connections(svg))
            found.setdefault(number or 1, []).append(shot)
    return found


def overview(drawn: Changed | Circuit, slim: Slim) -> list[Drawing]:
    """What hangs on what; nothing where there is no program that lays it out."""
    from wirecheck.draw import overview as drawing

    try:
        text = drawing.svg(drawn, None)
    except drawing.NoDot:
        return [
            Drawing(
                OVERVIEW,
                [],
                note="No program is here that lays it out; `draw -o FILE.dot` writes it as text.",
            )
        ]
    svg = slim.overview(text[text.index("<svg") :])
    figure = Figure("", "A line for each pair, with the number of its conductors", svg)
    turned = not _fits(svg, UPRIGHT)
    vast = turned and not _fits(svg, LYING)
    return [Drawing(OVERVIEW, [[figure]], wide=True, turned=turned and not vast, vast=vast)]


def _fits(svg: str, room: tuple[float, float]) -> bool:
    """Is the picture so wide and so tall at the most?"""
    found = re.search(r'viewBox="\S+ \S+ (\S+) ([^"\s]+)"', svg)
    return found is None or all(float(size) <= most for size, most in zip(found.groups(), room, strict=True))
