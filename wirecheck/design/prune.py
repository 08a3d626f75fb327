"""A file without the entries in which errors lie, so that the rest can be bound; and what those define.

An entry is a device, a conductor, a rung, a sentence, a step, a line of the head. Of a conductor only what
can be seen of it is left out where the error lies there: it still goes from its one end to its other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.design.broken import LOOKS, LostStep, section
from wirecheck.design.fields import name_fault
from wirecheck.design.tree import Items, Table

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pydantic import ValidationError

Path = tuple[Any, ...]

HEADS = ("unit", "change")
NAMED = ("supplies", "conditions", "types", "devices")
CONDUCTORS = ("wires", "rungs")
SEEN = ("color", "gauge", "insulation", "route", "label", "length")
UNNAMED = "?"  # in place of a name that a head does not give; what is made of such a file is never shown


class Pruned(Struct, frozen=True):
    """tree: what is left. names: what the entries left out define. steps: those left out."""

    tree: Table
    names: frozenset[str]
    steps: tuple[LostStep, ...]


def pruned(tree: Table, error: ValidationError, head: str) -> Pruned:
    """The tree of a file without what `error` lies in. head: the key that the file must have.

    Raises `error` where nothing can be left out.
    """
    paths = {_entry(tree, details["loc"], details["type"]) for details in error.errors(include_url=False)}
    left = _with_head(_without(tree, paths), head, tree)
    if left == tree:
        raise error
    names = frozenset(name for path in paths for name in _defined(tree, path))
    steps = tuple(_lost(tree, path[1]) for path in paths if path[0] == "steps" and len(path) == 2)
    return Pruned(left, names, steps)


def _entry(tree: Table, loc: Path, kind: str) -> Path:
    """The path of what has to go for one error at `loc`."""
    where, inner = loc[0], tree.get(loc[0])
    if len(loc) == 1 or not isinstance(inner, Table | Items):
        return loc[:1]
    if where in HEADS:
        several = isinstance(inner, Table) and isinstance(inner.get(loc[1]), Table | Items)
        return loc[: 3 if several else 2]
    depth = 2 if where in CONDUCTORS else 3 if where == "steps" and loc[2:3] == ("run",) else None
    if depth is not None and len(loc) > depth:
        beside = loc[depth] in SEEN or (kind == "extra_forbidden" and len(loc) == depth + 1)
        return loc[: depth + 1] if beside else loc[:2]
    return loc[:2]


def _without(node: Any, paths: Iterable[Path]) -> Any:
    """A copy of a mapping or list without what stands at the paths."""
    below: dict[Any, list[Path]] = {}
    for path in paths:
        below.setdefault(path[0], []).append(path[1:])
    kept = {key: rest for key, rest in below.items() if () not in rest}
    if isinstance(node, Table):
        table = Table(node.place, node.source)
        for key, value in node.items():
            if key not in below or key in kept:
                table.put(key, _without(value, kept.get(key, ())), node.keys_at[key], node.places[key])
        return table
    if isinstance(node, Items):
        items = Items(node.place)
        for number, value in enumerate(node):
            if number not in below or number in kept:
                items.put(_without(value, kept.get(number, ())), node.places[number])
        return items
    return node


def _with_head(tree: Table, head: str, whole: Table) -> Table:
    """The tree with a head that has a name."""
    given = tree.get(head)
    made = given if isinstance(given, Table) else Table(whole.place, whole.source)
    if "name" in made and head in tree:
        return tree
    if "name" not in made:
        made.put("name", UNNAMED, made.place, made.place)
    if head not in tree:
        tree.put(head, made, made.place, made.place)
    return tree


def _defined(tree: Table, path: Path) -> Iterator[str]:
    """The names that what stands at a path defines, and what else becomes unknown without it."""
    where = path[0]
    if len(path) == 1:
        yield section(where)
    elif where in CONDUCTORS and len(path) == 2:
        entry = tree[where][path[1]]
        devices = tree.get("devices")
        yield LOOKS
        yield from (text for text in _texts(entry) if text not in (devices or ()))
        if not entry or (isinstance(entry, Table) and not isinstance(entry.get("id"), str)):
            yield section(where)
    elif len(path) > 2 and where not in HEADS:
        yield LOOKS
    elif where == "expects":
        yield section(where)
    elif where in HEADS and isinstance(tree[where].get(path[1]), Table):  # what may belong to a section
        yield path[1]
    elif where in NAMED:
        yield path[1] if path[1] and name_fault(path[1]) is None else section(where)


def _lost(tree: Table, number: int) -> LostStep:
    steps = tree["steps"]
    entry = steps[number]
    key = next(iter(entry), "") if isinstance(entry, Table) else ""
    return LostStep(steps.places[number], key, tuple(_texts(entry)))


def _texts(node: Any) -> Iterator[str]:
    """Every text in what stands there, keys left out."""
    if isinstance(node, Table | Items):
        for value in node.values() if isinstance(node, Table) else node:
            yield from _texts(value)
    elif node:
        yield str(node)
