"""What a technician says was seen or measured, in plain words, to evidence. All raise BadInput."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal, NoReturn

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.ask import bind_when
from wirecheck.circuit.points import bind_terminal
from wirecheck.engine.world import Setting, World
from wirecheck.problem import BadInput, Place, Problem, meant
from wirecheck.questions.find.answer import supposed
from wirecheck.questions.find.bench import Bench
from wirecheck.questions.find.evidence import LOAD_SEEN, RELAY_SEEN, Measured, Seen
from wirecheck.questions.holding import holding, ordinary
from wirecheck.questions.meter import at_normal, chosen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.find.tell import Test
    from wirecheck.questions.holding import Holding
    from wirecheck.questions.mistakes.looks import Look

WHEN = re.compile(r"\s+when\s+", re.IGNORECASE)
CONTINUITY = re.compile(r"continuity|beeps?|some ohms", re.IGNORECASE)
OPEN = re.compile(r"open|ol|o\.l\.|infinite", re.IGNORECASE)
READING = re.compile(
    r"(?P<value>[+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(?P<unit>v|volts?|vac|ohms?|Ω|Ω|k\s*ohms?|kΩ|kΩ)?",
    re.IGNORECASE,
)


class Told(Struct, frozen=True):
    """One thing said on the command line: where, what, and the state in which it was so."""

    option: str
    text: str
    when: str

    @property
    def body(self) -> str:
        """What was found, without the state."""
        return WHEN.split(self.text, maxsplit=1)[0].strip()

    @property
    def state(self) -> str:
        """The state: of its own, else what --when says."""
        own = WHEN.split(self.text, maxsplit=1)[1:]
        return own[0].strip() if own else self.when


def told(option: str, texts: Iterable[str], whens: Sequence[str]) -> list[Told]:
    """Each text with its state: one `when` for all of them, or one for each in order."""
    texts = list(texts)
    given = list(whens) * len(texts) if len(whens) == 1 else [*whens, *[""] * (len(texts) - len(whens))]
    return [Told(option, text, when) for text, when in zip(texts, given, strict=False)]


def heard(circuit: Circuit, seen: Sequence[Told], measured: Sequence[Told]) -> tuple[Bench, list[Evidence]]:
    """The bench on which these states are looked at, and the evidence. Raises TooMany."""
    every = (*seen, *measured)
    places = [_holding(circuit, t) for t in every]
    named = frozenset(n for h in places for n in h.inputs)
    bench = Bench(replace(circuit, cuts=_merged(circuit, places)), named)
    looks = [look(circuit, t.body, t.option) for t in seen]
    named_loads = [n for x in looks for n in x if n in circuit.loads]
    settings = [_setting(bench, h, t, named_loads) for h, t in zip(places, every, strict=True)]
    found: list[Evidence] = [Seen(s, x, t.text) for s, x, t in zip(settings, looks, seen, strict=False)]
    stood = zip(measured, settings[len(seen) :], places[len(seen) :], strict=True)
    found += [replace(reading(bench, t, s), named=frozenset(h.inputs)) for t, s, h in stood]
    return bench, found


def _merged(circuit: Circuit, places: Iterable[Holding]) -> dict[str, tuple[float, ...]]:
    """The values that divide quantities: set points, and what the states name."""
    bare = replace(circuit, expects=())
    cuts = {q: set(v) for q, v in bare.cuts.items()}
    for h in places:
        for q, values in h.circuit.cuts.items():
            cuts.setdefault(q, set()).update(values)
    return {q: tuple(sorted(v)) for q, v in cuts.items()}


# --- states -------------------------------------------------------------------------------------------


def _holding(circuit: Circuit, t: Told) -> Holding:
    option = "--when" if t.state == t.when else t.option
    try:
        when = bind_when(t.state, circuit, option)
        if when.relays or when.delays:
            name = next(iter((*when.relays, *when.delays)))
            message = f"{name} is not set by hand: say in --seen how it stood."
            raise BadInput([Problem("not-held", message, Place(option, 1, 1, len(t.state)))])
        found = holding(circuit, when, t.state, option)
        ordinary(found, t.state, Place(option, 1, 1, len(t.state)))
    except BadInput as bad:
        raise BadInput(bad.problems, {option: t.state}) from None
    return found


def _setting(bench: Bench, held: Holding, t: Told, loads: list[str]) -> Setting:
    """Where everything stood. Nothing said: where the unit without a fault would run every load named."""
    if not t.state:
        here = supposed(bench, loads) if loads else None
        if here is not None:
            return here
    return standing(bench, held)


def standing(bench: Bench, held: Holding) -> Setting:
    """The setting of the bench in which this is held, all else as in ordinary operation."""
    index = bench.scene.world.index
    circuit = replace(held.circuit, expects=(), cuts=bench.right.cuts)
    usual = {n: m for n, m in at_normal(circuit, held.inputs).items() if n in index}
    world = World(circuit, held={**usual, **held.inputs}, named=bench.named)
    found = chosen(world, held.inputs)
    places = dict(zip((v.name for v in world.variables), found.bits, strict=True))
    ranges = dict(zip(world.quantities, found.ranges, strict=True))
    bits = tuple(places[v.name] for v in bench.scene.world.variables)
    return Setting(bits, tuple(ranges[q] for q in bench.scene.world.quantities))


# --- what was seen ------------------------------------------------------------------------------------


def look(circuit: Circuit, text: str, option: str) -> Look:
    """How loads and relays looked: COMP runs, FAN off, K1 in."""
    found: Look = {}
    column = 1
    for item in text.split(","):
        place = Place(option, 1, column + len(item) - len(item.lstrip()), max(1, len(item.strip())))
        column += len(item) + 1
        for part in re.split(r"\s+and\s+", item.strip(), flags=re.IGNORECASE):
            name, how = _one(circuit, part, place, text)
            found[name] = how
    return found


def _one(circuit: Circuit, part: str, place: Place, text: str) -> tuple[str, frozenset[str]]:
    words = part.replace(" is ", " ").split()
    if len(words) != 2:
        message = f'found "{part}", expected a load or relay and how it looks: COMP runs, FAN off, K1 in.'
        _wrong("sentence", message, place, text)
    name, how = words[0], words[1].lower()
    known = {n.casefold(): n for n in (*circuit.loads, *circuit.relays)}
    if name.casefold() not in known:
        there = f" There are {', '.join(known.values())}." if known else " The unit has none at all."
        message = f"no load or relay is called {name}.{meant(name, known.values()) or there}"
        _wrong("unknown-load", message, place, text)
    name = known[name.casefold()]
    table = LOAD_SEEN if name in circuit.loads else RELAY_SEEN
    if how not in table:
        message = f'of {name} say {", ".join(table)}; found "{how}".{meant(how, table)}'
        _wrong("word-does-not-fit", message, place, text)
    return name, table[how]


def reading(bench: Bench, t: Told, setting: Setting) -> Measured:
    """A meter's reading: K1.A1 K1.A2 0 V; COMP.C COMP.R 1.1 ohm; F1.1 F1.2 open."""
    place = Place(t.option, 1, 1, len(t.body))
    words = t.body.split(maxsplit=2)
    if len(words) < 3:
        message = f'found "{t.body}", expected two terminals and a reading: K1.A1 K1.A2 0 V.'
        _wrong("sentence", message, place, t.text)
    try:
        a, b = (bind_terminal(w, bench.right, place) for w in words[:2])
    except BadInput as bad:
        raise BadInput(bad.problems, {t.option: t.text}) from None
    value = value_of(words[2])
    if value is None:
        message = f'found "{words[2]}", expected a reading: 24 V, 0 V, 12 ohm, open, continuity.'
        _wrong("sentence", message, place, t.text)
    meter, number, some = value
    return Measured(dead_or(bench, setting, meter), meter, (a, b), number, t.text, some)


