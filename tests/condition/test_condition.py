"""The language of sentences: what parses to what, and what is said where nothing does."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wirecheck.condition import (
    DEEPEST,
    LONGEST,
    And,
    Atom,
    Condition,
    ConditionError,
    Not,
    Or,
    QuantityAtom,
    parse_condition,
    parse_sentence,
)
from wirecheck.grammar.words import LOAD_WORDS, RELAY_WORDS, SWITCH_WORDS

ANY_WORD = (
    "a load's word (on, off, runs, stalls, weak, over, backward), a relay's (in, out, chatters), "
    "a switch's (open, closed, rest, moved) or above or below (a quantity)"
)
A, B, C = Atom("A", "on", 1), Atom("B", "in", 10), Atom("C", "open", 18)


def bare(condition: Condition) -> Condition:
    """The same tree with every column 1."""
    match condition:
        case Atom(name, word):
            return Atom(name, word)
        case QuantityAtom(name, above, value):
            return QuantityAtom(name, above, value)
        case Not(part):
            return Not(bare(part))
        case And(parts):
            return And(tuple(bare(part) for part in parts))
        case Or(parts):
            return Or(tuple(bare(part) for part in parts))


def printed(condition: Condition) -> str:
    """The condition in words again, blanks and brackets made regular; parses to the same tree."""
    match condition:
        case Atom(name, word):
            return f"{name} {word}"
        case QuantityAtom(name, above, value):
            return f"{name} {'above' if above else 'below'} {value}"
        case Not(part):
            return f"not {bracketed(part, And, Or)}"
        case And(parts):
            return " and ".join(bracketed(part, Or) for part in parts)
        case Or(parts):
            return " or ".join(printed(part) for part in parts)


def bracketed(condition: Condition, *looser: type[And | Or]) -> str:
    text = printed(condition)
    return f"({text})" if isinstance(condition, looser) else text


@pytest.mark.parametrize(
    ("text", "form", "subject", "condition"),
    [
        ("FAN runs only when COMP runs", "only when", "FAN", "COMP runs"),
        ("FAN on only  when COMP on", "only when", "FAN", "COMP on"),
        ("FAN runs whenever COMP runs", "whenever", "FAN", "COMP runs"),
        ("COMP runs exactly when K1 in", "exactly when", "COMP", "K1 in"),
        ("BLW.high on exactly when TH.cool closed", "exactly when", "BLW.high", "TH.cool closed"),
        ("never COMP runs and liquid_pressure above 620 psig", "never", None,
         "COMP runs and liquid_pressure above 620 psig"),
        ("always ALR in", "always", None, "ALR in"),
    ],
)  # fmt: skip
def test_each_form(text: str, form: str, subject: str | None, condition: str) -> None:
    sentence = parse_sentence(text)
    assert (sentence.form, sentence.subject, sentence.until) == (form, subject, None)
    assert sentence.text == text
    assert printed(sentence.condition) == condition


@pytest.mark.parametrize(("verb", "form"), [("off", "stays off"), ("in", "stays in")])
def test_stays_keeps_its_two_conditions_apart(verb: str, form: str) -> None:
    sentence = parse_sentence(f"X stays {verb} after A open or B open until R moved and S rest")
    assert (sentence.form, sentence.subject) == (form, "X")
    assert printed(sentence.condition) == "A open or B open"
    assert sentence.until is not None
    assert printed(sentence.until) == "R moved and S rest"


def test_and_binds_tighter_than_or_and_not_tighter_than_and() -> None:
    assert parse_condition("A on and B in or C open") == Or((And((A, B)), C))
    assert bare(parse_condition("A on and (B in or C open)")) == bare(And((A, Or((B, C)))))
    assert bare(parse_condition("not A on and B in")) == bare(And((Not(A), B)))
    assert bare(parse_condition("not (A on and B in)")) == bare(Not(And((A, B))))


def test_brackets_that_change_nothing_leave_one_conjunction() -> None:
    assert bare(parse_condition("A on and ((B in and C open))")) == bare(And((A, B, C)))


def test_columns_count_from_one_within_the_text() -> None:
    sentence = parse_sentence("  FAN runs whenever t below -5 degC")
    assert sentence.subject_column == 3
    assert sentence.condition == QuantityAtom("t", False, "-5 degC", column=21, value_column=29)


@pytest.mark.parametrize("word", [*LOAD_WORDS, *RELAY_WORDS, *SWITCH_WORDS])
@pytest.mark.parametrize(
    "name", ["TH.cool", "COMP.overload", "K1-A_2", "2M", "ON", "N", "Y", "in", "on", "and", "until", "above",
             "when", "never", "nothing", "only", "52", "1.5"]
)  # fmt: skip
def test_a_name_may_be_any_word_where_a_name_stands(name: str, word: str) -> None:
    if name == "never":
        assert parse_condition(f"not {name} {word}") == Not(Atom(name, word, 5))
        return
    assert parse_condition(f"{name} {word}") == Atom(name, word)
    assert parse_sentence(f"{name} runs only when {name} {word}").subject == name


@pytest.mark.parametrize(
    ("written", "kept"),
    [("620 psig", "620 psig"), ("28 bar", "28 bar"), ("-5 degC", "-5 degC"), ("1.5 in", "1.5 in"),
     ("75", "75"), ("620psig", "620 psig"), ("+3.0 ft", "+3.0 ft"), (".5 in", ".5 in"), ("2e3 Pa", "2e3 Pa"),
     ("40 %", "40 %"), ("4 m3/s", "4 m3/s"), ("20 °C", "20 °C"),
     ("2 in w.c.", "2 in w.c."), ("10 in Hg vacuum", "10 in Hg vacuum"), ('2"', '2 "')],
)  # fmt: skip
def test_values_keep_the_users_text(written: str, kept: str) -> None:
    assert parse_condition(f"q above {written}") == QuantityAtom("q", True, kept, 1, 9)
    both = parse_condition(f"(q below {written}) and in in or A on")
    assert printed(both) == f"q below {kept} and in in or A on"


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        ("", 1, "found the end, expected the name of a load, relay, switch or quantity, never or always."),
        ("FAN", 4, "found the end, expected runs, on or stays."),
        ("FAN off only when A on", 5, 'found "off", expected runs, on or stays.'),
        ("FAN runs only A on", 10,
         'found "only", expected only when, whenever or exactly when. Meant only when?'),
        ("FAN runs wenever A on", 10,
         'found "wenever", expected only when, whenever or exactly when. Meant whenever?'),
        ("never (A on", 12, "found the end, expected a closing bracket."),
        ("never A on)", 11, 'found ")", expected the end.'),
        ("never A on,", 11, 'found ",", expected and, or or the end.'),
        ("never A on B on", 12, 'found "B", expected and, or or the end.'),
        ("never q above psig", 15, 'found "psig", expected a number, with its unit if it has one.'),
        ("never q above 5 in Hg vac on", 27, 'found "on", expected and, or or the end. Meant or?'),
        ("never not", 10,
         "found the end, expected the name of a load, relay, switch or quantity, not or an opening bracket."),
        ("K1 stays out after A on until B on", 10, 'found "out", expected off or in.'),
        ("K1 stays in after A on", 23, "found the end, expected until."),
        ("A runs whenever B on until C on", 22, 'found "until", expected the end.'),
        ("A runs whenever B run", 19,
         f'found "run", expected {ANY_WORD}. Meant runs?'),
        ("never FAN.. on", 10, f'found "..", expected {ANY_WORD}.'),
    ],
)  # fmt: skip
def test_what_does_not_parse_says_what_could_stand_there(text: str, column: int, message: str) -> None:
    with pytest.raises(ConditionError) as caught:
        parse_sentence(text)
    assert (caught.value.column, caught.value.message) == (column, message)
    assert caught.value.expected
    assert all(phrase in message for phrase in caught.value.expected)


def test_a_sentence_is_no_condition() -> None:
    with pytest.raises(ConditionError) as caught:
        parse_condition("FAN runs only when A on")
    assert caught.value.column == 10


def test_length_is_capped_before_anything_is_read() -> None:
    fits = "never " + "A on or " * 249
    assert len(fits) == LONGEST - 2
    with pytest.raises(ConditionError, match="found the end"):
        parse_sentence(fits)
    with pytest.raises(ConditionError, match=f"longer than {LONGEST} characters") as caught:
        parse_sentence(fits + "A on")
    assert caught.value.column == LONGEST + 1


def test_nesting_is_capped_and_brackets_alone_are_no_nesting() -> None:
    assert parse_condition("(" * 900 + "A on" + ")" * 900) == Atom("A", "on", 901)
    deepest = "not " * (DEEPEST - 1) + "A on"
    assert printed(parse_condition(deepest)) == deepest
    for text in ("not " * DEEPEST + "A on", "not (B on and " * 16 + "A on" + ")" * 16):
        with pytest.raises(ConditionError, match=f"nested deeper than {DEEPEST} levels"):
            parse_condition(text)


NAMES = st.from_regex(r"[A-Za-z0-9_][A-Za-z0-9_\-]{0,6}(\.[A-Za-z0-9_]{1,4})?", fullmatch=True).filter(
    lambda name: name != "not"
)
VALUES = st.builds(
    "{} {}".format, st.integers(-50, 900), st.sampled_from(["psig", "bar", "degC", "in", "and_"])
)
ATOMS = st.builds(Atom, NAMES, st.sampled_from([*LOAD_WORDS, *RELAY_WORDS, *SWITCH_WORDS])) | st.builds(
    QuantityAtom, NAMES, st.booleans(), VALUES
)


def joined(kind: type[And | Or], parts: list[Condition]) -> Condition:
    """One `kind` of parts that are none themselves: the form that the parser gives."""
    flat = [inner for part in parts for inner in (part.parts if isinstance(part, kind) else (part,))]
    return kind(tuple(flat))


CONDITIONS = st.recursive(
    ATOMS,
    lambda inner: (
        st.builds(Not, inner)
        | st.builds(joined, st.sampled_from([And, Or]), st.lists(inner, min_size=2, max_size=3))
    ),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(CONDITIONS)
def test_printing_and_parsing_return_the_same_tree(condition: Condition) -> None:
    assert bare(parse_condition(printed(condition))) == condition


WORDS = [
    "A",
    "q",
    "on",
    "in",
    "and",
    "or",
    "not",
    "(",
    ")",
    "above",
    "5",
    "psig",
    "until",
    "never",
    "é",
    "<",
    "\n",
]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(WORDS)))
def test_any_words_parse_or_say_why_not(words: list[str]) -> None:
    text = " ".join(words)
    try:
        assert parse_condition(text)
    except ConditionError as error:
        assert 1 <= error.column <= len(text) + 1
        assert error.message.startswith("found ")
