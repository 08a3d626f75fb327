"""The parser that was made ahead is that of the grammar: it takes the same texts, and refuses the same."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lark.exceptions import UnexpectedInput

from wirecheck.grammar import full, parser
from wirecheck.grammar.__main__ import head
from wirecheck.grammar.words import KEYWORDS, START

MADE: Any = parser.Lark_StandAlone()
PIECES = (*KEYWORDS, "FAN", "TH.cool", "620 psig", "-3.5", "2M", "in", "(", ")", "over 5", "psig", "%", ".")


def tree(of: Any, refused: type[Exception], text: str, start: str) -> str | None:
    """The tree in words, None where the text is refused."""
    try:
        return str(of.parse(text, start=start).pretty())
    except refused:
        return None


def test_it_was_made_of_this_grammar() -> None:
    assert parser.__file__ is not None
    with open(parser.__file__, encoding="utf-8") as made:  # noqa: PTH123
        assert made.readline().strip() == head(), "python -m wirecheck.grammar"


@pytest.mark.parametrize("start", START)
@given(pieces=st.lists(st.sampled_from(PIECES), max_size=12))
@settings(max_examples=300, deadline=None)
def test_any_text(start: str, pieces: list[str]) -> None:
    text = " ".join(pieces)
    made = tree(MADE, parser.UnexpectedInput, text, start)
    assert made == tree(full.parser(), UnexpectedInput, text, start)


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("FAN runs only when COMP runs and (PS closed or not HP open)", "sentence"),
        ("K1 stays in after TH.cool closed until head above 620 psig", "sentence"),
        ("never not A on and B off or C over", "sentence"),
        ("ON on and in in and 2M moved", "condition"),
    ],
)
def test_some_that_are_taken(text: str, start: str) -> None:
    made = tree(MADE, parser.UnexpectedInput, text, start)
    assert made is not None and made == tree(full.parser(), UnexpectedInput, text, start)
