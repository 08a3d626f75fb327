"""The grammar of conditions and sentences, and the words that are keywords in it.

It is LALR, and its lexer contextual: a word is a keyword only where that keyword can stand, so a device may
be called `ON`, `in` or `2M`. `parser.py` is made of it: `python -m wirecheck.grammar`.
"""

from __future__ import annotations

LOAD_WORDS = ("on", "off", "runs", "stalls", "weak", "over", "backward")
RELAY_WORDS = ("in", "out", "chatters")
SWITCH_WORDS = ("open", "closed", "rest", "moved")
KEYWORDS = (
    "only when", "whenever", "exactly when", "never", "always", "stays", "after", "until", "and", "or", "not",
    "above", "below", *LOAD_WORDS, *RELAY_WORDS, *SWITCH_WORDS,
)  # fmt: skip
START = ("condition", "sentence")

_RULES = r"""
sentence: name running ONLY_WHEN either      -> only_when
        | name running WHENEVER either       -> whenever
        | name running EXACTLY_WHEN either   -> exactly_when
        | NEVER either                       -> never
        | ALWAYS either                      -> always
        | name STAYS OFF AFTER either UNTIL either -> stays_off
        | name STAYS IN AFTER either UNTIL either  -> stays_in
condition: either
running: RUNS | ON
?either: both (OR both)*
?both: part (AND part)*
?part: NOT part                              -> negated
     | "(" either ")"                        -> bracket
     | name word                             -> atom
     | name (ABOVE | BELOW) value            -> quantity
name: NAME
word: ON | OFF | RUNS | STALLS | WEAK | OVER | BACKWARD | IN | OUT | CHATTERS | OPEN | CLOSED | REST | MOVED
value: NUMBER (UNIT UNIT? UNIT?)?
NAME: /\w[\w\-]*(\.\w[\w\-]*)*/
NUMBER.2: /[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?/
UNIT: /[^\s()\d,+-][^\s(),]*/
%ignore /\s+/
"""


def terminal(keyword: str) -> str:
    """The grammar's name of a keyword."""
    return keyword.upper().replace(" ", "_")


def text() -> str:
    """The whole grammar, in the form of lark."""
    blanks, ends = r"\s+", r"(?![\w.\-])"
    words = (f"{terminal(word)}.3: /{word.replace(' ', blanks)}{ends}/" for word in KEYWORDS)
    return _RULES + "\n".join(words)
