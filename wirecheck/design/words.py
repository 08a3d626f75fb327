"""Validation errors in our own words, each with its place."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, get_args

from wirecheck.design.base import Model
from wirecheck.design.fields import kind_of
from wirecheck.design.fieldset import names_of
from wirecheck.design.tree import Table, key_place_of, place_of, step
from wirecheck.problem import Problem, meant, near

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from pydantic import ValidationError
    from pydantic_core import ErrorDetails

    from wirecheck.problem import Place

SECTIONS = ("devices", "supplies", "conditions", "types")  # their entries are known by their own name alone
KEY = "[key]"  # pydantic's mark of an error in a key
WANTED = {
    "dict_type": "a mapping", "model_type": "a mapping", "model_attributes_type": "a mapping",
    "tuple_type": "a list", "list_type": "a list",
}  # fmt: skip


def problems_of(
    error: ValidationError, tree: Table, model: type[Model], at: tuple[str, ...] = ()
) -> Iterator[Problem]:
    """Each error of `model` on what stands at `at` of the tree, as a problem.

    A key that is missing because it stands there under another name is one problem: the unknown key.
    """
    found = error.errors(include_url=False)
    unknown = [details["loc"] for details in found if details["type"] == "extra_forbidden"]
    for details in found:
        loc = details["loc"]
        instead = next((u for u in unknown if u[:-1] == loc[:-1] and _may_mean(u, loc, model)), None)
        if details["type"] == "missing" and instead is not None:
            unknown.remove(instead)
        else:
            yield Told(details, (*at, *loc), tree, model, len(at)).problem()


def _may_mean(unknown: tuple[Any, ...], missing: tuple[Any, ...], model: type[Model]) -> bool:
    """Is an unknown key like the missing one, or like none that its mapping takes?"""
    likely = near(str(unknown[-1]), known_keys(model, unknown[:-1]))
    return not likely or bool(near(str(unknown[-1]), [str(missing[-1])]))


def unknown_key(taker: str, key: str, known: Collection[str], place: Place) -> Problem:
    """The problem of a key that `taker` does not take."""
    hint = f"It takes: {', '.join(sorted(known))}." if known else "It takes nothing."
    comma = " A decimal comma? Write a point." if key[:1].isdigit() else meant(key, sorted(known))
    return Problem("unknown-key", f"{taker} takes no `{key}`.{comma}", place, hint=hint)


def subject(tree: Table, path: tuple[Any, ...]) -> str:
    """What stands at a path, as its writer calls it: K1.coil, W9, step 3, unit."""
    names: list[str] = []
    node: Any = tree
    for number, key in enumerate(path):
        found = step(node, key)
        if found is None:
            continue
        node = found[0]
        if number == 0 and key in SECTIONS and len(path) > 1:
            continue
        if isinstance(key, int):
            names[-1:] = [_item(names[-1] if names else "item", node, key)]
        else:
            names.append(str(key))
    return ".".join(names) or "the file"


def _item(section: str, node: Any, number: int) -> str:
    if isinstance(node, Table) and isinstance(node.get("id"), str):
        return str(node["id"])
    return f"{section.removesuffix('s')} {number + 1}"


class Told:
    """One validation error on its way to a problem."""

    def __init__(
        self, details: ErrorDetails, loc: tuple[Any, ...], tree: Table, model: type[Model], depth: int
    ) -> None:
        self.details, self.loc, self.tree, self.model, self.depth = details, loc, tree, model, depth
        self.context: dict[str, Any] = details.get("ctx") or {}

    def problem(self) -> Problem:
        match self.details["type"]:
            case "problem":
                code, message = self.context["code"], self.context["message"]
                named = message if code == "bad-name" else f"{self._subject(self.loc)}: {message}"
                return Problem(code, named, self._place())
            case "missing":
                return self._missing(str(self.loc[-1]), self.loc[:-1])
            case "union_tag_not_found":
                return self._missing(str(self.context["discriminator"]).strip("'"), self.loc)
            case "extra_forbidden":
                return self._unknown_key()
            case "literal_error":
                return self._wrong_word(self.details["input"], self.context["expected"], self._place())
            case "union_tag_invalid":
                place = place_of(self.tree, (*self.loc, "kind"))
                return self._wrong_word(self.context["tag"], self.context["expected_tags"], place)
            case kind if kind in WANTED:
                return self._wrong_kind(WANTED[kind])
            case "too_short":
                given, least = self.context["actual_length"], self.context["min_length"]
                message = f"{self._subject(self.loc)}: {given} given; at least {least} expected."
                return Problem("wrong-count", message, self._place())
            case _:
                message = f"{self._subject(self.loc)}: {kind_of(self.details['input'])} does not fit here."
                return Problem("wrong-kind", message, self._place())

    def _subject(self, loc: tuple[Any, ...]) -> str:
        return subject(self.tree, loc)

    def _place(self) -> Place:
        if self.loc and self.loc[-1] == KEY:
            return key_place_of(self.tree, self.loc[:-1])
        return place_of(self.tree, self.loc)

    def _missing(self, key: str, where: tuple[Any, ...]) -> Problem:
        place = key_place_of(self.tree, where)
        return Problem("missing-key", f"{self._subject(where)} has no `{key}`.", place)

    def _unknown_key(self) -> Problem:
        key, where = str(self.loc[-1]), self.loc[:-1]
        known = known_keys(self.model, self.loc[self.depth : -1])
        return unknown_key(self._taker(where), key, known, key_place_of(self.tree, self.loc))

    def _taker(self, where: tuple[Any, ...]) -> str:
        """Who takes a field: of a device, its type too, since the fields follow from it."""
        name = self._subject(where)
        kind = self.tree["devices"][where[1]]["type"] if where[:1] == ("devices",) and len(where) == 2 else ""
        return f"{name}, a {kind}," if kind else name

    def _wrong_word(self, found: Any, expected: str, place: Place) -> Problem:
        words = re.findall(r"'([^']*)'", expected)
        listed = f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)
        if not isinstance(found, str) or not found.strip():
            return self._wrong_kind(f"one word of {listed}")
        message = (
            f"{self._subject(self.loc)}: `{found}` is not one of its words: {listed}.{meant(found, words)}"
        )
        return Problem("wrong-word", message, place)

    def _wrong_kind(self, wanted: str) -> Problem:
        found = self.details["input"]
        if isinstance(found, str) and not found.strip():
            message = (
                f"{self._subject(self.loc)}: nothing is given; {wanted} is expected, or leave the line out."
            )
            return Problem("empty-value", message, self._place())
        message = f"{self._subject(self.loc)}: {kind_of(found)} stands where {wanted} is expected."
        return Problem("wrong-kind", message, self._place())


def known_keys(model: type[Model], loc: tuple[Any, ...]) -> set[str]:
    """The keys that the models at a place take."""
    models = {model}
    for key in loc:
        inner = {m for outer in models for m in _under(outer, key)}
        models = inner or {m for m in models if _tagged(m) in (None, key)} or models
    return {name for m in models for name in names_of(m)}


def _under(model: type[Model], key: Any) -> set[type[Model]]:
    for name, info in model.model_fields.items():
        if key in (name, info.alias):
            return set(_models_in(info.annotation))
    return set()


def _models_in(annotation: Any) -> Iterator[type[Model]]:
    if isinstance(annotation, type) and issubclass(annotation, Model):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)


def _tagged(model: type[Model]) -> str | None:
    kind = model.model_fields.get("kind")
    words = get_args(kind.annotation) if kind is not None else ()
    return words[0] if len(words) == 1 else None
