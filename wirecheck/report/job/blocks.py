"""What a sheet is made of, before it is Markdown or a page: frozen blocks of plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from wirecheck.questions.job.hands import Hand


class Text(Struct, frozen=True):
    """A paragraph. strong: what hands do."""

    text: str
    strong: bool = False
    kind: str = "text"


class Points(Struct, frozen=True):
    """A list. boxes: each with a box to tick."""

    texts: tuple[str, ...]
    boxes: bool = False
    kind: str = "points"


class Beware(Struct, frozen=True):
    """A caution, set off from all else."""

    text: str
    kind: str = "beware"


class Table(Struct, frozen=True):
    """Rows under heads. room: the last column is for writing by hand, and its cells are empty."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    room: bool = False
    kind: str = "table"


class Do(Struct, frozen=True):
    """One step: what hands do, what to beware of, what it could be confused with, what a meter then shows.

    hand: for the picture of each terminal before and after.
    """

    number: int
    text: str
    beware: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    reading: str = ""
    hand: Hand | None = None
    kind: str = "do"


class Fill(Struct, frozen=True):
    """Lines to write on, each with what belongs there."""

    labels: tuple[str, ...]
    empty: int = 0
    kind: str = "fill"


Block = Text | Points | Beware | Table | Do | Fill


class Section(Struct, frozen=True):
    """A heading and what stands under it."""

    title: str
    blocks: tuple[Block, ...]


class Sheet(Struct, frozen=True):
    """A whole sheet. verdict: of `verify`, in a word; why: in a sentence."""

    title: str
    about: tuple[str, ...]
    verdict: str
    why: str
    sections: tuple[Section, ...] = field(default=())
