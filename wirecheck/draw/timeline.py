"""A timeline: a quantity that rises and falls, and below it what switches, relays and loads do meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.draw.pieces import NAME, TEXT, Bar, Dot, Label, Panel, Rule, Sheet, Stretch
from wirecheck.draw.tables import Lines
from wirecheck.draw.text import fitted_middle, width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from wirecheck.draw.pieces import Piece

Kind = Literal["works", "rests", "other"]

WIDE = 360.0
LONGEST = 96.0  # of a name, units
CURVE, ROW, GAP = 74.0, 20.0, 8.0
LABEL_ROW = 13.0


class Stand(Struct, frozen=True):
    """What something does from one place of the path to the next (0 to 1)."""

    start: float
    end: float
    word: str
    kind: Kind


class Track(Struct, frozen=True):
    """One row: a switch, a relay or a load."""

    name: str
    stands: tuple[Stand, ...]


class Turn(Struct, frozen=True):
    """A point of the quantity's way: place of the path (0 to 1), height (0 to 1), and the text beside it."""

    at: float
    height: float
    text: str = ""


def sheet(
    title: str, path: Sequence[Turn], marks: Sequence[Turn], tracks: Sequence[Track], says: str
) -> Sheet:
    """path: the corners of the quantity's way, first to last. marks: the points on it where things happen."""
    head = Lines(WIDE)
    head.head("title", title)
    left = (
        max((width(fitted_middle(t.name, LONGEST, NAME, bold=True), NAME, True) for t in tracks), default=0.0)
        + 8
    )
    texts, used = _texts([*path, *marks], left)
    top = used * LABEL_ROW + 6
    pieces: list[Piece] = [*texts, *_curve(path, marks, left, top)]
    y = top + CURVE + GAP + ROW
    bottom = y + ROW * len(tracks) - ROW / 2
    pieces += [_upright(f"mark {k}", _x(m.at, left), top, bottom) for k, m in enumerate(marks)]
    for k, track in enumerate(tracks):
        pieces += _row(track, left, y + k * ROW, [_x(m.at, left) for m in marks])
    body = Panel("timeline", 0, head.y + 6, WIDE, bottom + 4, tuple(pieces))
    panels = (Panel("head", 0, 0, WIDE, head.y + 4, tuple(head.pieces)), body)
    return Sheet(title, WIDE, body.y + body.height + 4, panels, says)


def _x(at: float, left: float) -> float:
    return left + at * (WIDE - left - 6)


def _texts(points: Sequence[Turn], left: float) -> tuple[list[Label], int]:
    """The values above the curve, on as many rows as they need so that none lies on another."""
    rows: list[float] = []
    found: list[Label] = []
    for k, point in enumerate(sorted((p for p in points if p.text), key=lambda p: p.at)):
        wide, x = width(point.text, TEXT), _x(point.at, left)
        start = min(max(x - wide / 2, 0.0), WIDE - wide)
        row = next((r for r, end in enumerate(rows) if end + 6 <= start), len(rows))
        rows[row : row + 1] = [start + wide]
        found.append(Label(f"value {k}", point.text, start, row * LABEL_ROW + TEXT))
    return found, len(rows)


def _curve(path: Sequence[Turn], marks: Sequence[Turn], left: float, top: float) -> Iterator[Piece]:
    def at(turn: Turn) -> tuple[float, float]:
        return _x(turn.at, left), top + 6 + (1 - turn.height) * (CURVE - 12)

    yield Stretch("quantity", tuple(at(turn) for turn in path))
    for k, mark in enumerate(marks):
        yield Dot(f"point {k}", *at(mark))


def _upright(key: str, x: float, top: float, bottom: float) -> Stretch:
    return Stretch(key, ((x, top), (x, bottom)), thin=True)


def _row(track: Track, left: float, y: float, uprights: Sequence[float]) -> Iterator[Piece]:
    """The name, a line where it rests, a bar where it works, and its word where there is room for it."""
    yield Label(
        f"name {track.name}", fitted_middle(track.name, LONGEST, NAME, bold=True), 0, y + 4, NAME, True
    )
    yield Rule(f"base {track.name}", _x(0, left), _x(1, left), y)
    for k, stand in enumerate(track.stands):
        a, b = _x(stand.start, left), _x(stand.end, left)
        key = f"{track.name} {k}"
        if stand.kind != "rests":
            yield Bar(f"bar {key}", a, b, y, stand.kind == "other")
        room = min([b, *(x for x in uprights if x > a + 1)]) - a
        if width(stand.word, 9) + 4 <= room:
            yield Label(f"word {key}", stand.word, a + 2, y - 5.5, 9)
