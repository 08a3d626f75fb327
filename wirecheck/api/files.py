"""Units and changes read from files, and what is named on the command line. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeVar

    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.design.models import ChangeFile, UnitFile
    from wirecheck.questions.hidden import Limit
    from wirecheck.questions.holding import Holding

    T = TypeVar("T")


def unit_of(unit: str) -> Circuit:
    """The circuit of a unit file."""
    from wirecheck.circuit.build import read_unit
    from wirecheck.questions.hidden import hidden

    file, circuit = read_unit(unit)
    if problems := list(hidden(circuit, limits_of(file))):
        raise BadInput(problems, texts_of(file))
    return circuit


def pair_of(unit: str, change: str) -> Changed:
    """The unit before and after a change."""
    return read_pair(unit, change)[2]


def read_pair(unit: str, change: str) -> tuple[UnitFile, ChangeFile, Changed]:
    """The same with the two files as read."""
    from wirecheck.circuit.apply import read_change
    from wirecheck.questions.hidden import hidden, none_beside

    file, changes, changed = read_change(unit, change)
    limits = (*limits_of(file), *limits_of(changes))
    problems = list(hidden(changed.before, limits_of(file))) or list(hidden(changed.after, limits))
    problems = problems or list(none_beside(changed, limits))
    if problems:
        raise BadInput(problems, texts_of(file, changes))
    return file, changes, changed


def circuit_of(unit: str, change: str | None) -> Circuit:
    """The unit, or the unit as changed."""
    return unit_of(unit) if change is None else pair_of(unit, change).after


def standing_of(unit: str, change: str | None, at_step: int | None = None) -> Circuit:
    """The unit, the unit as changed, or as it stands after so many of the change's plain steps."""
    from wirecheck.circuit.midway import circuit_at

    if at_step is None:
        return circuit_of(unit, change)
    place, text = Place("--at-step", 1, 1, len(str(at_step))), {"--at-step": str(at_step)}
    if change is None:
        message = "a unit alone has no steps; give the CHANGE whose steps are counted."
        raise BadInput([Problem("no-such-step", message, place)], text)
    changed = pair_of(unit, change)
    if not 0 <= at_step <= len(changed.steps):
        told = "; ".join(f"{s.number} {s.words.partition(':')[0]}" for s in changed.steps)
        message = f"the change has {len(changed.steps)} plain steps, 0 being the unit before: {told}."
        raise BadInput([Problem("no-such-step", message, place)], text)
    return circuit_at(changed, at_step)


def texts_of(*files: UnitFile | ChangeFile) -> dict[str, str]:
    """The texts of files, by name, for the excerpts of problems."""
    return {file.source.file: file.source.text for file in files}


def limits_of(file: UnitFile | ChangeFile) -> tuple[Limit, ...]:
    """The lines of a file that hold inputs or call combinations impossible."""
    from wirecheck.questions.hidden import Limit

    given = (Limit(file.place("given", name), given=name) for name in file.given)
    impossible = (
        Limit(file.place("impossible", i), impossible=text) for i, text in enumerate(file.impossible)
    )
    return (*given, *impossible)


def terminals(circuit: Circuit, a: str, b: str) -> tuple[str, str]:
    """Two terminals named on the command line, as the circuit writes them."""
    from wirecheck.circuit.points import bind_terminal

    found: list[str] = []
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    for option, name in (("A", a), ("B", b)):
        try:
            found.append(bind_terminal(name, circuit, Place(option, 1, 1, len(name))))
        except BadInput as bad:
            problems += bad.problems
            texts[option] = name
    if problems:
        raise BadInput(problems, texts)
    return found[0], found[1]


def said(option: str, text: str, find: Callable[[Place], T]) -> T:
    """Something named on the command line; its text goes with what is wrong with it."""
    try:
        return find(Place(option, 1, 1, len(text)))
    except BadInput as bad:
        raise BadInput(bad.problems, {option: text}) from None


def holding_of(circuit: Circuit, when: str) -> Holding:
    """What `--when` holds."""
    from wirecheck.circuit.ask import bind_when
    from wirecheck.questions.holding import holding

    return said("--when", when, lambda _: holding(circuit, bind_when(when, circuit), when))


def quantity_of(circuit: Circuit, name: str, place: Place) -> str:
    """A quantity named on the command line."""
    if name in circuit.quantities:
        return name
    known = ", ".join(circuit.quantities) or "none"
    message = f"no quantity of the unit is called {name}; it has {known}.{meant(name, circuit.quantities)}"
    raise BadInput([Problem("unknown-condition", message, place)])


def value_of(circuit: Circuit, quantity: str, text: str, place: Place) -> float:
    """A quantity's value from the command line, SI."""
    from wirecheck.quantity import QuantityError, read

    try:
        return read(text, circuit.quantities[quantity].unit).si
    except QuantityError as error:
        raise BadInput([Problem(error.code, str(error), place)]) from None
