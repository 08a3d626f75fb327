"""One function for each command: joins the rooms, no logic of its own. All raise BadInput."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeVar

    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.design.catalogue import TypeSheet
    from wirecheck.design.models import ChangeFile, UnitFile
    from wirecheck.questions.hidden import Limit
    from wirecheck.questions.holding import Holding
    from wirecheck.questions.lift import Lift
    from wirecheck.questions.lookalikes import Advice
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.ohms import Ohms
    from wirecheck.questions.ramp import Ramp
    from wirecheck.questions.states import States
    from wirecheck.questions.verify import Verified

    T = TypeVar("T")


def unit_of(unit: str) -> Circuit:
    """The circuit of a unit file."""
    from wirecheck.circuit.build import read_unit
    from wirecheck.questions.hidden import hidden

    file, circuit = read_unit(unit)
    if problems := list(hidden(circuit, _limits(file))):
        raise BadInput(problems, _texts_of(file))
    return circuit


def pair_of(unit: str, change: str) -> Changed:
    """The unit before and after a change."""
    from wirecheck.circuit.apply import read_change
    from wirecheck.questions.hidden import hidden

    file, changes, changed = read_change(unit, change)
    problems = list(hidden(changed.before, _limits(file)))
    problems = problems or list(hidden(changed.after, (*_limits(file), *_limits(changes))))
    if problems:
        raise BadInput(problems, _texts_of(file, changes))
    return changed


def _texts_of(*files: UnitFile | ChangeFile) -> dict[str, str]:
    """The texts of files, by name, for the excerpts of problems."""
    return {file.source.file: file.source.text for file in files}


def _limits(file: UnitFile | ChangeFile) -> tuple[Limit, ...]:
    from wirecheck.questions.hidden import Limit

    given = (Limit(file.place("given", name), given=name) for name in file.given)
    impossible = (
        Limit(file.place("impossible", i), impossible=text) for i, text in enumerate(file.impossible)
    )
    return (*given, *impossible)


def circuit_of(unit: str, change: str | None) -> Circuit:
    """The unit, or the unit as changed."""
    return unit_of(unit) if change is None else pair_of(unit, change).after


def verify(unit: str, change: str, plain: bool = False) -> tuple[Changed, Verified]:
    """Is the change right?"""
    from wirecheck.questions import verify as question

    changed = pair_of(unit, change)
    return changed, question.verify(changed, plain=plain)


def states(
    unit: str, change: str | None = None, when: str = "", plain: bool = False
) -> tuple[Circuit, States]:
    """Every reachable settled state of the unit, or of the unit as changed. Raises TooMany."""
    from wirecheck.questions import states as question

    circuit = circuit_of(unit, change)
    holding = _holding(circuit, when)
    found = question.states(holding.circuit, holding.inputs, plain)
    rows = tuple(row for row in found.rows if holding.admits(row.inputs, row.relays))
    return circuit, question.States(found.inputs, rows)


def lift(unit: str, load: str, plain: bool = False) -> tuple[Lift, Advice]:
    """What opening each conductor alone would do to a load, and which one to lift. Raises TooMany."""
    from wirecheck.circuit.ask import bind_load
    from wirecheck.questions import lift as question
    from wirecheck.questions.lookalikes import advice

    circuit = unit_of(unit)
    name = _said("LOAD", load, lambda place: bind_load(load, circuit, place))
    found = question.lift(circuit, name, plain)
    return found, advice(circuit, found)


def meter(unit: str, change: str | None, a: str, b: str, when: str = "") -> tuple[Circuit, Reading]:
    """What a voltmeter reads between two terminals. Raises TooMany."""
    from wirecheck.questions import meter as question
    from wirecheck.questions import reached
    from wirecheck.questions.holding import not_reached, ordinary

    circuit = circuit_of(unit, change)
    ends = _terminals(circuit, a, b)
    holding = _holding(circuit, when)
    _said("--when", when, lambda place: ordinary(holding, when, place))
    if not holding.delays and not holding.relays:
        return circuit, question.meter(holding.circuit, *ends, holding.inputs)
    reading = reached.meter(holding, *ends)
    return circuit, reading or _said("--when", when, not_reached)


def ohms(unit: str, change: str | None, a: str, b: str, when: str = "") -> tuple[Circuit, Ohms]:
    """What an ohmmeter reads between two terminals, the supplies away. Raises TooMany."""
    from wirecheck.questions import ohms as question
    from wirecheck.questions.holding import ordinary, switches_only

    circuit = circuit_of(unit, change)
    ends = _terminals(circuit, a, b)
    holding = _holding(circuit, when)
    _said("--when", when, lambda place: switches_only(holding, place))
    _said("--when", when, lambda place: ordinary(holding, when, place))
    return circuit, question.ohms(holding.circuit, *ends, holding.inputs)


def _terminals(circuit: Circuit, a: str, b: str) -> tuple[str, str]:
    from wirecheck.circuit.ask import bind_terminal

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


def _said(option: str, text: str, find: Callable[[Place], T]) -> T:
    """Something named on the command line; its text goes with what is wrong with it."""
    try:
        return find(Place(option, 1, 1, len(text)))
    except BadInput as bad:
        raise BadInput(bad.problems, {option: text}) from None


def _holding(circuit: Circuit, when: str) -> Holding:
    from wirecheck.circuit.ask import bind_when
    from wirecheck.questions.holding import holding

    return _said("--when", when, lambda _: holding(circuit, bind_when(when, circuit), when))


def ramp(
    unit: str, change: str | None, quantity: str, values: tuple[str, ...], when: str = ""
) -> tuple[Circuit, Ramp]:
    """What happens as a quantity goes from one value to the next, and so on. Raises TooMany."""
    from wirecheck.questions import ramp as question
    from wirecheck.questions.holding import ordinary, switches_only

    circuit = circuit_of(unit, change)
    name = _said("QUANTITY", quantity, lambda place: _quantity(circuit, quantity, place))
    found = tuple(_said("VALUE", v, partial(_value, circuit, name, v)) for v in values)
    holding = _holding(circuit, when)
    _said("--when", when, lambda place: switches_only(holding, place))
    _said("--when", when, lambda place: ordinary(holding, when, place))
    try:
        return circuit, question.ramp(holding.circuit, name, found, holding.inputs)
    except question.NotSensed:
        message = f"no switch that is wired senses {name}."
        raise BadInput([Problem("unknown-condition", message, Place("QUANTITY", 1, 1, len(name)))]) from None


def _quantity(circuit: Circuit, name: str, place: Place) -> str:
    if name in circuit.quantities:
        return name
    known = ", ".join(circuit.quantities) or "none"
    message = f"no quantity of the unit is called {name}; it has {known}.{meant(name, circuit.quantities)}"
    raise BadInput([Problem("unknown-condition", message, place)])


def _value(circuit: Circuit, quantity: str, text: str, place: Place) -> float:
    from wirecheck.quantity import QuantityError, read

    try:
        return read(text, circuit.quantities[quantity].unit).si
    except QuantityError as error:
        raise BadInput([Problem(error.code, str(error), place)]) from None


def mistakes(unit: str, change: str, plain: bool = False) -> Mistakes:
    """Every single wiring mistake of a change, and the observations that show them. Raises TooMany."""
    from wirecheck.questions.mistakes import answer

    return answer.mistakes(pair_of(unit, change), plain)


def draw(unit: str, change: str | None) -> str:
    """The ladder of a unit, or of a change before and after, as SVG."""
    from wirecheck.draw import ladder, pair
    from wirecheck.draw.svg import svg

    if change is None:
        return svg(ladder.whole(unit_of(unit)))
    return svg(pair.before_after(pair_of(unit, change)))


def overview(unit: str, change: str | None, ending: str, dot: str | None = None) -> str:
    """What hangs on what, as the text of a .svg or .dot file. dot: the user's own program."""
    from wirecheck.draw import overview as drawing

    drawn = unit_of(unit) if change is None else pair_of(unit, change)
    if ending == ".dot":
        return drawing.dot(drawn)
    try:
        return drawing.svg(drawn, dot)
    except drawing.NoDot as error:
        place = Place("--dot", 1, 1, len(dot or ""))
        raise BadInput([Problem("no-dot-program", str(error), place)], {"--dot": dot or ""}) from None


