"""Conditions bound to the names of one circuit, and names asked for on a command line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, cast

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck import condition as tree
from wirecheck.circuit import bound
from wirecheck.circuit.bound import Bound, BoundSentence, DelayIs, InputIs, LoadIs, QuantityIs, RelayIs
from wirecheck.circuit.elements import ByPosition, Delay, Input, Load, Motor, Quantity, Relay
from wirecheck.condition import ConditionError, parse_condition, parse_sentence
from wirecheck.design.broken import section
from wirecheck.grammar.words import LOAD_WORDS, RELAY_WORDS
from wirecheck.problem import BadInput, Place, Problem, meant
from wirecheck.quantity import QuantityError, read

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from wirecheck.circuit.graph import Circuit

RUNS = frozenset({"on", "runs"})
REST_WORDS = ("rest", "moved")
ASKED = (section("devices"), section("conditions"))  # what defines the names that can be asked of


class Names(Struct, frozen=True):
    """What a condition may name. devices: tag -> type, to say what a name is that nothing can be asked of.

    ways: the way through a contact, TH.R-Y -> what moves it.
    """

    loads: Mapping[str, Load]
    relays: Mapping[str, Relay]
    inputs: Mapping[str, Input]
    delays: Mapping[str, Delay]
    quantities: Mapping[str, Quantity]
    devices: Mapping[str, str] = field(default_factory=dict)
    ways: Mapping[str, str] = field(default_factory=dict)

    @property
    def taps(self) -> dict[str, Motor]:
        """BLW.high … of every motor with taps."""
        motors = [m for m in self.loads.values() if isinstance(m, Motor)]
        return {f"{m.name}.{tap}": m for m in motors for tap in m.taps}

    def all(self) -> list[str]:
        return [*self.loads, *self.taps, *self.relays, *self.inputs, *self.delays, *self.quantities]


def names_of(circuit: Circuit) -> Names:
    """The names of a circuit."""
    devices = {tag: device.type for tag, device in circuit.devices.items()}
    return Names(
        circuit.loads,
        circuit.relays,
        circuit.inputs,
        circuit.delays,
        circuit.quantities,
        devices,
        _ways(circuit),
    )


def _ways(circuit: Circuit) -> dict[str, str]:
    """The way through each contact, both ways round, and the switch or relay that moves it."""
    relay = {r.coil: r.name for r in circuit.relays.values()}
    found: dict[str, str] = {}
    for c in circuit.contacts.values():
        mover = c.mover.input if isinstance(c.mover, ByPosition) else relay.get(c.mover.coil, c.device)
        a, b = (end.rpartition(".")[2] for end in (c.a, c.b))
        found |= {f"{c.device}.{a}-{b}": mover, f"{c.device}.{b}-{a}": mover, c.id: mover}
    return found


@dataclass
class _Binder:
    """Binds one text, which stands at `place`."""

    names: Names
    text: str
    place: Place
    problems: list[Problem]

    def bind(self, condition: tree.Condition) -> Bound:
        match condition:
            case tree.Atom():
                return self.atom(condition.name, condition.word, condition.column)
            case tree.QuantityAtom():
                return self.quantity(condition)
            case tree.Not(part):
                return bound.Not(self.bind(part))
            case tree.And(parts):
                return bound.And(tuple(self.bind(part) for part in parts))
            case tree.Or(parts):
                return bound.Or(tuple(self.bind(part) for part in parts))

    def atom(self, name: str, word: str, column: int) -> Bound:
        fits = words_of(name, self.names)
        if word in fits:
            return fits[word]
        if fits:
            what = ", ".join(fits)
            self.problem(
                "word-does-not-fit",
                f'{name} is not "{word}"; of {kind_of(name, self.names)} say {what}.',
                column,
                name,
            )
        elif name in self.names.quantities:
            message = f"{name} is a quantity; say above or below a value."
            self.problem("word-does-not-fit", message, column, name)
        else:
            self.unknown(name, column)
        return InputIs(name, False)

    def quantity(self, said: tree.QuantityAtom) -> Bound:
        known = self.names.quantities.get(said.name)
        value = 0.0
        if known is None and words_of(said.name, self.names):
            what = ", ".join(words_of(said.name, self.names))
            self.problem(
                "word-does-not-fit",
                f"{said.name} is {kind_of(said.name, self.names)}; say {what}.",
                said.column,
                said.name,
            )
        elif known is None:
            self.unknown(said.name, said.column)
        else:
            value = self.value(said, known)
        return QuantityIs(said.name, said.above, value, said.value)

    def value(self, said: tree.QuantityAtom, known: Quantity) -> float:
        try:
            return read(said.value, known.unit).si
        except QuantityError as error:
            message = f"{said.name} is in {known.unit}: {error.message}"
            self.problem(error.code, message, said.value_column, said.value)
            return 0.0

    def unknown(self, name: str, column: int) -> None:
        """Says once what the name is instead, or what was probably meant."""
        tag = name.partition(".")[0]
        inner = [n for n in self.names.all() if n.partition(".")[0] == tag and n != tag]
        if name in self.names.ways:
            mover = self.names.ways[name]
            switch = self.names.inputs.get(mover)
            kind, words = ("relay", ("in", "out")) if switch is None else ("switch", switch.words)
            said = " or ".join(f"{mover} {word}" for word in words)
            message = f"{name} is a contact; what moves it is the {kind} {mover}: say {said}."
        elif name in self.names.devices and inner:
            message = f"{name} has several things to ask of; say {', '.join(inner)}."
        elif name in self.names.devices:
            message = f"{name}, of type {self.names.devices[name]}, is no load, relay, switch or quantity."
        else:
            near = meant(name, self.names.all())
            message = f"no load, relay, switch or quantity is called {name}.{near}"
        self.problem("unknown-name", message, column, name, ASKED)

    def problem(self, code: str, message: str, column: int, found: str, also: tuple[str, ...] = ()) -> None:
        place = shifted(self.place, column, len(found), self.text)
        self.problems.append(Problem(code, message, place, about=(found, *also)))


def words_of(name: str, names: Names) -> dict[str, Bound]:
    """Every word that fits a name, with what it says."""
    fits: dict[str, Bound] = {}
    if name in names.loads:
        fits |= {w: LoadIs(name, RUNS if w in RUNS else frozenset({w})) for w in LOAD_WORDS}
    if name in names.taps:
        fits |= {w: LoadIs(name, RUNS if w in RUNS else frozenset({w})) for w in ("on", "off", "runs")}
    if name in names.relays:
        fits |= {w: RelayIs(name, cast("Literal['in', 'out', 'chatters']", w)) for w in RELAY_WORDS}
    if name in names.inputs:
        words = dict.fromkeys((*names.inputs[name].words, *REST_WORDS))
        fits |= {w: InputIs(name, moved_by_word(names.inputs[name], w) or False) for w in words}
    if name in names.delays:
        fits |= {w: DelayIs(name, w == "moved") for w in REST_WORDS}
    return fits


def moved_by_word(switch: Input, word: str) -> bool | None:
    """Whether a word says that the switch is moved; None where the word does not fit it."""
    words = switch.words if word in switch.words else REST_WORDS
    return words.index(word) == 1 if word in words else None


def kind_of(name: str, names: Names) -> str:
    """What a name stands for, in words."""
    kinds = [("a load", names.loads), ("a tap", names.taps), ("a relay", names.relays),
             ("a switch", names.inputs), ("a delay", names.delays)]  # fmt: skip
    return " and ".join(kind for kind, known in kinds if name in known)


def shifted(place: Place, column: int, width: int, text: str) -> Place:
    """The place within `text`, which stands at `place`; `column` counts from 1.

    A text in quotes begins one column later; of one that is folded over lines only the whole place is known.
    """
    quote = place.width - len(text)
    if quote not in (0, 2):
        return place
    return replace(place, column=place.column + column - 1 + quote // 2, width=max(width, 1))


def bind(condition: tree.Condition, names: Names, text: str, place: Place) -> Bound:
    """The condition with its names bound. text, place: what it was parsed from. Raises BadInput."""
    problems: list[Problem] = []
    found = _Binder(names, text, place, problems).bind(condition)
    if problems:
        raise BadInput(problems)
    return found


def bind_condition(text: str, names: Names, place: Place, rename: Renamer | None = None) -> Bound:
    """A condition's text, parsed and bound. Raises BadInput."""
    try:
        parsed = parse_condition(text)
    except ConditionError as error:
        raise BadInput([_unparsed(error, text, place)]) from None
    return bind(parsed if rename is None else renamed(parsed, rename), names, text, place)


