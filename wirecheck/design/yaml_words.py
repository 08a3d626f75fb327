"""What the YAML parser says of a text that is no YAML, in plain words."""

from __future__ import annotations

import re

QUOTES = "put the whole text in quotes"
INDENT = "this line is indented otherwise than its neighbours, or stands in a place of another kind."
COLON = (
    f"no colon can stand here: with a colon in a text, {QUOTES}; `name: value` on one line goes in {{ }}; "
    "or the line before lacks its colon."
)
ITEM = "a list item (-) cannot stand here; begin it on a line of its own."
ESCAPE = r"\\\1 means nothing in double quotes; write \\\\ for a backslash."
# What the parser says -> what it means. \1 is what was found.
SAID = (
    (r"expected ',' or '(.)', but got '<stream end>'", r"the file ends, and the closing \1 is missing."),
    (r"expected ',' or '(.)', but got '<.*>'", r"a comma or the closing \1 is missing before this."),
    (r"expected ',' or '\}', but got '(.*)'", r"a comma or a closing } is missing before this \1."),
    (r"expected ',' or '\]', but got '(.*)'", r"a comma or a closing ] is missing before this \1."),
    (r"expected <block end>, but found '<block mapping start>'", INDENT),
    (r"expected <block end>, but found '<block (sequence|entry).*>'", INDENT),
    (r"expected <block end>, but found '<scalar>'", f"text goes on after a closing quote; {QUOTES}."),
    (r"expected <block end>, but found '\?'", "a line `name: value` stands among the items of a list."),
    (r"expected <block end>, but found '-'", "a list item (-) stands among lines `name: value`."),
    (r"expected <block end>, but found '(.*)'", r"\1 stands where nothing was opened that it could end."),
    (r"mapping values are not allowed here", COLON),
    (r"sequence entries are not allowed here", ITEM),
    (r"found unexpected end of stream", "the file ends inside a quoted text: the closing quote is missing."),
    (r"found character '(.)' that cannot start any token", rf"a value cannot begin with \1; {QUOTES}."),
    (r"found unknown escape character '(.*)'", ESCAPE),
    (r"could not find expected ':'", "a colon is missing: `name: value`, with a blank after the colon."),
    (r"expected the node content, but found '(.*)'", r"a value is missing before this \1."),
    (r"while scanning.*", "the text cannot be read here."),
)  # fmt: skip
AROUND = (
    (r".*flow mapping", "the { opened here"),
    (r".*flow sequence", "the [ opened here"),
    (r".*block mapping", "the lines begun here"),
    (r".*block (collection|sequence)", "the list begun here"),
    (r".*quoted scalar", "the quote opened here"),
    (r".*simple key", "the name that stands here"),
)


def plainly(problem: str) -> str:
    """The parser's sentence in plain words; what it does not tell of stays as the parser says it."""
    found = _first(SAID, problem)
    return f"not understood as YAML: {found or f'{problem}.'}"


def around(context: str) -> str:
    """What the fault lies in."""
    return _first(AROUND, context) or context


def _first(table: tuple[tuple[str, str], ...], text: str) -> str:
    return next((m.expand(words) for said, words in table if (m := re.fullmatch(said, text))), "")
