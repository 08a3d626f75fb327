"""What a drawing consists of once it is laid out: frozen values that SVG, text equivalents and tests read.

Lengths are units of the drawing, x to the right, y down. Every piece names what it stands for in `key`.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

from wirecheck.draw.text import BASELINE_TO_BOTTOM, BASELINE_TO_TOP, width

TEXT = 11.0
NAME = 12.0
RAIL = 13.0
PLATE_HEIGHT = 14.0

Mark = Literal["", "new", "gone", "moved", "lifted"]
Anchor = Literal["start", "middle", "end"]


class Box(Struct, frozen=True):
    """A rectangle: of a label, of a symbol's ink, of a frame."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Whether the two have more than an edge in common."""
        tie = 1e-6
        return (
            self.left < other.right - tie
            and other.left < self.right - tie
            and self.top < other.bottom - tie
            and other.top < self.bottom - tie
        )


class Label(Struct, frozen=True):
    """A line of text; y is its baseline."""

    key: str
    text: str
    x: float
    y: float
    size: float = TEXT
    bold: bool = False
    anchor: Anchor = "start"
    underlined: bool = False
    whole: str = ""  # what was written before it was cut

    @property
    def box(self) -> Box:
        long = width(self.text, self.size, self.bold)
        left = self.x - {"start": 0.0, "middle": long / 2, "end": long}[self.anchor]
        return Box(
            left, self.y - BASELINE_TO_TOP * self.size, left + long, self.y + BASELINE_TO_BOTTOM * self.size
        )


class Symbol(Struct, frozen=True):
    """One element, or one motor with its windings. `ends`: each terminal and the slot where its line ends."""

    key: str
    elements: tuple[str, ...]
    symbol: str
    x: float
    y: float
    ends: tuple[tuple[str, float, float], ...]
    box: Box
    letters: str = ""
    mirrored: bool = False
    mark: Mark = ""
    says: str = ""  # the text equivalent
    pins: tuple[tuple[str, float, float], ...] = ()  # terminals lettered inside, from the centre
    frame: Box | None = None  # round what is new, or gone afterwards
    word_at: tuple[float, float] | None = None  # the middle of what it does in a state


class Stretch(Struct, frozen=True):
    """A stretch of a net: a polyline. `wires`: the conductors that this very stretch stands for.

    near: the ends of elements, element and terminal, that its current goes to or comes from, side by side:
    what each side takes is what the other gives.
    """

    key: str
    points: tuple[tuple[float, float], ...]
    wires: tuple[str, ...] = ()
    mark: Mark = ""
    rail: bool = False
    thin: bool = False  # a help line, no conductor
    near: tuple[tuple[tuple[str, str], ...], ...] = ()


class End(Struct, frozen=True):
    """Where a line stops and goes on elsewhere: at a named terminal, on another line. Its text is a Label."""

    key: str  # the terminal, or "line" and the point that both ends share
    terminal: str
    x: float
    y: float


class Dot(Struct, frozen=True):
    """Three lines or more meet."""

    key: str
    x: float
    y: float


class Plate(Struct, frozen=True):
    """A numbered mark of the change: Δ3 new. `of`: the element or conductor that it marks."""

    key: str
    of: str
    text: str
    x: float  # the middle
    y: float  # the middle

    @property
    def box(self) -> Box:
        half = plate_width(self.text) / 2
        return Box(self.x - half, self.y - PLATE_HEIGHT / 2, self.x + half, self.y + PLATE_HEIGHT / 2)


class Rule(Struct, frozen=True):
    """A thin line of a table or between parts of a sheet."""

    key: str
    left: float
    right: float
    y: float


class Bar(Struct, frozen=True):
    """A stretch of a timeline: thick where something works, hatched where it does neither thing."""

    key: str
    left: float
    right: float
    y: float  # the middle
    hatched: bool = False


Piece = Label | Symbol | Stretch | End | Dot | Plate | Rule | Bar


def plate_width(text: str) -> float:
    """Of the plate round a mark's text."""
    return width(text, TEXT, bold=True) + 8


class Panel(Struct, frozen=True):
    """Pieces in their own coordinates, placed at (x, y) of the sheet."""

    name: str
    x: float
    y: float
    width: float
    height: float
    pieces: tuple[Piece, ...]


class Sheet(Struct, frozen=True):
    """One picture. `says`: what it shows, for those who do not see it."""

    name: str
    width: float
    height: float
    panels: tuple[Panel, ...]
    says: str = ""


class Marks(Struct, frozen=True):
    """What to mark on one side of a change: mark and plate text by conductor and by device."""

    wires: dict[str, tuple[Mark, str]] = field(default_factory=dict)
    devices: dict[str, tuple[Mark, str]] = field(default_factory=dict)
