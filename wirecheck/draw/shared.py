"""Uprights that lie on each other are one line, cut where one begins: each piece tells its own current."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.draw.pieces import Stretch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.draw.pieces import Piece


def untwined(pieces: Sequence[Piece]) -> list[Piece]:
    """The same pieces, uprights of one net at one place cut at each other's ends and drawn once."""
    groups: dict[tuple[str, float], list[Stretch]] = defaultdict(list)
    for piece in pieces:
        if isinstance(piece, Stretch) and _upright(piece):
            groups[piece.key, piece.points[0][0]].append(piece)
    cut = {id(p): new for group in groups.values() if len(group) > 1 for p, new in _cut(group)}
    return [new for piece in pieces for new in cut.get(id(piece), [piece])]


def _upright(piece: Stretch) -> bool:
    plain = not (piece.wires or piece.rail or piece.thin) and len(piece.points) == 2
    return plain and piece.points[0][0] == piece.points[1][0]


def _cut(group: list[Stretch]) -> list[tuple[Stretch, list[Piece]]]:
    """For each, what is drawn in its place: the first of those that share a piece draws it."""
    spans = [sorted(y for _, y in p.points) for p in group]
    stops = sorted({y for span in spans for y in span})
    x, key = group[0].points[0][0], group[0].key
    found: list[tuple[Stretch, list[Piece]]] = [(p, []) for p in group]
    for top, bottom in pairwise(stops):
        over = [k for k, (a, b) in enumerate(spans) if a <= top and bottom <= b]
        if over:
            near = tuple(sorted({e for k in over for side in group[k].near for e in side}))
            found[over[0]][1].append(Stretch(key, ((x, top), (x, bottom)), near=(near,) if near else ()))
    return found
