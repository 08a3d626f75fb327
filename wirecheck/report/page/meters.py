"""What a meter reads between chosen points, as the page holds it: a row for a pair, a root for a cell."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.questions.meter import GHOST
from wirecheck.report.reading import volts_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.questions.meter import Reading
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.shown.diagram import Ref
    from wirecheck.questions.shown.points import Pair

MOST_NODES = 2_000  # of the diagram, for readings alone: beyond, the last pairs are left out
REMARK = (
    "What a voltmeter reads between two points in the state shown: computed, not measured. 0 V across an "
    "open load does not mean dead: test each end to earth."
)


class Meters(Struct, frozen=True):
    """rows: for the template. roots: of its cells, in their order. texts: what a root's value says."""

    rows: list[dict[str, Any]]
    roots: list[Ref]
    texts: list[str]
    says: list[str]


def meters(shown: Shown | None, state: int) -> Meters:
    """The pairs that a page of this size can hold, and what they read in a state."""
    if shown is None:
        return Meters([], [], [], [])
    texts, names = _texts(shown.readings)
    known: dict[Ref, Ref] = {}
    cells = {at: shown.diagram.renamed(ref, names, known) for at, ref in shown.meters.items()}
    count = _fitting(shown, cells)
    refs = [[cells.get((side, k)) for side in shown.sides] for k in range(count)]
    rows = [
        {
            "name": _name(pair),
            "words": [None if r is None else texts[shown.diagram.value(r, state)] for r in row],
        }
        for pair, row in zip(shown.pairs, refs, strict=False)
    ]
    roots = [r for row in refs for r in row if r is not None]
    left = [*shown.pairs[count:], *shown.unread]
    says = [REMARK, *_floats(texts, shown.readings)] if rows else []
    return Meters(rows, roots, texts, says + _left(left))


def _texts(readings: Sequence[Reading]) -> tuple[list[str], list[int]]:
    """What is said, each once, and by a reading's number the place of what is said of it."""
    said = [_text(r) for r in readings]
    texts = list(dict.fromkeys(said))
    return texts, [texts.index(t) for t in said]


def _text(reading: Reading) -> str:
    words = volts_words(reading)
    return f"{words}: {reading.remark}" if reading.reads == "unknown" else words


def _fitting(shown: Shown, cells: dict[tuple[str, int], Ref]) -> int:
    """How many pairs fit, the first ones first."""
    count = len(shown.pairs)
    while count:
        nodes, _ = shown.diagram.kept([ref for (_, k), ref in cells.items() if k < count])
        if len(nodes) <= MOST_NODES:
            break
        count -= 1
    return count


def _floats(texts: Sequence[str], readings: Sequence[Reading]) -> list[str]:
    floating = {_text(r) for r in readings if r.reads == "floating"}
    return [f"Floating: {GHOST}."] if floating.intersection(texts) else []


def _left(pairs: Sequence[Pair]) -> list[str]:
    if not pairs:
        return []
    names = "; ".join(_name(p) for p in pairs)
    return [f"Not held here, so as to keep the page small: {names}. `wirecheck meter` reads them."]


def _name(pair: Pair) -> str:
    return f"{pair.a} to {pair.b}"