def dead_or(bench: Bench, setting: Setting, meter: str) -> Setting:
    """With ohms the disconnects are open."""
    from wirecheck.questions.find.tell import dead

    return (dead(bench, setting) or setting) if meter == "ohms" else setting


def value_of(text: str) -> tuple[Literal["volts", "ohms"], float | None, bool] | None:
    """24 V, 24, 1.1 ohm, 2 kohm, open, continuity (True): None where it is no reading.

    A bare number is volts.
    """
    text = text.strip().rstrip(".")
    if OPEN.fullmatch(text):
        return "ohms", None, False
    if CONTINUITY.fullmatch(text):
        return "ohms", None, True
    found = READING.fullmatch(text)
    if found is None:
        return None
    number, unit = abs(float(found["value"])), (found["unit"] or "v").lower().replace(" ", "")
    if unit.startswith("v"):
        return "volts", number, False
    return "ohms", number * (1000 if unit.startswith("k") else 1), False


def _wrong(code: str, message: str, place: Place, text: str) -> NoReturn:
    raise BadInput([Problem(code, message, place)], {place.file: text})


def outcome(bench: Bench, test: Test | None, text: str) -> Evidence:
    """What was answered to a test: a reading, or how loads look; one word where one load is looked at."""
    if test is None:
        raise ValueError("there is no test")
    place = Place("answer", 1, 1, max(1, len(text)))
    if test.points is None:
        words = text if len(test.names) != 1 or len(text.split()) != 1 else f"{test.names[0]} {text}"
        return Seen(test.setting, look(bench.right, words, "answer"), words)
    found = value_of(text if _named(text) else f"{text} {'V' if test.kind == 'volts' else 'ohm'}")
    if found is None or found[0] != test.kind:
        expected = "24 V, 0 V" if test.kind == "volts" else "12 ohm, 2 kohm, open, continuity"
        _wrong("sentence", f'found "{text}", expected a reading: {expected}.', place, text)
    return Measured(test.setting, found[0], test.points, found[1], text, found[2])


def _named(text: str) -> bool:
    """Is a unit named?"""
    return bool(re.search(r"[a-zΩΩ]", text, re.IGNORECASE))
