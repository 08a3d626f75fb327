"""What the reader gives: mappings and lists of plain text that keep their places."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from wirecheck.problem import Place

NOWHERE = Place("(no file)")


class Source(Struct, frozen=True):
    """The file that a tree was read from."""

    file: str
    text: str


class Stretch(Struct, frozen=True):
    """Characters of a text, `end` not included."""

    start: int
    end: int


class Table(dict[str, Any]):
    """A mapping. `places` holds where each value stands, `keys_at` where each key does.

    twice: keys that stand in it a second time; the first is kept. flow: written in braces. stretches: the
    characters of each entry's value, for who edits the text; key_starts: where each key begins.
    """

    def __init__(self, place: Place, source: Source) -> None:
        super().__init__()
        self.place = place
        self.source = source
        self.places: dict[str, Place] = {}
        self.keys_at: dict[str, Place] = {}
        self.twice: set[str] = set()
        self.flow = False
        self.stretches: dict[str, Stretch] = {}
        self.key_starts: dict[str, int] = {}

    def put(self, key: str, value: Any, key_at: Place, at: Place) -> None:
        self[key] = value
        self.keys_at[key] = key_at
        self.places[key] = at

    def replaced(self, **values: Any) -> Table:
        """The same places, some values others."""
        copy = Table(self.place, self.source)
        for key, value in self.items():
            copy.put(key, values.get(key, value), self.keys_at[key], self.places[key])
        return copy


class Items(list[Any]):
    """A list. `places` holds where each item stands; flow and stretches as of a Table."""

    def __init__(self, place: Place) -> None:
        super().__init__()
        self.place = place
        self.places: list[Place] = []
        self.flow = False
        self.stretches: list[Stretch] = []

    def put(self, value: Any, at: Place) -> None:
        self.append(value)
        self.places.append(at)


def key_in(table: Table, key: Any) -> str | None:
    """The key of a table that a field's name or an item's name stands for."""
    name = str(key)
    return next((k for k in (name, name.rstrip("_"), name.replace("_", "-")) if k in table), None)


def step(node: Any, key: Any) -> tuple[Any, Place] | None:
    """The value under a key and its place; an item of a list by its number or by its text. None: no such.

    A field's name stands for its key: `from_` for `from`, `in_series` for `in-series`.
    """
    if isinstance(node, Table):
        found = key_in(node, key)
        return None if found is None else (node[found], node.places[found])
    if isinstance(node, Items):
        if isinstance(key, str) and key in node:
            key = node.index(key)
        if isinstance(key, int) and 0 <= key < len(node):
            return node[key], node.places[key]
    return None


def place_of(node: Any, path: tuple[Any, ...]) -> Place:
    """Where the value at `path` stands, else where the nearest thing around it does."""
    place = node.place if isinstance(node, Table | Items) else NOWHERE
    for key in path:
        found = step(node, key)
        if found is None:
            continue  # a part of the path that the file does not have: a union's tag, a key left out
        node, place = found
    return place


def key_place_of(node: Any, path: tuple[Any, ...]) -> Place:
    """Where the key at the end of `path` stands, else as `place_of`."""
    place = place_of(node, path)
    for key in path[:-1]:
        found = step(node, key)
        node = found[0] if found is not None else node
    key = key_in(node, path[-1]) if isinstance(node, Table) and path else None
    return node.keys_at[key] if key is not None else place
