"""The parser that lark makes of the grammar at once: it can tell what might stand where a text goes wrong."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from wirecheck.grammar.words import START, text

if TYPE_CHECKING:
    from lark import Lark


@cache
def parser() -> Lark:
    """The parser, without the callbacks that build a tree."""
    from lark import Lark

    return Lark(text(), parser="lalr", lexer="contextual", start=[*START], maybe_placeholders=False)
