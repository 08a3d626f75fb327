"""One element at its place: its symbol, and all that is written round it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.draw.pieces import NAME, PLATE_HEIGHT, TEXT, Box, Label, Piece, Plate, Symbol
from wirecheck.draw.sizes import (
    NOTE_STEP,
    PLATE_UP,
    REFERENCES,
    TAG_TALL,
    TERMINAL_DOWN,
    WORD_UP,
    below_ink,
    leaf_depth,
    leaf_side,
    tag_base,
    tag_text,
)
from wirecheck.draw.text import width

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.draw.look import Look


def element(look: Look, x: float, y: float, lines: Mapping[str, int]) -> list[Piece]:
    """The pieces of one element whose symbol stands at (x, y). lines: as Plan.lines."""
    shape = look.shape
    ends = ((look.left, x - shape.half, y), (look.right, x + shape.half, y))
    box = Box(x - shape.side, y - shape.top, x + shape.side, y + shape.bottom)
    symbol = Symbol(
        look.key, look.elements, look.symbol, x, y, ends, box, look.letters, look.flipped, look.mark,
        look.says, frame=_frame(look, box), word_at=_word_at(look, x, y),
    )  # fmt: skip
    top = y - tag_base(look)
    tag = Label(f"tag {look.key}", tag_text(look.tag), x, top, NAME, True, "middle", whole=look.tag)
    pieces: list[Piece] = [symbol, tag]
    if look.plate:
        middle = top - TAG_TALL - PLATE_UP - PLATE_HEIGHT / 2
        pieces.append(Plate(f"plate {look.key}", look.key, look.plate, x, middle))
    left, right, down = x - shape.side - 1, x + shape.side + 1, y + TERMINAL_DOWN
    pieces.append(Label(f"at {look.key} {look.left}", look.letterings[0], left, down, anchor="end"))
    pieces.append(Label(f"at {look.key} {look.right}", look.letterings[1], right, down))
    pieces.extend(_below(look, x, y, lines))
    return [piece for piece in pieces if not isinstance(piece, Label) or piece.text]


def _word_at(look: Look, x: float, y: float) -> tuple[float, float] | None:
    """Where the word of a load or relay stands, below all else that belongs to it."""
    return (x, y + leaf_depth(look) - WORD_UP) if look.worded else None


def _frame(look: Look, box: Box) -> Box | None:
    """Round what is new or gone afterwards: clear of its terminals."""
    if not look.framed:
        return None
    clear = leaf_side(look) - look.shape.side - 2
    bottom = max(box.bottom + 1, box.top + look.shape.top + TERMINAL_DOWN + 4)
    return Box(box.left - clear, box.top - 1, box.right + clear, bottom)


def _below(look: Look, x: float, y: float, lines: Mapping[str, int]) -> list[Piece]:
    """Set points; under a contact its coil's line, under a coil the lines of its contacts."""
    down = y + below_ink(look) + 0.8 * TEXT
    pieces: list[Piece] = [
        Label(f"set {look.key} {number}", note, x, down + number * NOTE_STEP, anchor="middle")
        for number, note in enumerate(look.notes)
    ]
    down += len(look.notes) * NOTE_STEP
    others = [(look.coil, False)] if look.coil else list(look.contacts)
    found = sorted({(lines[key], closed) for key, closed in others if key in lines})
    for start in range(0, len(found), REFERENCES):
        row = found[start : start + REFERENCES]
        pieces += _references(
            f"line {look.key} {start}", row, x, down, start == 0, start + len(row) == len(found)
        )
        down += NOTE_STEP
    return pieces


def _references(
    key: str, row: list[tuple[int, bool]], x: float, y: float, opens: bool, closes: bool
) -> list[Piece]:
    """Line numbers in brackets, those of normally-closed contacts underlined."""
    texts = [(f"{n}", closed) for n, closed in row]
    texts = [("(", False)] * opens + texts + [(")", False)] * closes
    gaps = [0.0 if "(" in (a, b) or ")" in (a, b) else 4.0 for (a, _), (b, _) in pairwise(texts)]
    start = x - (sum(width(t, TEXT) for t, _ in texts) + sum(gaps)) / 2
    pieces: list[Piece] = []
    for number, ((text, closed), gap) in enumerate(zip(texts, [*gaps, 0.0], strict=True)):
        pieces.append(Label(f"{key} {number}", text, start, y, underlined=closed))
        start += width(text, TEXT) + gap
    return pieces
