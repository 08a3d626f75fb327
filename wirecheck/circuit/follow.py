"""What the files say of the unit after the change: the unit's own lines follow what was replaced."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.assemble import Held, Line, Said, lines
from wirecheck.circuit.bind import names_in, names_in_sentence
from wirecheck.condition import parse_condition
from wirecheck.design.broken import section
from wirecheck.problem import Place, Problem, meant, near

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit, Replacement
    from wirecheck.circuit.steps import Work
    from wirecheck.design import models


class Renames(Struct, frozen=True):
    """Old name -> new name, replacement by replacement."""

    steps: tuple[Replacement, ...]

    def __call__(self, name: str) -> str:
        for step in self.steps:
            name = _renamed(name, step)
        return name


def _renamed(name: str, step: Replacement) -> str:
    """A position by the replacement's map, anything else of the device by its new tag."""
    tag, dot, rest = name.partition(".")
    if tag != step.old:
        return name
    if rest in step.positions:
        to = step.positions[rest]
        return f"{step.new}.{to}" if to else step.new
    return f"{step.new}{dot}{rest}"


def plain(text: str) -> str:
    """A sentence with its blanks made regular, to be compared."""
    return " ".join(text.split())


def said_after(
    unit: models.UnitFile, change: models.ChangeFile, before: Circuit, work: Work, problems: list[Problem]
) -> Said:
    """What holds of the unit after the change: the unit's lines but those dropped, and the change's."""
    rename = Renames(tuple(work.replaced))
    bound = {sentence.place for sentence in before.expects}  # what is wrong with others has been said
    wrong = [text for i, text in enumerate(unit.expects) if unit.place("expects", i) not in bound]
    dropped = _dropped(unit, change, wrong, problems)
    kept = [
        Line(text, unit.place("expects", i), False, rename, _lost(work))
        for i, text in enumerate(unit.expects)
        if plain(text) not in dropped and unit.place("expects", i) in bound
    ]
    return Said(
        name=before.name,
        about=before.about,
        refrigerant=before.refrigerant,
        design=before.design,
        place=before.place,
        given=_given(unit, change, rename, work, problems),
        impossible=(
            *_impossible(unit, before, rename, work),
            *lines(change.impossible, lambda i: change.place("impossible", i), True),
        ),
        expects=(*kept, *lines(change.expects, lambda i: change.place("expects", i), True)),
    )


def _dropped(
    unit: models.UnitFile, change: models.ChangeFile, wrong: list[str], problems: list[Problem]
) -> set[str]:
    """The unit's sentences that the change drops, blanks made regular. wrong: those with a mistake."""
    known = {plain(text) for text in unit.expects}
    for i, text in enumerate(change.change.drops):
        if plain(text) not in known and not near(plain(text), map(plain, wrong)):
            message = f'the unit has no sentence "{plain(text)}".{meant(plain(text), known)}'
            place, about = change.change.place("drops", i), (section("expects"),)
            problems.append(Problem("unknown-sentence", message, place, about=about))
    return {plain(text) for text in change.change.drops}


class _Blame(Struct, frozen=True):
    """Turns what is wrong with a unit's sentence after the change into a problem at the step that did it."""

    gone: dict[str, Place]
    left: frozenset[str]  # devices that are there after the change

    def __call__(self, line: Line, found: tuple[Problem, ...]) -> tuple[Problem, ...]:
        tags = [name.partition(".")[0] for name in names_in_sentence(line.text)]
        tag = next((tag for tag in tags if tag in self.gone), None)
        if tag is None:
            return found
        step = self.gone[tag]
        why = found[0].message if tag in self.left else f"{tag} is gone."
        message = f'the unit expects "{plain(line.text)}", which can no longer be asked: {why}'
        hint = f'Retire it under `change:`, drops: ["{plain(line.text)}"].'
        others = ((line.place, "the sentence"),)
        return (Problem("sentence-lost", message, step, others, hint, found[0].about),)


def _lost(work: Work) -> _Blame:
    return _Blame(dict(work.gone), frozenset(work.wiring.devices))


def _given(
    unit: models.UnitFile, change: models.ChangeFile, rename: Renames, work: Work, problems: list[Problem]
) -> tuple[Held, ...]:
    """What is held: the unit's lines, devices that are gone left out, and the change's."""
    found: dict[str, Held] = {}
    for name, word in unit.given.items():
        now, tag = rename(name), name.partition(".")[0]
        if now.partition(".")[0] in work.wiring.devices:
            found[now] = Held(now, word, work.gone.get(tag, unit.place("given", name)))
    for name, word in change.given.items():
        held = Held(name, word, change.place("given", name))
        other = found.setdefault(name, held)
        if other.word != word:
            message = f"{name} is held {other.word} by the unit; the change holds it {word}."
            problems.append(Problem("given-twice", message, held.place, ((other.place, "in the unit"),)))
    return tuple(found.values())


def _impossible(unit: models.UnitFile, before: Circuit, rename: Renames, work: Work) -> list[Line]:
    """The unit's impossible combinations, but those that name a device that is gone."""
    bound = {text for _, text in before.impossible}  # what is wrong with others has been said
    kept = []
    for i, text in enumerate(unit.impossible):
        names = names_in(parse_condition(text)) if text in bound else ()
        if text in bound and all(rename(name).partition(".")[0] in work.wiring.devices for name in names):
            kept.append(Line(text, unit.place("impossible", i), False, rename, _lost(work)))
    return kept
