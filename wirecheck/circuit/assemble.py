"""From wiring to circuit: parts of every device together, what is held, what is said, names bound."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.circuit import bound
from wirecheck.circuit.bind import (
    ASKED,
    REST_WORDS,
    Names,
    bind_condition,
    bind_sentence,
    kind_of,
    moved_by_word,
    names_of,
    words_of,
)
from wirecheck.circuit.bound import Bound, BoundSentence, DelayIs, InputIs, QuantityIs
from wirecheck.circuit.elements import ByCoil, ByPosition, Contact, Delay, Input, Pole, Quantity
from wirecheck.circuit.graph import Circuit
from wirecheck.circuit.nets import wired
from wirecheck.circuit.notes import notes_of
from wirecheck.circuit.parts import Parts, parts_of
from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.circuit.wiring import Wiring


class Line(Struct, frozen=True):
    """A text of the file that is bound to names: a sentence, a combination.

    rename: gives its names their new ones after devices were replaced. blame: turns what is wrong with a
    line of the unit after the change into a problem of the step that did it.
    """

    text: str
    place: Place
    of_change: bool = False
    rename: Callable[[str], str] | None = None
    blame: Callable[[Line, tuple[Problem, ...]], tuple[Problem, ...]] | None = None


def lines(texts: tuple[str, ...], place: Callable[[int], Place], of_change: bool = False) -> tuple[Line, ...]:
    """The texts of a list with their places."""
    return tuple(Line(text, place(i), of_change) for i, text in enumerate(texts))


class Held(Struct, frozen=True):
    """One line of `given`."""

    name: str
    word: str
    place: Place


class Said(Struct, frozen=True):
    """What the files say beside the wiring."""

    name: str
    about: str = ""
    refrigerant: str | None = None
    design: dict[str, float] = field(default_factory=dict)
    place: Place | None = None
    given: tuple[Held, ...] = ()
    impossible: tuple[Line, ...] = ()
    expects: tuple[Line, ...] = ()


T = TypeVar("T")


def assemble(wiring: Wiring, said: Said, problems: list[Problem]) -> Circuit:
    """The circuit of a wiring. Problems are added to; with any, the circuit is not to be used."""
    parts = [
        # Of a device that is wrong itself its type alone is here, without the figures that it needs.
        parts_of(device, [] if wiring.broken.hides([tag]) else problems)
        for tag, device in wiring.devices.items()
    ]
    circuit = _with_listed(_with_earth(_bare(wiring, said, parts)))
    names = names_of(circuit)
    circuit = replace(circuit, inputs=_with_given(names, said.given, problems))
    impossible = tuple(_collected(_impossible, said.impossible, names, problems))
    expects = tuple(_collected(_sentence, said.expects, names, problems))
    circuit = replace(
        circuit, impossible=impossible, expects=expects, notes=notes_of(circuit, wiring.devices.values())
    )
    circuit = replace(circuit, delays=_kept_delays(circuit))
    return replace(circuit, cuts=cuts_of(circuit))


def _bare(wiring: Wiring, said: Said, parts: list[Parts]) -> Circuit:
    """The parts put together, nothing bound yet."""
    conductors = dict(wiring.conductors)
    of_devices = [t for p in parts for t in (*p.device.terminals, *p.inner)]
    of_wires = [end for w in conductors.values() for end in (w.a, w.b)]
    return Circuit(
        name=said.name,
        hertz=wiring.hertz,
        terminals=tuple(dict.fromkeys([*wiring.poles, *of_devices, *of_wires])),
        poles=dict(wiring.poles),
        earth=frozenset(t for t in wiring.poles if t.endswith(".PE")),
        conductors=conductors,
        devices={p.device.tag: p.device for p in parts},
        elements={i: e for p in parts for i, e in p.elements.items()},
        loads={n: x for p in parts for n, x in p.loads.items()},
        relays={n: x for p in parts for n, x in p.relays.items()},
        inputs={n: x for p in parts for n, x in p.inputs.items()},
        delays={n: x for p in parts for n, x in p.delays.items()},
        quantities={n: Quantity(n, q.unit) for n, q in wiring.conditions.items()},
        splices=frozenset(wiring.splices),
        loose=wiring.loose,
        capped=wiring.capped,
        about=said.about,
        refrigerant=said.refrigerant,
        design=said.design,
        place=said.place,
    )


def _with_earth(circuit: Circuit) -> Circuit:
    """Each earth bar holds its first terminal, and so all of them, at 0 V."""
    bars = [device for device in circuit.devices.values() if device.earth and device.terminals]
    poles = {d.terminals[0]: Pole(d.terminals[0], "", 0j, "") for d in bars}
    earth = circuit.earth | {t for d in bars for t in d.terminals}
    return replace(circuit, poles={**circuit.poles, **poles}, earth=earth)


def _with_listed(circuit: Circuit) -> Circuit:
    """Inputs that switch something: one of their contacts has something on both its ends."""
    inputs = {c.mover.input for c in _wired(circuit) if isinstance(c.mover, ByPosition)}
    listed = {n: replace(i, listed=i.listed and n in inputs) for n, i in circuit.inputs.items()}
    return replace(circuit, inputs=listed)


def _kept_delays(circuit: Circuit) -> dict[str, Delay]:
    """Delays whose late contacts switch something, and those that a sentence names."""
    late = {(c.mover.coil, c.mover.late) for c in _wired(circuit) if isinstance(c.mover, ByCoil)}
    named = {atom.delay for atom in _said_atoms(circuit) if isinstance(atom, DelayIs)}
    return {n: d for n, d in circuit.delays.items() if (d.coil, d.late) in late or n in named}


def _wired(circuit: Circuit) -> list[Contact]:
    switching = wired(circuit.conductors.values(), circuit.elements, circuit.poles.values())
    return [c for c in circuit.contacts.values() if c.id in switching]


def _with_given(names: Names, given: Iterable[Held], problems: list[Problem]) -> dict[str, Input]:
    """The inputs, those that `given` names held."""
    inputs = dict(names.inputs)
    for held in given:
        switch = inputs.get(held.name)
        if switch is None:
            problems.append(_not_a_switch(held, names))
            continue
        moved = moved_by_word(switch, held.word)
        if moved is None:
            fits = ", ".join(dict.fromkeys((*switch.words, *REST_WORDS)))
            message = f'{held.name} is not "{held.word}"; of a switch like this say {fits}.'
            problems.append(Problem("word-does-not-fit", message, held.place, about=(held.name,)))
        elif switch.tripped is not None and moved != switch.tripped:
            message = (
                f"{held.name} is a protection; held {held.word} it never trips, "
                "and nothing that it guards against would be looked at."
            )
            problems.append(Problem("given-hides-trip", message, held.place))
        else:
            inputs[held.name] = replace(switch, given=moved)
    return inputs


def _not_a_switch(held: Held, names: Names) -> Problem:
    inner = [n for n in names.inputs if n.partition(".")[0] == held.name]
    if words_of(held.name, names):
        message = f"{held.name} is {kind_of(held.name, names)}; only a switch can be held by `given`."
    elif inner:
        message = f"{held.name} has several positions; say {', '.join(inner)}."
    else:
        message = f"no switch is called {held.name}.{meant(held.name, names.inputs)}"
    return Problem("unknown-name", message, held.place, about=(held.name, *ASKED))


def _collected(
    bind: Callable[[Line, Names], T], lines: Iterable[Line], names: Names, problems: list[Problem]
) -> Iterable[T]:
    for line in lines:
        try:
            yield bind(line, names)
        except BadInput as bad:
            problems.extend(bad.problems if line.blame is None else line.blame(line, bad.problems))


def _sentence(line: Line, names: Names) -> BoundSentence:
    return bind_sentence(line.text, names, line.place, line.of_change, line.rename)


def _impossible(line: Line, names: Names) -> tuple[Bound, str]:
    found = bind_condition(line.text, names, line.place, line.rename)
    for atom in bound.atoms(found):
        if not isinstance(atom, InputIs | QuantityIs):
            name = (
                atom.delay if isinstance(atom, DelayIs) else getattr(atom, "load", getattr(atom, "relay", ""))
            )
            message = f"`impossible` names switches and quantities; {name} follows from the circuit."
            raise BadInput([Problem("not-impossible", message, line.place)])
    return found, line.text


def cuts_of(*circuits: Circuit) -> dict[str, tuple[float, ...]]:
    """The values that divide the ranges of each quantity: set points, and what sentences say."""
    found: dict[str, set[float]] = {name: set() for circuit in circuits for name in circuit.quantities}
    for circuit in circuits:
        for switch in circuit.inputs.values():
            if switch.set_points is not None:
                points = switch.set_points
                found.setdefault(points.quantity, set()).update((points.low, points.high))
        for atom in _said_atoms(circuit):
            if isinstance(atom, QuantityIs):
                found.setdefault(atom.quantity, set()).add(atom.value)
    return {name: tuple(sorted(values)) for name, values in found.items()}


def _said_atoms(circuit: Circuit) -> Iterable[Bound]:
    for sentence in circuit.expects:
        yield from bound.atoms(sentence.condition)
        yield from bound.atoms(sentence.until) if sentence.until is not None else ()
    for condition, _ in circuit.impossible:
        yield from bound.atoms(condition)
