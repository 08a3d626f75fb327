"""A record read again: is it one, and is it as it was written?"""

from __future__ import annotations

import json
from collections import Counter
from typing import TYPE_CHECKING, Any, NoReturn

from msgspec import Struct
from pydantic import ValidationError

from wirecheck.design.reader import parse, read_text
from wirecheck.design.tree import place_of
from wirecheck.limits import RECORD_BYTES
from wirecheck.problem import BadInput, Place, Problem
from wirecheck.report.record.make import laid_out, record, seal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.report.record.models import Record


class Sealed(Struct, frozen=True):
    """A record as read. sealed: its content is what was sealed. as_written: its layout too is untouched."""

    record: Record
    text: str
    sealed: bool
    as_written: bool


def read(path: str) -> Sealed:
    """The record in a file. Raises BadInput, with the position of what is wrong."""
    text = read_text(path, RECORD_BYTES, "a record, the .json that `record` wrote,")
    content = _content(text, path)
    sealed = content.get("seal") == seal(content)
    try:
        found = record(text)
    except ValidationError as error:
        _refuse(error, text, path, sealed)
    return Sealed(found, text, sealed, laid_out(content) == text)


class _Twice(Exception):
    """A key that stands twice in one mapping: readers differ on which of them counts."""


def _content(text: str, path: str) -> dict[str, Any]:
    try:
        content = json.loads(text, object_pairs_hook=_once)
    except json.JSONDecodeError as error:
        _stop("not-json", *_where(error, text, path), text)
    except _Twice as twice:
        _stop("not-json", f"`{twice}` stands twice in one mapping.", Place(path), text)
    except (RecursionError, ValueError):  # thousands of brackets, or of digits
        _stop("not-json", "not understood as JSON: too deep, or a figure too long.", Place(path), text)
    if not isinstance(content, dict):
        _stop("not-a-record", "the file holds no record: a mapping was expected.", Place(path), text)
    if lacks := [key for key in ("record", "seal") if key not in content]:
        message = f"`{lacks[0]}` is missing: this is no record, or not a whole one."
        _stop("not-a-record", message, Place(path), text)
    return content


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    counts = Counter(key for key, _ in pairs)
    if twice := next((key for key, count in counts.items() if count > 1), None):
        raise _Twice(twice)
    return dict(pairs)


def _where(error: json.JSONDecodeError, text: str, path: str) -> tuple[str, Place]:
    """What is wrong with the text and where; of one that ends too early, that, at its end."""
    whole = text.rstrip()
    if error.pos >= len(whole) or error.msg.startswith("Unterminated string"):
        at = Place(path, whole.count("\n") + 1, len(whole) - whole.rfind("\n"))
        return "the file ends before the record does: it was cut off.", at
    told = f"not understood as JSON: {error.msg[0].lower()}{error.msg[1:]}."
    return told, Place(path, error.lineno, error.colno)


def _refuse(error: ValidationError, text: str, path: str, sealed: bool) -> NoReturn:
    """Every problem of what is JSON and no record."""
    if (
        error.errors()[0]["type"] == "json_invalid"
    ):  # half a character: Python lets it pass, the model does not
        _stop("not-json", f"{error.errors()[0]['msg']}.", Place(path), text)
    hint = "" if sealed else "It is not as it was written: its seal does not fit."
    problems = [
        Problem("not-a-record", _message(found), _place(found["loc"], text, path), (), hint)
        for found in error.errors(include_url=False, include_context=False, include_input=False)[:5]
    ]
    raise BadInput(problems, {path: text})


def _message(found: Mapping[str, Any]) -> str:
    way = ".".join(str(key) for key in found["loc"])
    if found["type"] == "missing":
        return f"`{way}` is missing, which every record has."
    return f"`{way}`: {found['msg'][0].lower()}{found['msg'][1:]}."


def _place(way: tuple[str | int, ...], text: str, path: str) -> Place:
    """Where it stands; JSON reads as YAML."""
    try:
        return place_of(parse(text, path), way)
    except BadInput:
        return Place(path)


def _stop(code: str, message: str, place: Place, text: str) -> NoReturn:
    raise BadInput([Problem(code, message, place)], {place.file: text})