def bind_sentence(
    text: str, names: Names, place: Place, of_change: bool = False, rename: Renamer | None = None
) -> BoundSentence:
    """One line of `expects`, parsed and bound; `rename` gives names their new ones. Raises BadInput."""
    try:
        said = parse_sentence(text)
    except ConditionError as error:
        raise BadInput([_unparsed(error, text, place)]) from None
    if rename is not None:
        said = _renamed_sentence(said, rename)
    problems: list[Problem] = []
    binder = _Binder(names, text, place, problems)
    subject = _subject(said, binder)
    condition = binder.bind(said.condition)
    until = None if said.until is None else binder.bind(said.until)
    if problems:
        raise BadInput(problems)
    return BoundSentence(said.form, text, place, condition, subject, until, of_change)


def _subject(said: tree.Sentence, binder: _Binder) -> LoadIs | RelayIs | None:
    if said.subject is None:
        return None
    word = "in" if said.form == "stays in" else "runs"
    found = binder.atom(said.subject, word, said.subject_column)
    return found if isinstance(found, LoadIs | RelayIs) else None


def _unparsed(error: ConditionError, text: str, place: Place) -> Problem:
    return Problem("sentence", error.message, shifted(place, error.column, 1, text))


if TYPE_CHECKING:
    Renamer = Callable[[str], str]


