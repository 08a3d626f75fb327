"""A unit file and a change file, read and validated; what is sound of both, all problems at once."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from wirecheck.design.cross import check_pair
from wirecheck.design.draft import Draft, Known
from wirecheck.design.models import ChangeFile, UnitFile
from wirecheck.design.reader import parse_all, read_tree
from wirecheck.limits import PROBLEMS
from wirecheck.problem import BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from wirecheck.design.base import Model
    from wirecheck.design.broken import Broken, LostStep
    from wirecheck.design.tree import Table
    from wirecheck.problem import Place

Made = TypeVar("Made", bound="Model")


class Drafted(Struct, frozen=True):
    """A unit, and a change where there is one, as far as they are sound, and what is wrong with them.

    With problems, unit and change serve only to find what else is wrong. texts: what the files hold.
    declared: where each device of the unit stands, wrong ones too. broken: names that the unit defines, but
    wrongly; all_broken: that either file does. lost: steps of the change that cannot be read.
    """

    unit: UnitFile
    change: ChangeFile | None
    problems: tuple[Problem, ...]
    texts: dict[str, str]
    declared: dict[str, Place]
    broken: Broken
    all_broken: Broken
    lost: tuple[LostStep, ...] = ()

    def stop_if(self, problems: Iterable[Problem] = ()) -> None:
        """Raises BadInput where there are problems, these or those found before; as many as can be read."""
        found = sorted({*self.problems, *problems}, key=lambda p: (p.place, p.code, p.message))
        if len(found) > PROBLEMS:
            more = f"{len(found) - PROBLEMS} more problems are not shown; mend these first."
            found = [*found[:PROBLEMS], Problem("too-many-problems", more, found[PROBLEMS].place)]
        if found:
            raise BadInput(found, self.texts)


def draft_pair(unit_path: str | Path, change_path: str | Path | None) -> Drafted:
    """Unit and change as far as they are sound. Raises nothing."""
    first = _draft(partial(read_tree, unit_path), UnitFile, "unit", Known())
    if change_path is None:
        return _alone(first)
    second = _draft(partial(read_tree, change_path), ChangeFile, "change", first.known)
    return Drafted(
        unit=first.made,
        change=second.made,
        problems=(*first.problems, *second.problems, *check_pair(first.made, second.made)),
        texts={**first.texts, **second.texts},
        declared=first.declared,
        broken=first.known.broken,
        all_broken=second.known.broken,
        lost=second.lost,
    )


def draft_text(text: str, file: str) -> Drafted:
    """The unit of a text as far as it is sound; `file` names it in places. Raises nothing."""
    return _alone(_draft(partial(parse_all, text, file), UnitFile, "unit", Known()))


def _alone(unit: Draft[UnitFile]) -> Drafted:
    broken = unit.known.broken
    return Drafted(unit.made, None, tuple(unit.problems), unit.texts, unit.declared, broken, broken)


def _draft(
    read: Callable[[], tuple[Table, list[Problem]]], model: type[Made], head: str, known: Known
) -> Draft[Made]:
    try:
        tree, problems = read()
        _refuse_other(tree, head)
    except BadInput as bad:
        return Draft.unread(model, head, known, bad)
    return Draft(tree, model, head, known, problems)


def _refuse_other(tree: Table, head: str) -> None:
    """A file of the other kind, in the wrong place: one problem, not one for each of its sections."""
    other = "change" if head == "unit" else "unit"
    if other in tree and head not in tree:
        message = f"this is a {other} file, where a {head} file was expected."
        hint = "The unit comes first, then the change: UNIT CHANGE."
        place = tree.keys_at[other]
        raise BadInput(
            [Problem("other-file", message, place, (), hint)], {tree.source.file: tree.source.text}
        )
