"""What `--when` holds: as positions of inputs, and as a circuit in which all else cannot be.

A quantity is held by taking its other values for impossible; so the engine needs no second notion of it.
"""

from __future__ import annotations

import re
from itertools import combinations
from typing import TYPE_CHECKING, NoReturn

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.circuit.assemble import cuts_of
from wirecheck.circuit.bound import InputIs, Not, QuantityIs
from wirecheck.engine.world import World
from wirecheck.problem import BadInput, Place, Problem
from wirecheck.questions.meter import at_normal

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.ask import When
    from wirecheck.circuit.graph import Circuit

Atom = InputIs | QuantityIs


class Holding(Struct, frozen=True):
    """circuit: the unit, values of quantities that are not held taken out. inputs: held, moved or not."""

    circuit: Circuit
    inputs: dict[str, bool] = field(default_factory=dict)
    delays: dict[str, bool] = field(default_factory=dict)
    relays: dict[str, bool] = field(default_factory=dict)

    def admits(self, inputs: Mapping[str, str], relays: Mapping[str, str]) -> bool:
        """Do a state's words have the delays and relays that are held?"""
        delays = all(inputs.get(n, "rest") == ("moved" if m else "rest") for n, m in self.delays.items())
        return delays and all(relays[n] == ("in" if m else "out") for n, m in self.relays.items())


def holding(circuit: Circuit, when: When, text: str, option: str = "--when") -> Holding:
    """The unit with what `text` holds. Raises BadInput naming two that cannot be so together; TooMany."""
    atoms: tuple[Atom, ...] = (*(InputIs(n, m) for n, m in when.inputs.items()), *when.quantities)
    _against_given(circuit, when.inputs, text, option)
    if not possible(circuit, atoms):
        clash = _clash(circuit, atoms)
        place = _place(_name(clash[-1]), text, option)
        raise BadInput([Problem("cannot-be-together", _clash_words(circuit, clash), place)])
    return Holding(held(circuit, when.quantities), dict(when.inputs), dict(when.delays), dict(when.relays))


def ordinary(holding: Holding, text: str, place: Place) -> None:
    """Checks that all else may stand at normal beside what is held. Raises BadInput naming what clashes."""
    circuit, fixed = holding.circuit, at_normal(holding.circuit, holding.inputs)
    said = [InputIs(n, m) for n, m in holding.inputs.items()]
    rest = [InputIs(n, m) for n, m in fixed.items()]
    if possible(circuit, (*said, *rest)):
        return
    pairs = [(a, b) for a in rest for b in (*said, *rest) if a != b and not possible(circuit, (b, a))]
    clash = pairs[0] if pairs else tuple(rest)
    words = " and ".join(_words(circuit, a) for a in reversed(clash))
    message = (
        f"{words} cannot be so together, and {_words(circuit, clash[0])} is where it stands in ordinary "
        f"operation: say in --when where {_name(clash[0])} stands."
    )
    where = _place(_name(clash[-1]), text, place.file)
    raise BadInput([Problem("cannot-be-together", message, where)])


def not_reached(place: Place) -> NoReturn:
    """Raise: no way leads to a state in which all that is held is so."""
    message = "no reachable state has all this together, all other switches as in ordinary operation."
    raise BadInput([Problem("cannot-be-together", message, place)])


def switches_only(holding: Holding, place: Place) -> None:
    """Checks that nothing is held that an ohm reading has no place for. Raises BadInput."""
    named = [*holding.relays, *holding.delays]
    if named:
        message = f"{named[0]} is at rest in an ohm reading: the power is off. Hold switches or quantities."
        raise BadInput([Problem("not-held", message, place)])


def held(circuit: Circuit, quantities: Iterable[QuantityIs]) -> Circuit:
    """The circuit in which these are always so."""
    more = tuple((Not(q), _words(circuit, q)) for q in quantities)
    found = replace(circuit, impossible=(*circuit.impossible, *more))
    return replace(found, cuts=cuts_of(found)) if more else circuit


def possible(circuit: Circuit, atoms: Iterable[Atom]) -> bool:
    """Is there a combination of inputs and quantities in which all these are so? Raises TooMany."""
    inputs = {a.input: a.moved for a in atoms if isinstance(a, InputIs)}
    world = World(held(circuit, (a for a in atoms if isinstance(a, QuantityIs))), held=inputs)
    return world.count() > 0 and (not world.impossible or any(True for _ in world.settings()))


def _clash(circuit: Circuit, atoms: tuple[Atom, ...]) -> tuple[Atom, ...]:
    """The fewest that cannot be so together: one, two, else all."""
    for size in (1, 2):
        for some in combinations(atoms, size):
            if not possible(circuit, some):
                return some
    return atoms


def _clash_words(circuit: Circuit, clash: tuple[Atom, ...]) -> str:
    said = " and ".join(_words(circuit, a) for a in clash)
    if len(clash) == 1:
        return f"{said} cannot be: {_why(circuit, clash)}"
    return f"{said} cannot be so together: {_why(circuit, clash)}"


def _why(circuit: Circuit, clash: tuple[Atom, ...]) -> str:
    """Set points where switches of one quantity clash, else what the files take for impossible."""
    points = [circuit.inputs[a.input].set_points for a in clash if isinstance(a, InputIs)]
    named = [p.quantity for p in points if p is not None] + [
        a.quantity for a in clash if isinstance(a, QuantityIs)
    ]
    texts = [f"{_name(a)}: {p.text}" for a, p in zip(clash, points, strict=False) if p is not None and p.text]
    if len(named) == len(clash) and len(set(named)) == 1:
        return f"no value of {named[0]} allows it" + (f" ({'; '.join(texts)})." if texts else ".")
    return "`given` and `impossible` of the files leave no such state."


def _against_given(circuit: Circuit, inputs: Mapping[str, bool], text: str, option: str) -> None:
    for name, moved in inputs.items():
        given = circuit.inputs[name].given
        if given is not None and given != moved:
            words = circuit.inputs[name].word
            message = (
                f"{name} {words(moved)} and {name} {words(given)} cannot be so together: "
                f"`given` holds it {words(given)} in every question."
            )
            raise BadInput([Problem("cannot-be-together", message, _place(name, text, option))])


def _name(atom: Atom) -> str:
    return atom.input if isinstance(atom, InputIs) else atom.quantity


def _words(circuit: Circuit, atom: Atom) -> str:
    if isinstance(atom, InputIs):
        return f"{atom.input} {circuit.inputs[atom.input].word(atom.moved)}"
    return f"{atom.quantity} {'above' if atom.above else 'below'} {atom.text}"


def _place(name: str, text: str, option: str) -> Place:
    found = re.search(rf"(?<![\w.-]){re.escape(name)}(?![\w.-])", text)
    return Place(option, 1, 1 if found is None else found.start() + 1, len(name))