def explain(code: str) -> str:
    """The page of a code, as Markdown."""
    from wirecheck.design.explain import codes
    from wirecheck.design.explain import explain as page

    if code in codes():
        return page(code)
    message = f"no page is called {code}.{meant(code, codes())}"
    place = Place("CODE", 1, 1, len(code))
    raise BadInput([Problem("unknown-code", message, place, (), "`wirecheck explain` lists them.")])


def codes() -> tuple[str, ...]:
    """Every code that has a page."""
    from wirecheck.design import explain as pages

    return pages.codes()


def devices() -> tuple[TypeSheet, ...]:
    """Every built-in device type."""
    from wirecheck.design.catalogue import sheets

    return tuple(sheets())


def device(name: str) -> TypeSheet:
    """One built-in device type."""
    from wirecheck.design.catalogue import sheet
    from wirecheck.design.types import built_in_names

    if name in built_in_names():
        return sheet(name)
    message = f"no device type is called {name}.{meant(name, built_in_names())}"
    place = Place("TYPE", 1, 1, len(name))
    raise BadInput([Problem("unknown-type", message, place, (), "`wirecheck devices` lists them.")])


def schemas() -> dict[str, str]:
    """File name -> text of each schema."""
    from wirecheck.design.schemas import schemas as texts

    return texts()