def renamed(condition: tree.Condition, rename: Renamer) -> tree.Condition:
    """The condition with every name but a quantity's given its new one."""
    match condition:
        case tree.Atom():
            return replace(condition, name=rename(condition.name))
        case tree.QuantityAtom():
            return condition
        case tree.Not(part):
            return tree.Not(renamed(part, rename))
        case tree.And(parts):
            return tree.And(tuple(renamed(part, rename) for part in parts))
        case tree.Or(parts):
            return tree.Or(tuple(renamed(part, rename) for part in parts))


def _renamed_sentence(said: tree.Sentence, rename: Renamer) -> tree.Sentence:
    return replace(
        said,
        condition=renamed(said.condition, rename),
        subject=None if said.subject is None else rename(said.subject),
        until=None if said.until is None else renamed(said.until, rename),
    )


def names_in(condition: tree.Condition) -> tuple[str, ...]:
    """The names of a condition's atoms, quantities left out."""
    match condition:
        case tree.Atom(name):
            return (name,)
        case tree.QuantityAtom():
            return ()
        case tree.Not(part):
            return names_in(part)
        case tree.And(parts) | tree.Or(parts):
            return tuple(name for part in parts for name in names_in(part))


def names_in_sentence(text: str) -> tuple[str, ...]:
    """The names in a sentence's or condition's text; none where it does not parse."""
    try:
        said = parse_sentence(text)
    except ConditionError:
        return ()
    parts = (said.condition,) if said.until is None else (said.condition, said.until)
    subject = () if said.subject is None else (said.subject,)
    return (*subject, *(name for part in parts for name in names_in(part)))
