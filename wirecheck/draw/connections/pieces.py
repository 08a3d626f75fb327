"""What a connection diagram consists of once it is laid out. Lengths are units of the drawing, y down.

`key` is what a piece stands for: a conductor's id, a device's tag, DEVICE.TERMINAL.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from wirecheck.draw.pieces import Box, Label, Plate, Rule

Point = tuple[float, float]
Holds = Literal["landed", "lifted", "capped", "cut"]  # cut: it goes on on another sheet


class Body(Struct, frozen=True):
    """A device, a supply or a splice, or a part of one. `look`: how its edge is drawn."""

    key: str
    box: Box
    look: Literal["", "new", "gone", "space", "splice"] = ""
    says: str = ""


class Terminal(Struct, frozen=True):
    """A terminal's field in its body, and the screws in it: a slot each, filled or not."""

    key: str
    box: Box
    screws: tuple[Point, ...] = ()
    vacant: tuple[Point, ...] = ()  # screws whose conductor is gone from them


class Stop(Struct, frozen=True):
    """One end of a conductor. x, y: where its line ends; screw: the slot that it is on, or was on."""

    terminal: str
    holds: Holds
    x: float
    y: float
    screw: Point


class Run(Struct, frozen=True):
    """A conductor from end to end, or as much of it as is on this sheet.

    colours: base and second colour as the colours' names, empty where the file gives none.
    """

    key: str
    points: tuple[Point, ...]
    stops: tuple[Stop, ...]
    colours: tuple[str, ...] = ()
    changed: bool = False
    says: str = ""


Piece = Body | Terminal | Run | Label | Plate | Rule


class Sheet(Struct, frozen=True):
    """One picture. `says`: what it shows, a line for each conductor."""

    name: str
    number: int
    of: int
    width: float
    height: float
    pieces: tuple[Piece, ...]
    says: str = ""
    side: Literal["", "before", "after"] = ""


class Both(Struct, frozen=True):
    """The same sheet before and after: of one size, with everything in one place."""

    number: int
    before: Sheet
    after: Sheet
