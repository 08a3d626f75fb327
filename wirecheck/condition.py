"""The one small language for what is asked: the tree of conditions and sentences, names not yet bound.

What can be written is told by the grammar in `grammar.words`.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Literal, cast

from msgspec import Struct

from wirecheck.grammar.words import KEYWORDS, LOAD_WORDS, RELAY_WORDS, SWITCH_WORDS, terminal
from wirecheck.problem import meant

if TYPE_CHECKING:
    from lark import Token
    from lark.exceptions import UnexpectedInput

LONGEST = 2000  # characters of one sentence
DEEPEST = 30  # levels of `and`, `or`, `not` inside each other; trees are walked by recursion


class Atom(Struct, frozen=True):
    """`NAME WORD`: LOAD runs, RELAY in, SWITCH.position closed. column counts from 1 within the text."""

    name: str
    word: str
    column: int = 1


class QuantityAtom(Struct, frozen=True):
    """`QUANTITY above VALUE`. `value` is the user's text: 620 psig."""

    name: str
    above: bool
    value: str
    column: int = 1
    value_column: int = 1


class Not(Struct, frozen=True):
    """`not E`."""

    part: Condition


class And(Struct, frozen=True):
    """Two parts or more, all true."""

    parts: tuple[Condition, ...]


class Or(Struct, frozen=True):
    """Two parts or more, one of them true at least."""

    parts: tuple[Condition, ...]


Condition = Atom | QuantityAtom | Not | And | Or

Form = Literal["only when", "whenever", "exactly when", "never", "always", "stays off", "stays in"]


class Sentence(Struct, frozen=True):
    """One line of `expects`. subject: None for never and always. until: only of the `stays` forms."""

    form: Form
    text: str
    condition: Condition
    subject: str | None = None
    subject_column: int = 1
    until: Condition | None = None


