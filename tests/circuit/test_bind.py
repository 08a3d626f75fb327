"""Names bound to a circuit: words that fit, what is held on a command line, near names."""

from __future__ import annotations

import pytest

from wirecheck.circuit.ask import When, bind_load, bind_when
from wirecheck.circuit.bind import bind_sentence, names_of
from wirecheck.circuit.bound import And, DelayIs, InputIs, LoadIs, Not, QuantityIs, RelayIs
from wirecheck.circuit.points import bind_terminal
from wirecheck.problem import BadInput, Place

HERE = Place("unit.yaml", 7, 5)


@pytest.fixture
def rich(unit):
    return unit("""
        conditions: {p: {unit: psig}}
        supplies: {M: {kind: single-phase, volts: 24}}
        devices:
          TH: {type: thermostat}
          CO: {type: changeover-switch}
          HP: {type: pressure-switch, rests: closed}
          K: {type: relay-no}
          T: {type: delay-on-relay}
          BLW: {type: psc-motor-3-speed, volts: 240, fla: 2}
          TB: {type: terminal-strip, terminals: 2}
        wires: [{id: W1, from: M.L, to: T.C}, {id: W2, from: T.NO, to: K.A1}]
    """)


def said(circuit, text: str):
    return bind_sentence(text, names_of(circuit), Place("unit.yaml", 7, 5, len(text)))


@pytest.mark.parametrize(
    ("words", "atom"),
    [
        ("BLW runs", LoadIs("BLW", frozenset({"on", "runs"}))),
        ("BLW on", LoadIs("BLW", frozenset({"on", "runs"}))),
        ("BLW stalls", LoadIs("BLW", frozenset({"stalls"}))),
        ("BLW.high on", LoadIs("BLW.high", frozenset({"on", "runs"}))),
        ("BLW.low off", LoadIs("BLW.low", frozenset({"off"}))),
        ("K in", RelayIs("K", "in")),
        ("T chatters", RelayIs("T", "chatters")),
        ("T.elapsed moved", DelayIs("T.elapsed", True)),
        ("TH.cool closed", InputIs("TH.cool", True)),
        ("TH.cool rest", InputIs("TH.cool", False)),
        ("HP closed", InputIs("HP", False)),
        ("HP moved", InputIs("HP", True)),
        ("CO moved", InputIs("CO", True)),
        ("p above 1 bar", QuantityIs("p", True, 100_000, "1 bar")),
    ],
)
def test_words_that_fit(rich, words: str, atom) -> None:
    assert said(rich, f"never {words}").condition == atom


@pytest.mark.parametrize(
    ("words", "code", "fragment"),
    [
        ("K runs", "word-does-not-fit", "of a relay say in, out, chatters"),
        ("BLW in", "word-does-not-fit", "of a load say on, off, runs, stalls, weak, over, backward"),
        ("BLW.high stalls", "word-does-not-fit", "of a tap say on, off, runs"),
        ("CO open", "word-does-not-fit", "of a switch say rest, moved"),
        ("T.elapsed closed", "word-does-not-fit", "of a delay say rest, moved"),
        ("p on", "word-does-not-fit", "p is a quantity"),
        ("K above 3 psig", "word-does-not-fit", "K is a relay; say in, out, chatters"),
        ("TH closed", "unknown-name", "say TH.cool, TH.fan, TH.heat"),
        ("TB closed", "unknown-name", "TB, of type terminal-strip, is no load"),
        ("HPP closed", "unknown-name", "Meant HP?"),
        ("q above 3", "unknown-name", "no load, relay, switch or quantity is called q"),
        ("p above 3 degF", "wrong-unit", "p is in psig"),
    ],
)
def test_words_that_do_not(rich, words: str, code: str, fragment: str) -> None:
    with pytest.raises(BadInput) as bad:
        said(rich, f"never {words}")
    (problem,) = bad.value.problems
    assert problem.code == code and fragment in problem.message
    value = words.rpartition("above ")
    assert problem.place.column == (11 if code != "wrong-unit" else 11 + len(value[0] + value[1]))


def test_subjects(rich) -> None:
    sentence = said(rich, "BLW stays off after HP open until TH.cool open and not K in")
    assert sentence.subject == LoadIs("BLW", frozenset({"on", "runs"}))
    assert sentence.until == And((InputIs("TH.cool", False), Not(RelayIs("K", "in"))))
    assert said(rich, "K stays in after HP open until HP closed").subject == RelayIs("K", "in")
    assert said(rich, "never K in").subject is None
    with pytest.raises(BadInput, match="K is not"):
        said(rich, "K runs only when HP closed")
    with pytest.raises(BadInput, match='found "if"'):
        said(rich, "BLW runs if HP closed")


def test_every_fault_of_a_sentence_at_once(rich) -> None:
    with pytest.raises(BadInput) as bad:
        said(rich, "BLX runs only when K on and TH open")
    assert [p.place.column for p in bad.value.problems] == [5, 24, 33]


