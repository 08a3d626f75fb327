"""What each device type has and takes, as plain records."""

from __future__ import annotations

import types as python_types
from typing import TYPE_CHECKING, Any, Literal, Union, get_args, get_origin

from msgspec import Struct

from wirecheck import quantity
from wirecheck.design.base import Model
from wirecheck.design.fields import In, Percent, Ratio
from wirecheck.design.fieldset import flat_figures, positions_of
from wirecheck.design.kinds import Contact, Transformer
from wirecheck.design.models import Device
from wirecheck.design.types import Types

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.design.models import DeviceType, Element


class FieldSheet(Struct, frozen=True):
    """One field of a device. takes: the unit of a bare number, the words, or the fields of a mapping."""

    name: str
    takes: str
    default: str
    about: str


class ElementSheet(Struct, frozen=True):
    """One element. between: its ends; moved_by: of a contact, the coil or position; "" otherwise."""

    name: str
    kind: str
    between: str
    rests: str = ""
    moved_by: str = ""
    late: str = ""


class TypeSheet(Struct, frozen=True):
    """One device type. terminals: names, or "1 … n" where they are counted."""

    name: str
    about: str
    terminals: tuple[str, ...]
    positions: tuple[str, ...]
    elements: tuple[ElementSheet, ...]
    fields: tuple[FieldSheet, ...]


def sheets() -> Iterator[TypeSheet]:
    """Every built-in type, by name."""
    types = Types()
    return (sheet(name, types) for name in types)


def sheet(name: str, types: Types | None = None) -> TypeSheet:
    """One type. Raises KeyError."""
    types = types or Types()
    kind = types[name]
    return TypeSheet(
        name,
        kind.about or "",
        ("1 … n",) if kind.terminals == "counted" else kind.terminals,
        kind.positions,
        tuple(_element(n, e) for n, e in kind.elements.items()),
        _fields(kind, types.fields(name)),
    )


def _element(name: str, element: Element) -> ElementSheet:
    if isinstance(element, Transformer):
        between = f"{'-'.join(element.primary)} to {'-'.join(element.secondary)}"
        return ElementSheet(name, element.kind, between)
    between = "-".join(element.across)
    if not isinstance(element, Contact):
        return ElementSheet(name, element.kind, between)
    rests, moved_by, late = element.rests or "", element.moved_by or "", element.late or ""
    return ElementSheet(name, element.kind, between, rests, moved_by, late)


def _defaults(kind: DeviceType) -> dict[str, str]:
    """What a field is where the device does not give it, for print."""
    found = {name: _printed(value) for name, value in kind.defaults.items()}
    for figure, owner in flat_figures(kind).items():
        values = {getattr(e, figure) for e in kind.elements.values() if type(e) is owner}
        value = next(iter(values)) if len(values) == 1 else None
        unit = _unit_of(owner.model_fields[figure].annotation)
        if isinstance(value, float) and unit:
            found[figure] = quantity.show(value, unit)
    return found


def _printed(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {part}" for name, part in value.items())
    return str(value)


def _fields(kind: DeviceType, model: type[Model]) -> tuple[FieldSheet, ...]:
    """What belongs to the type first, then what every device takes."""
    defaults = _defaults(kind)
    own: list[FieldSheet] = []
    common: list[FieldSheet] = []
    for name, info in model.model_fields.items():
        written = info.alias or name
        if written == "type" or (written == "normal" and not positions_of(kind)):
            continue
        takes = _unit_in(info.metadata) or _takes(info.annotation)
        default = defaults.get(written, "required" if info.is_required() else "")
        row = FieldSheet(written, takes, default, info.description or "")
        (common if name in Device.model_fields else own).append(row)
    return (*own, *common)


def _takes(annotation: Any) -> str:
    """What a field takes, in words."""
    if (unit := _unit_of(annotation)) is not None:
        return unit
    parts = [p for p in get_args(annotation) if p is not type(None)]
    match get_origin(annotation):
        case origin if origin is Literal:
            return " or ".join(str(p) for p in parts)
        case origin if origin in (Union, python_types.UnionType):
            return " or ".join(dict.fromkeys(_takes(p) for p in parts))
        case origin if origin is dict:
            return f"name: {_takes(parts[1])}"
        case origin if origin is tuple:
            return f"list of {_takes(parts[0])}"
    if hasattr(annotation, "__metadata__"):
        return _takes(annotation.__origin__)
    return _plain(annotation)


def _plain(annotation: Any) -> str:
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return f"{{{', '.join(annotation.model_fields)}}}"
    return {bool: "true or false", int: "whole number"}.get(annotation, "text")


def _unit_of(annotation: Any) -> str | None:
    """The unit of a figure's annotation, also where it may be left out."""
    found = _unit_in(getattr(annotation, "__metadata__", ()))
    optional = get_origin(annotation) in (Union, python_types.UnionType)
    parts = [p for p in get_args(annotation) if p is not type(None)]
    return found or (_unit_of(parts[0]) if optional and len(parts) == 1 else None)


def _unit_in(metadata: Any) -> str | None:
    units = [m.unit or "number" for m in metadata if isinstance(m, In | Percent | Ratio)]
    return units[0] if units else None
