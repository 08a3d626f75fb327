"""Names from a command line, found in a circuit: what is held, a load."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

from wirecheck.circuit import bound
from wirecheck.circuit.bind import bind, kind_of, names_of
from wirecheck.circuit.bound import Bound, DelayIs, InputIs, LoadIs, QuantityIs, RelayIs
from wirecheck.condition import ConditionError, parse_condition
from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit


class When(Struct, frozen=True):
    """What `--when` holds: inputs and delays moved or not, relays in or out, quantities beside values."""

    inputs: dict[str, bool] = field(default_factory=dict)
    delays: dict[str, bool] = field(default_factory=dict)
    relays: dict[str, bool] = field(default_factory=dict)
    quantities: tuple[QuantityIs, ...] = ()


def bind_when(text: str, circuit: Circuit, option: str = "--when") -> When:
    """What "DS closed, TH.cool closed and HP open" holds. Raises BadInput; its place is the option."""
    problems: list[Problem] = []
    atoms: list[tuple[Bound, Place]] = []
    column = 1
    for item in text.split(","):
        part = item.strip()
        start = column + len(item) - len(item.lstrip())
        place = Place(option, 1, start, len(part))
        if part:
            try:
                atoms += [
                    (a, place) for a in _held(bind(parse_condition(part), names_of(circuit), part, place))
                ]
            except ConditionError as error:
                at = Place(option, 1, start + error.column - 1)
                problems.append(Problem("sentence", error.message, at))
            except BadInput as bad:
                problems += bad.problems
        column += len(item) + 1
    when = _gathered(atoms, problems)
    if problems:
        raise BadInput(problems)
    return when


def _held(condition: Bound) -> tuple[Bound, ...]:
    """The parts of a conjunction; `not` before a switch's word is its other position."""
    match condition:
        case bound.And(parts):
            return tuple(atom for part in parts for atom in _held(part))
        case bound.Not(InputIs(name, moved)):
            return (InputIs(name, not moved),)
        case bound.Not(DelayIs(name, moved)):
            return (DelayIs(name, not moved),)
        case _:
            return (condition,)


def _gathered(atoms: list[tuple[Bound, Place]], problems: list[Problem]) -> When:
    inputs: dict[str, bool] = {}
    delays: dict[str, bool] = {}
    relays: dict[str, bool] = {}
    quantities: list[QuantityIs] = []
    for atom, place in atoms:
        match atom:
            case InputIs(name, moved):
                _hold(inputs, name, moved, place, problems)
            case DelayIs(name, moved):
                _hold(delays, name, moved, place, problems)
            case RelayIs(name, "in" | "out" as word):
                _hold(relays, name, word == "in", place, problems)
            case QuantityIs():
                quantities.append(atom)
            case LoadIs(name) | RelayIs(name):
                message = (
                    f"{name} cannot be held: the circuit decides it. Hold switches, delays or quantities."
                )
                problems.append(Problem("not-held", message, place))
            case _:
                message = "only positions joined by commas or `and` can be held: DS closed, TH.cool closed."
                problems.append(Problem("not-held", message, place))
    return When(inputs, delays, relays, tuple(quantities))


def _hold(held: dict[str, bool], name: str, position: bool, place: Place, problems: list[Problem]) -> None:
    if held.setdefault(name, position) != position:
        problems.append(Problem("not-held", f"{name} is held in both positions.", place))


def bind_load(name: str, circuit: Circuit, place: Place) -> str:
    """The load of that name, a motor's tap included. Raises BadInput with the nearest names."""
    names = names_of(circuit)
    loads = [*names.loads, *names.taps]
    if name in loads:
        return name
    inner = [load for load in loads if load.partition(".")[0] == name]
    says = (
        f" {name} has {', '.join(inner)}."
        if inner
        else meant(name, loads) or f" Loads are {', '.join(loads)}."
    )
    message = _what_it_is(name, circuit) or f"no load is called {name}."
    raise BadInput([Problem("unknown-load", message + says, place)])


def _what_it_is(name: str, circuit: Circuit) -> str:
    """What a name is that is no load, "" where it is nothing; of a relay, the contacts that it moves."""
    names = names_of(circuit)
    relays = [r for r in circuit.relays.values() if name in (r.name, r.device)]
    if relays:
        moved = [circuit.contacts[c] for r in relays for c in r.contacts]
        ways = ", ".join(f"{c.a} to {c.b}" for c in moved)
        moves = f"it moves {ways}" if ways else "it moves no contact of this file"
        return f"{name} is a relay, no load: {moves}. Name a load that hangs on it."
    kind = kind_of(name, names)
    return f"{name} is {kind}, no load." if kind else ""
