"""Ladders that show a state: room for every word, lines that tell their own current, slices that fit."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.draw.circuits import random_bench, random_change
from tests.draw.reading import overlaps
from wirecheck.circuit.apply import load_change_pair
from wirecheck.draw.ladder import whole
from wirecheck.draw.pair import before_after
from wirecheck.draw.pieces import TEXT, End, Label, Stretch, Symbol
from wirecheck.draw.shapes import SHAPES, standing
from wirecheck.draw.slices import TALLEST, slices

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.draw.pieces import Panel, Piece

CHANGES = sorted((Path(__file__).parents[2] / "examples").glob("*/change*.yaml"))


def with_words(panel: Panel) -> Panel:
    """The panel with the longest word at every load and relay."""
    words = [
        Label(f"word {p.key}", "backward", *p.word_at, TEXT, True, "middle")
        for p in panel.pieces
        if isinstance(p, Symbol) and p.word_at is not None
    ]
    return replace(panel, pieces=(*panel.pieces, *words))


@pytest.mark.parametrize("change", CHANGES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_every_word_has_its_room(change: Path) -> None:
    changed = load_change_pair(change.parent / "unit.yaml", change)
    for panel in before_after(changed).panels:
        assert overlaps(with_words(panel)) == []


def test_words_have_room_in_generated_circuits() -> None:
    for seed in range(60):
        for panel in whole(random_bench(seed).circuit()).panels:
            assert overlaps(with_words(panel)) == [], seed
    for seed in range(20):
        for panel in before_after(random_change(seed)).panels:
            assert overlaps(with_words(panel)) == [], seed


def uprights(pieces: tuple[Piece, ...]) -> Iterator[tuple[str, float, float, float]]:
    for p in pieces:
        if isinstance(p, Stretch) and p.near and not p.rail and p.points[0][0] == p.points[-1][0]:
            (x, a), (_, b) = p.points[0], p.points[-1]
            yield p.key, x, min(a, b), max(a, b)


@pytest.mark.parametrize("change", CHANGES[::3], ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_no_line_lies_on_another(change: Path) -> None:
    changed = load_change_pair(change.parent / "unit.yaml", change)
    for panel in before_after(changed).panels:
        for one, other in combinations(uprights(panel.pieces), 2):
            same = one[:2] == other[:2]
            assert not (same and one[2] < other[3] and other[2] < one[3]), (one, other)


@pytest.mark.parametrize("change", CHANGES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_slices_hold_everything_once_and_fit_paper(change: Path) -> None:
    changed = load_change_pair(change.parent / "unit.yaml", change)
    parts = slices(changed)
    assert all(part.height <= TALLEST for part in parts)
    for side in ("before", "after"):
        cut = Counter(p for part in parts for p in part.panels[side].pieces if not rail(p))
        panel = next(p for p in before_after(changed).panels if p.name == side)
        assert cut == Counter(p for p in panel.pieces if not rail(p))


def rail(piece: Piece) -> bool:
    return isinstance(piece, Stretch) and piece.rail


def test_every_contact_has_two_looks() -> None:
    contacts = [n for n in SHAPES if n.startswith(("switch", "contact", "breaker", "fuse", "overload"))]
    assert len(contacts) > 30
    for name in contacts:
        assert standing(name, closed=True) != standing(name, closed=False), name


def test_no_title_stands_at_the_foot_of_a_part() -> None:
    for change in CHANGES:
        for one in slices(load_change_pair(change.with_name("unit.yaml"), change)):
            for panel in one.panels.values():
                titles = [p.y for p in panel.pieces if isinstance(p, Label) and p.key.startswith("title ")]
                ink = [p.y for p in panel.pieces if isinstance(p, Symbol | End)]
                assert all(any(y < below for below in ink) for y in titles), change