class ConditionError(Exception):
    """A text that is no condition or sentence.

    message: stands alone. column: of what was found, from 1. expected: what could stand there.
    """

    def __init__(self, message: str, column: int, expected: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.message, self.column, self.expected = message, column, expected


# What the grammar's terminals are called, in the order in which they are offered.
_WORDS_OF: dict[str, tuple[str, ...]] = {
    "a load's word (" + ", ".join(LOAD_WORDS) + ")": LOAD_WORDS,
    "a relay's (" + ", ".join(RELAY_WORDS) + ")": RELAY_WORDS,
    "a switch's (" + ", ".join(SWITCH_WORDS) + ")": SWITCH_WORDS,
    "above or below (a quantity)": ("above", "below"),
}
_CALLED = {
    "NAME": "the name of a load, relay, switch or quantity",
    "NUMBER": "a number, with its unit if it has one",
    "UNIT": "a unit",
    "LPAR": "an opening bracket",
    "RPAR": "a closing bracket",
    "$END": "the end",
}


def parse_condition(text: str) -> Condition:
    """The tree of a condition: `and` binds tighter than `or`. Raises ConditionError."""
    condition = cast("Condition", _parse(text, "condition"))
    _cap_depth(condition)
    return condition


def parse_sentence(text: str) -> Sentence:
    """One sentence of `expects`. Raises ConditionError."""
    sentence = cast("Sentence", _parse(text, "sentence"))
    for part in (sentence.condition, sentence.until):
        if part is not None:
            _cap_depth(part)
    return sentence


def _parse(text: str, start: str) -> Condition | Sentence:
    from wirecheck.grammar.parser import UnexpectedInput

    if len(text) > LONGEST:
        raise ConditionError(f"longer than {LONGEST} characters; write it as several sentences", LONGEST + 1)
    try:
        found = _parser().parse(text, start=start)
    except UnexpectedInput:
        raise _explained(text, start) from None
    if isinstance(found, tuple):
        form, condition, subject, column, until = found
        return Sentence(form, text, condition, subject, column, until)
    return cast("Condition", found)


@cache
def _parser() -> Any:
    """The parser; it builds the tree while it reads, without recursion."""
    from wirecheck.grammar.parser import Lark_StandAlone

    made: Any = Lark_StandAlone  # it has no types
    return made(transformer=_builder())


def _builder() -> Any:
    """The callbacks that turn what the grammar found into the tree."""
    from wirecheck.grammar.parser import Transformer, v_args

    @v_args(inline=True)
    class Builder(Transformer):  # type: ignore[type-arg]
        only_when, whenever, exactly_when = _form("only when"), _form("whenever"), _form("exactly when")
        never, always = _form("never"), _form("always")
        stays_off, stays_in = _form("stays off"), _form("stays in")

        def condition(self, found: Condition) -> Condition:
            return found

        bracket = condition

        def running(self, _: Token) -> object:
            return _RUNNING

        def either(self, *found: Any) -> Or | And:
            return _joined(Or, found)

        def both(self, *found: Any) -> Or | And:
            return _joined(And, found)

        def negated(self, _: Token, part: Condition) -> Not:
            return Not(part)

        def name(self, token: Token) -> tuple[str, int]:
            return str(token), _column(token)

        def word(self, token: Token) -> str:
            return str(token)

        def atom(self, name: tuple[str, int], word: str) -> Atom:
            return Atom(name[0], word, name[1])

        def quantity(self, name: tuple[str, int], sense: Token, value: tuple[str, int]) -> QuantityAtom:
            return QuantityAtom(name[0], sense == "above", value[0], name[1], value[1])

        def value(self, number: Token, *unit: Token) -> tuple[str, int]:
            return " ".join((number, *unit)), _column(number)

    return Builder()


def _form(said: Form) -> Any:
    """The callback of one form: what Sentence takes, without the text."""

    def build(_: Any, *found: Any) -> tuple[Any, ...]:
        *subject, condition = (item for item in _nodes(found) if item is not _RUNNING)
        until = None
        if said.startswith("stays"):
            subject, until, condition = subject[:-1], condition, subject[-1]
        name, column = subject[0] if subject else (None, 1)
        return said, condition, name, column, until

    return build


def _joined(kind: type[And | Or], found: tuple[Any, ...]) -> And | Or:
    # `a and (b and c)` is the one conjunction of three, so that print and tree agree.
    parts = (p.parts if isinstance(p, kind) else (p,) for p in _nodes(found))
    return kind(tuple(part for group in parts for part in group))


def _nodes(found: tuple[Any, ...]) -> tuple[Any, ...]:
    """What the callbacks made, without the keywords between."""
    return tuple(item for item in found if not hasattr(item, "type"))


_RUNNING = object()


def _column(token: Token) -> int:
    return (token.start_pos or 0) + 1


def _cap_depth(condition: Condition) -> None:
    stack: list[tuple[Condition, int]] = [(condition, 1)]
    while stack:
        node, depth = stack.pop()
        if depth > DEEPEST:
            raise ConditionError(f"nested deeper than {DEEPEST} levels; write it as several sentences", 1)
        inner = (node.part,) if isinstance(node, Not) else node.parts if isinstance(node, And | Or) else ()
        stack.extend((part, depth + 1) for part in inner)


def _explained(text: str, begins: str) -> ConditionError:
    """What is wrong with a text that the parser refuses; begins: what it should be."""
    from lark.exceptions import UnexpectedInput

    from wirecheck.grammar.full import parser

    try:
        parser().parse(text, start=begins)
    except UnexpectedInput as error:
        return _told(error, text)
    raise AssertionError(f"one parser takes what the other refuses: {text}")


def _told(error: UnexpectedInput, text: str) -> ConditionError:
    token = getattr(error, "token", None)
    at_end = token is not None and token.type == "$END"
    start = len(text.rstrip()) if at_end else error.pos_in_stream or 0
    terminals = cast("Any", error).interactive_parser.accepts()
    expected = _called(terminals)
    could = ", ".join(expected[:-1]) + " or " + expected[-1] if len(expected) > 1 else expected[0]
    found = "the end" if at_end else _word_at(text, start)
    keywords = [word for word in KEYWORDS if terminal(word) in terminals]
    quoted = found if at_end else f'"{found}"'
    hint = _called_here(found, keywords, text[:start]) or meant(found, keywords)
    return ConditionError(f"found {quoted}, expected {could}.{hint}", start + 1, expected)


# Words of the trade for what has one name here.
_TRADE: dict[str, tuple[str, ...]] = {
    "closed": ("shut", "made", "making", "calling", "calls", "close"),
    "open": ("broken", "opened", "opens"),
    "in": ("picked", "pulled", "pulled-in"),
    "out": ("dropped", "dropped-out"),
    "runs": ("running", "works", "operates", "starts"),
    "off": ("stopped", "stops", "dead", "idle"),
    "stalls": ("hums", "stalled", "locked"),
    "moved": ("operated", "actuated"),
    "above": ("over", "exceeds", "greater", ">"),
    "below": ("under", "less", "<"),
}
_COIL = {
    "in": (' Of a relay say "in", of a load "on".', ("energized", "energised")),
    "out": (
        ' Of a relay say "out", of a load "off".',
        ("de-energized", "de-energised", "deenergized", "deenergised"),
    ),
}
_TRIPPED = (
    ' A protection that has tripped is "open" or "closed", as its contact then stands, or else "moved".'
)


def _called_here(found: str, keywords: list[str], before: str) -> str:
    """What a word of the trade is called here, where that can stand; "" where it is none."""
    if found[:1].isdigit() and before.rstrip().endswith(" over"):
        return ' Of a quantity say "above".'
    word = found.casefold()
    if word in ("tripped", "trips", "trip") and "open" in keywords:
        return _TRIPPED
    for keyword, (hint, others) in _COIL.items():
        if word in others and keyword in keywords:
            return hint
    said = next((k for k, others in _TRADE.items() if word in others and k in keywords), None)
    return f' Here that is called "{said}".' if said else ""


def _word_at(text: str, start: int) -> str:
    """What stands there, as far as it reads as one word, shortened where it is long."""
    rest = text[start:].split(maxsplit=1)[0]
    size = next((i for i, c in enumerate(rest) if c in "(),"), len(rest)) or 1
    return rest[: min(size, 40)]


def _called(terminals: set[str]) -> tuple[str, ...]:
    """The terminals in trade words: kinds of names first, then words, then `and`, `or`, brackets, the end."""
    left = {_CALLED.get(t, t.lower().replace("_", " ")) for t in terminals}
    if left >= set(LOAD_WORDS):
        for phrase, words in _WORDS_OF.items():
            left = left - set(words) | {phrase}
    order = [_CALLED["NAME"], _CALLED["NUMBER"], *_WORDS_OF, "runs", "on", _CALLED["UNIT"], *KEYWORDS]
    return tuple(sorted(left, key=lambda c: (order.index(c) if c in order else len(order), c)))
