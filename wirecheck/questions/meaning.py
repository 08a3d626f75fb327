"""What a unit and a change mean, in a form that can be compared: what the engine reads, and no more.

Comments, the order of lines, the units of measure and the way a thing is named leave no trace in it; every
conductor, figure, set point and sentence does. A field that stands at its default is left out, so that a
field that a later version adds changes nothing in what was said before it.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import rfc8785
from msgspec import Struct

from wirecheck.circuit import bound
from wirecheck.circuit.elements import Conductor, Device, Quantity, Relay, SetPoints
from wirecheck.circuit.graph import Circuit, PlainStep

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.circuit.graph import Changed
    from wirecheck.design.models import ChangeFile, UnitFile

Tree = Any  # what JSON can hold: text, numbers, None, lists, mappings with text keys
FORM = 1  # raise it where equal circuits come to another tree than before
DIGITS = 12  # of a figure; units of measure are converted exactly to fewer than 16

# Derived from the rest, for print alone, or where it stands in the file.
LEFT_OUT: dict[type, frozenset[str]] = {
    Circuit: frozenset({"terminals", "cuts", "notes", "place"}),
    Conductor: frozenset({"length", "place"}),
    Device: frozenset({"about", "symbol", "place"}),
    SetPoints: frozenset({"text"}),
    Quantity: frozenset({"unit"}),
    PlainStep: frozenset({"number", "words", "of", "place"}),
    bound.QuantityIs: frozenset({"text"}),
    bound.BoundSentence: frozenset({"place"}),
}
# Tuples in which the order says nothing.
UNORDERED: dict[type, frozenset[str]] = {
    Device: frozenset({"elements", "inputs"}),
    Relay: frozenset({"contacts"}),
    bound.And: frozenset({"parts"}),
    bound.Or: frozenset({"parts"}),
}


def unit(circuit: Circuit, file: UnitFile | None = None) -> Tree:
    """A circuit; with the file that it was read from, also what that tells people of its devices."""
    return tree(_told(circuit)) | ({"told": prose(file)} if file is not None else {})


def change(changed: Changed, file: ChangeFile) -> Tree:
    """A change carried out on its unit: what hands do, what it says of itself, what differs afterwards.

    Only what it adds and takes away of the circuit, so that a unit that differs elsewhere changes nothing.
    """
    before = dict(leaves(tree(_told(changed.before))))
    after = dict(leaves(tree(_told(changed.after))))
    adds: dict[str, dict[str, Tree]] = {}
    for path in sorted(p for p, value in after.items() if before.get(p) != value):
        adds.setdefault("/".join(path.split("/", 3)[1:3]), {})[path] = after[path]
    return {
        "name": changed.name,
        "reason": changed.reason,
        "steps": {str(n): tree(step) for n, step in enumerate(changed.steps, 1)},
        "terms": tree(changed.terms),
        "brought": tree(changed.brought),
        "removed": tree(changed.removed),
        "replaced": tree(changed.replaced),
        "adds": adds,
        "loses": sorted(before.keys() - after.keys()),
        "told": prose(file),
    }


def parts(whole: Tree) -> dict[str, str]:
    """Part -> the first 16 digits of its digest: a conductor, a switch, a step. Tells which one differs."""
    found: dict[str, Tree] = {}
    for key, value in whole.items():
        if isinstance(value, dict) and "is" not in value:
            found |= {f"{key}/{name}": part for name, part in value.items()}
        else:
            found[key] = value
    return {name: digest(canonical(part)).partition(":")[2][:16] for name, part in found.items()}


def _told(circuit: Circuit) -> Mapping[str, Any]:
    """The fields of a circuit; sentences and what is impossible in no order, each with its text.

    The text counts: it is what was signed, and what findings are called by.
    """
    left_out = LEFT_OUT[Circuit]
    found = {n: getattr(circuit, n) for n in circuit.__struct_fields__ if n not in left_out}
    return found | {"expects": frozenset(circuit.expects), "impossible": frozenset(circuit.impossible)}


def prose(file: UnitFile | ChangeFile) -> Tree:
    """What a file tells people of its devices and types, and the engine does not read."""
    devices = {f"devices/{tag}": {"about": d.about, "label": d.label} for tag, d in file.devices.items()}
    types = {f"types/{name}": {"about": t.about, "symbol": t.symbol} for name, t in file.types.items()}
    said = {name: tree({k: v for k, v in row.items() if v}) for name, row in (devices | types).items()}
    return {name: row for name, row in said.items() if row}


def tree(thing: Any) -> Tree:
    """A value as what JSON can hold, without what is at its default."""
    match thing:
        case None | bool() | int() | str():
            return thing
        case float():
            return rounded(thing)
        case complex():
            return _complex(thing)
        case frozenset() | set():
            return in_order([tree(part) for part in thing])
        case list() | tuple():
            return [tree(part) for part in thing]
        case dict():
            return {str(key): tree(part) for key, part in thing.items()}
        case Struct():
            return _record(thing)
        case _:
            raise TypeError(f"{type(thing).__name__} has no place in what a circuit means")


def _record(thing: Struct) -> Tree:
    kind = type(thing)
    left_out, unordered = LEFT_OUT.get(kind, frozenset()), UNORDERED.get(kind, frozenset())
    found: dict[str, Tree] = {"is": kind.__name__}
    defaults = _defaults(kind)
    for name in kind.__struct_fields__:
        value = getattr(thing, name)
        if name not in left_out and (name not in defaults or value != defaults[name]):
            part = tree(value)
            found[name] = in_order(part) if name in unordered else part
    return found


def _defaults(kind: type[Struct]) -> dict[str, Any]:
    """Field -> its default, of the fields that have one: the last ones."""
    # Not structs.fields: it works out annotations, whose names are imported for the type checker alone.
    given = kind.__struct_defaults__
    names = kind.__struct_fields__[-len(given) :] if given else ()
    return {n: d.factory() if hasattr(d, "factory") else d for n, d in zip(names, given, strict=True)}


def in_order(parts: list[Tree]) -> list[Tree]:
    """Parts in an order of their own, whatever order they came in."""
    return sorted(parts, key=canonical)


def canonical(part: Tree) -> bytes:
    """The one text of a tree, whatever the order of its keys (RFC 8785). Raises ValueError where none is."""
    return rfc8785.dumps(part)


def digest(data: bytes) -> str:
    """SHA-256 of bytes, as text that says so. Source: FIPS 180-4, by the standard library."""
    return f"sha256:{hashlib.sha256(data).hexdigest()}"


def rounded(figure: float) -> Tree:
    """A figure to 12 digits, a whole one as such: conversions differ in the last of 16."""
    if figure != figure or figure in (float("inf"), float("-inf")):
        return str(figure)
    return float(f"{figure:.{DIGITS}g}") or 0.0


def _complex(value: complex) -> Tree:
    """Both parts, one that is nothing beside the other being 0: cos(90°) is not quite."""
    least = abs(value) * 10.0**-DIGITS
    return [rounded(part) if abs(part) > least else 0.0 for part in (value.real, value.imag)]


def leaves(part: Tree, path: str = "") -> Iterator[tuple[str, Tree]]:
    """Path -> value of every leaf; what stands in a list of the first level is a leaf named by itself."""
    if isinstance(part, dict):
        yield from ((f"{path}/", "{}"),) if not part else ()
        for key, value in part.items():
            yield from leaves(value, f"{path}/{key}")
    elif isinstance(part, list) and path.count("/") == 1:
        yield from ((f"{path}/{canonical(p).decode()}", True) for p in part)
    else:
        yield path, part
