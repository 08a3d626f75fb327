"""Two unit files side by side. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.api.files import limits_of, texts_of
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed


def is_unit(path: str) -> bool:
    """Does a file say of itself that it is a unit, not a change? One that cannot be read says neither."""
    from wirecheck.design.reader import read_tree

    try:
        tree, _ = read_tree(path)
    except BadInput:
        return False
    return "unit" in tree and "change" not in tree and "steps" not in tree


def compared_of(old: str, new: str) -> Changed:
    """What differs between two unit files, as a change that allows nothing."""
    from wirecheck.circuit.compare import read_compared
    from wirecheck.questions.hidden import hidden, none_beside

    was, now, changed = read_compared(old, new)
    problems = [*hidden(changed.before, limits_of(was)), *hidden(changed.after, limits_of(now))]
    problems = problems or list(none_beside(changed, limits_of(now)))
    if problems:
        raise BadInput(problems, texts_of(was, now))
    return changed
