"""What a sheet is made of, before it is Markdown or a page: frozen blocks of plain text."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirecheck.questions.job.hands import Hand


@dataclass(frozen=True)
class Text:
    """A paragraph. strong: what hands do."""

    text: str
    strong: bool = False
    kind: str = "text"


@dataclass(frozen=True)
class Points:
    """A list. boxes: each with a box to tick."""

    texts: tuple[str, ...]
    boxes: bool = False
    kind: str = "points"


@dataclass(frozen=True)
class Beware:
    """A caution, set off from all else."""

    text: str
    kind: str = "beware"


@dataclass(frozen=True)
class Table:
    """Rows under heads. room: the last column is for writing by hand, and its cells are empty."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    room: bool = False
    kind: str = "table"


@dataclass(frozen=True)
class Do:
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


@dataclass(frozen=True)
class Fill:
    """Lines to write on, each with what belongs there."""

    labels: tuple[str, ...]
    empty: int = 0
    kind: str = "fill"


Block = Text | Points | Beware | Table | Do | Fill


@dataclass(frozen=True)
class Section:
    """A heading and what stands under it."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Sheet:
    """A whole sheet. verdict: of `verify`, in a word; why: in a sentence."""

    title: str
    about: tuple[str, ...]
    verdict: str
    why: str
    sections: tuple[Section, ...] = field(default=())