def test_the_place_within_a_quoted_sentence(unit) -> None:
    text = "devices: {K: {type: relay-no}}\nexpects:\n  - %s\n"
    for written, column in (("never KX in", 11), ('"never KX in"', 12), (">-\n    never\n    KX in", 5)):
        with pytest.raises(BadInput) as bad:
            unit(text % written)
        assert (bad.value.problems[0].place.line, bad.value.problems[0].place.column) == (4, column)


def test_when(rich) -> None:
    assert bind_when("HP open, TH.cool closed and CO rest,, T.elapsed moved", rich) == When(
        inputs={"HP": True, "TH.cool": True, "CO": False}, delays={"T.elapsed": True}
    )
    assert bind_when("", rich) == When()
    when = bind_when("not HP open, K in, p above 300 psig", rich)
    assert when.inputs == {"HP": False} and when.relays == {"K": True}
    assert [(q.quantity, q.above) for q in when.quantities] == [("p", True)]


@pytest.mark.parametrize(
    ("text", "column", "fragment"),
    [
        ("HP open, BLW off", 10, "BLW cannot be held"),
        ("HP open or CO rest", 1, "only positions"),
        ("HP open, HP closed", 10, "held in both positions"),
        ("HP open, K chatters", 10, "K cannot be held"),
        ("HP open, XH closed", 10, "is called XH"),
        ("HP open, TH.cool", 17, "found the end"),
    ],
)
def test_when_refuses(rich, text: str, column: int, fragment: str) -> None:
    with pytest.raises(BadInput) as bad:
        bind_when(text, rich)
    (problem,) = bad.value.problems
    assert (problem.place.file, problem.place.column) == ("--when", column)
    assert fragment in problem.message


def test_load_and_terminal_by_name(rich) -> None:
    assert bind_load("BLW.low", rich, HERE) == "BLW.low"
    assert bind_terminal("K.A1", rich, HERE) == "K.A1"
    for ask, name, fragment in (
        (bind_load, "BLX", "Meant BLW"),
        (bind_terminal, "K.A3", "Meant K.A2 or K.A1"),
        (bind_terminal, "K", "K has K.C, K.NO, K.A1, K.A2"),
        (bind_terminal, "ZZZ", "no terminal is called ZZZ"),
    ):
        with pytest.raises(BadInput, match=fragment):
            ask(name, rich, HERE)


def test_what_bears_no_name_of_its_own(unit) -> None:
    """A tag whose parts are loads is told with them; which code tells a device that is there from a slip."""
    circuit = unit("""
        types:
          duo: {terminals: [A, B, C], elements: {x: {kind: resistor, across: [A, B], volts: 24, watts: 4},
                                                 y: {kind: resistor, across: [B, C], volts: 24, watts: 6}}}
        devices: {D: {type: duo}, H: {type: heater}}
    """)
    for ask, name, code, fragment in (
        (bind_load, "D", "unknown-load", "D has D.x, D.y."),
        (bind_terminal, "D", "terminal-missing", "D has D.A, D.B, D.C."),
        (bind_terminal, "D.Z", "unknown-terminal", "D has D.A, D.B, D.C."),
        (bind_terminal, "ZZZ", "unknown-terminal", "no terminal is called ZZZ."),
    ):
        with pytest.raises(BadInput) as bad:
            ask(name, circuit, HERE)
        (problem,) = bad.value.problems
        assert problem.code == code
        assert fragment in problem.message


@pytest.mark.parametrize(
    ("name", "fragment"),
    [
        ("L", "Meant M.L or DS.L?"),
        ("ground", "Meant M.PE?"),
        ("EARTH", "Meant M.PE?"),
        ("neutral", "Meant M.N?"),
        ("W1", "W1 ends at M.L and DS.L here; name one of the two"),
        ("W1:DS.T", "W1 ends at M.L and DS.L here"),
    ],
)
def test_a_point_by_letters_or_trade_word(unit, name: str, fragment: str) -> None:
    circuit = unit("""
        types: {knife: {terminals: [L, T], elements: {x: {kind: contact, across: [L, T], rests: open}}}}
        supplies: {M: {kind: single-phase, volts: 24}}
        devices: {DS: {type: knife}, GRN: {type: earth-bar, terminals: 2}}
        wires: [{id: W1, from: M.L, to: DS.L}]
    """)
    assert bind_terminal("W1:DS.L", circuit, HERE) == "DS.L"
    with pytest.raises(BadInput) as bad:
        bind_terminal(name, circuit, HERE)
    (problem,) = bad.value.problems
    assert (problem.code, fragment in problem.message) == ("unknown-terminal", True), problem.message


def test_a_conductor_by_its_one_loose_end(changed) -> None:
    lifted = "{lift: {wire: W7, end: K1.T2}}"
    circuit = changed(f"steps: [{lifted}]").after
    assert bind_terminal("W7", circuit, HERE) == "W7:K1.T2"
    both = changed(f"steps: [{lifted}, {{lift: {{wire: W7, end: FAN.common}}}}]").after
    with pytest.raises(BadInput, match="name one of the two"):
        bind_terminal("W7", both, HERE)
