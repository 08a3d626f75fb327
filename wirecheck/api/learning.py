"""What an apprentice asks: reading a unit, finding a fault, being asked. All raise BadInput and TooMany."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from wirecheck.api.files import circuit_of, pair_of, said, unit_of
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.notebook import Notebook
    from wirecheck.questions.drill.session import Session
    from wirecheck.questions.find.answer import Found
    from wirecheck.questions.find.evidence import Evidence
    from wirecheck.questions.read.unit import Reading


def find(
    unit: str,
    change: str | None,
    seen: Sequence[str],
    measured: Sequence[str] = (),
    when: Sequence[str] = (),
) -> Found:
    """The single faults that fit what was seen and measured, and the best next test."""
    from wirecheck.questions.find import answer
    from wirecheck.questions.find.said import heard, told

    circuit = circuit_of(unit, change)
    rest = when if len(when) < 2 else when[len(seen) :] or when[-1:]
    bench, evidence = heard(circuit, told("--seen", seen, when), told("--measured", measured, rest))
    return answer.find(bench, evidence)


def find_on(found: Found, text: str) -> Found:
    """The same with the outcome of its next test."""
    from wirecheck.questions.find import answer
    from wirecheck.questions.find.said import outcome

    evidence: Evidence = outcome(found.bench, found.test, text)
    return answer.find(found.bench, (*found.evidence, evidence))


def read(unit: str, change: str | None = None, load: str | None = None, plain: bool = False) -> Reading:
    """A unit in words, or one load of it. plain: ask the plain evaluator alone."""
    from wirecheck.circuit.ask import bind_load
    from wirecheck.questions.read.unit import Reader

    circuit = circuit_of(unit, change)
    if load is None:
        return Reader(circuit, plain).whole()
    name = said("LOAD", load, lambda place: bind_load(load, circuit, place))
    return Reader(circuit, plain).one(name)


def ground(unit: str, change: str | None = None, seed: str = "1") -> Ground:
    """What drill questions are made from."""
    from wirecheck.questions.drill.ground import Ground

    if change is None:
        return Ground(unit_of(unit), None, seed)
    changed = pair_of(unit, change)
    return Ground(changed.after, changed, seed)


def sitting(of: Ground, notes: str | None = None) -> Session:
    """A sitting, with the notebook of that file where there is one."""
    from wirecheck.questions import meaning
    from wirecheck.questions.drill.notebook import Notebook
    from wirecheck.questions.drill.session import Session

    name = meaning.digest(meaning.canonical(meaning.unit(of.circuit)))
    empty = Notebook(name, of.seed)
    return Session(of, empty if notes is None else _notebook(notes, empty))


def _notebook(path: str, empty: Notebook) -> Notebook:
    """The notebook in a file; an empty one where there is none yet."""
    import json

    from wirecheck.design.reader import read_text
    from wirecheck.questions.drill.notebook import NotANotebook, from_json

    place = Place(path)
    if not Path(path).exists():
        return empty
    text = read_text(path, wanted="a file for the notebook")
    try:
        found = from_json(json.loads(text))
    except (ValueError, RecursionError, NotANotebook) as error:
        message = f"this is no notebook of `drill`: {error}."
        raise BadInput([Problem("not-a-notebook", message, place)]) from None
    if (found.unit, found.seed) != (empty.unit, empty.seed):
        what = (
            "another unit, or of this one before it was edited"
            if found.unit != empty.unit
            else "another seed"
        )
        message = f"this notebook is of {what}: name a new file, or the seed {found.seed}."
        raise BadInput([Problem("not-a-notebook", message, place)])
    return found
