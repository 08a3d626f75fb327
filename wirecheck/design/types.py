"""Device types by name, and a device with its type: figures merged, rest positions decided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from wirecheck.design.contradict import of_motor
from wirecheck.design.fieldset import (
    PscFields,
    SwitchFields,
    fields_of,
    moved_by_motor,
    position_of,
    positions_of,
)
from wirecheck.design.kinds import Contact, Winding, figures_given
from wirecheck.design.merge import merged, with_loads
from wirecheck.design.models import Device, DeviceType
from wirecheck.design.reader import parse
from wirecheck.design.resolved import PositionSpec, ResolvedDevice
from wirecheck.design.setpoints import Reader, Word, position
from wirecheck.problem import BadInput, Problem, meant

if TYPE_CHECKING:
    from wirecheck.design.models import Element, Quantity


@cache
def built_in_names() -> tuple[str, ...]:
    """The names of all built-in types, sorted."""
    folder = files("wirecheck") / "library" / "devices"
    return tuple(sorted(f.name.removesuffix(".yaml") for f in folder.iterdir() if f.name.endswith(".yaml")))


@cache
def built_in(name: str) -> DeviceType:
    """A built-in type. Raises KeyError."""
    if name not in built_in_names():
        raise KeyError(name)
    text = (files("wirecheck") / "library" / "devices" / f"{name}.yaml").read_text(encoding="utf-8")
    tree = parse(text, f"{name}.yaml")
    return DeviceType.model_validate(tree, by_alias=True, by_name=False)


@cache
def built_in_fields(name: str) -> type[Device]:
    """The model of a device of a built-in type. Raises KeyError."""
    return fields_of(built_in(name), name)


class Types(Mapping[str, DeviceType]):
    """The built-in types, read when they are asked for, and a file's own."""

    def __init__(self, own: Mapping[str, DeviceType] | None = None) -> None:
        self.own = dict(own or {})
        self._fields: dict[str, type[Device]] = {}

    def __getitem__(self, name: str) -> DeviceType:
        return self.own[name] if name in self.own else built_in(name)

    def __iter__(self) -> Iterator[str]:
        return iter([*self.own, *(n for n in built_in_names() if n not in self.own)])

    def __len__(self) -> int:
        return len(list(iter(self)))

    def fields(self, name: str) -> type[Device]:
        """The model of a device of the type. Raises KeyError."""
        if name not in self.own:
            return built_in_fields(name)
        if name not in self._fields:
            self._fields[name] = fields_of(self.own[name], name)
        return self._fields[name]


def resolve(
    tag: str, device: Device, types: Mapping[str, DeviceType], conditions: Mapping[str, Quantity]
) -> ResolvedDevice:
    """The device with its type's elements and its own figures in them. Raises BadInput with every problem."""
    kind = types.get(device.type)
    if kind is None:
        message = f"{tag}: no device type is called {device.type}.{meant(device.type, types)}"
        raise BadInput([Problem("unknown-type", message, device.place("type"))])
    problems: list[Problem] = []
    figures = {**_defaults(kind, device.type), **device.figures}
    terminals = _terminals(kind, figures)
    specs, rests = _positions(tag, device, kind, figures, conditions, problems)
    elements = with_loads(merged(tag, device, kind, figures, problems))
    elements = {n: _at_rest(kind, e, rests) for n, e in elements.items()}
    stacks = _stacks(tag, device, terminals, problems)
    taps = _taps(tag, device, kind, figures, problems)
    _check_common(tag, device, kind, problems)
    problems += of_motor(tag, device) if kind.reads else ()
    if problems:
        raise BadInput(problems, {device.source.file: device.source.text})
    motor = {n: figures.get(n) for n in PscFields.model_fields} if kind.reads else {}
    return ResolvedDevice(
        tag, device, device.type, kind, terminals, elements, specs, stacks,
        isolates=kind.isolates if device.isolates is None else device.isolates,
        external=device.external, leads=device.leads, taps=taps, **motor,
    )  # fmt: skip


def _defaults(kind: DeviceType, name: str) -> dict[str, Any]:
    if not kind.defaults:
        return {}
    model = fields_of(kind, name).model_validate(
        {"type": name, **kind.defaults}, by_alias=True, by_name=False
    )
    return {key: value for key, value in model.figures.items() if key != "type"}


def _terminals(kind: DeviceType, figures: Mapping[str, Any]) -> tuple[str, ...]:
    if kind.terminals == "counted":
        return tuple(str(n) for n in range(1, figures["terminals"] + 1))
    return kind.terminals


def _positions(
    tag: str, device: Device, kind: DeviceType, figures: Mapping[str, Any],
    conditions: Mapping[str, Quantity], problems: list[Problem],
) -> tuple[dict[str, PositionSpec], dict[str, Word | None]]:  # fmt: skip
    """Each position, and the word at rest of its contacts (None: each has its own)."""
    specs: dict[str, PositionSpec] = {}
    rests: dict[str, Word | None] = {}
    several = len(positions_of(kind)) > 1
    for name, contacts in positions_of(kind).items():
        given = _given_of(name, figures, several)
        reader = Reader(tag, device, (name,) if several else (), given, conditions, problems)
        stated = {e.rests for c in contacts if isinstance(e := kind.elements[c], Contact)}
        specs[name], rests[name] = position(name, reader, stated)
    return specs, rests


def _given_of(name: str, figures: Mapping[str, Any], several: bool) -> dict[str, Any]:
    """The fields of one position; `normal` may stand at the device or by position."""
    normal = figures.get("normal")
    if several:
        part = figures.get(name)
        given = {} if part is None else figures_given(part)
    else:
        given = {n: figures[n] for n in SwitchFields.model_fields if n in figures}
    if isinstance(normal, dict):
        normal = normal.get(name) if name else next(iter(normal.values()), None)
    return given if normal is None else {**given, "normal": normal}


def _at_rest(kind: DeviceType, element: Element, rests: Mapping[str, Word | None]) -> Element:
    """A contact with `rests` decided, its mover None where it is the one position's; others as they are."""
    if not isinstance(element, Contact):
        return element
    mover = position_of(kind, element)
    if mover is None or moved_by_motor(kind, element) or not element.listed:
        return element.model_copy(
            update={"rests": element.rests or "open", "moved_by": mover or element.moved_by}
        )
    key = mover if mover in rests else ""
    return element.model_copy(
        update={"rests": rests[key] or element.rests or "open", "moved_by": key or None}
    )


def _stacks(tag: str, device: Device, terminals: tuple[str, ...], problems: list[Problem]) -> dict[str, int]:
    stacks = device.stacks
    if not isinstance(stacks, dict):
        return {} if stacks is None else dict.fromkeys(terminals, stacks)
    for name in stacks:
        if name not in terminals:
            message = (
                f"{tag} has no terminal {name}; {_it_has(device.type, terminals)}.{meant(name, terminals)}"
            )
            problems.append(Problem("unknown-terminal", message, device.key_place("stacks", name)))
    return dict(stacks)


def _it_has(name: str, terminals: tuple[str, ...]) -> str:
    shown = ", ".join(terminals) if len(terminals) <= 12 else f"{terminals[0]} to {terminals[-1]}"
    return f"a {name} has {shown}"


def _taps(
    tag: str, device: Device, kind: DeviceType, figures: Mapping[str, Any], problems: list[Problem]
) -> dict[str, float]:
    """Factor of each tap; 1 where neither the device nor its type says."""
    names = [e.tap for e in kind.elements.values() if isinstance(e, Winding) and e.tap is not None]
    given = {**_defaults(kind, device.type).get("taps", {}), **(figures.get("taps") or {})}
    for name in given:
        if name not in names:
            message = f"{tag} has no tap {name}; a {device.type} has {', '.join(names)}.{meant(name, names)}"
            problems.append(Problem("unknown-tap", message, device.key_place("taps", name)))
    return {name: given.get(name, 1.0) for name in names}


def _check_common(tag: str, device: Device, kind: DeviceType, problems: list[Problem]) -> None:
    """`normal` is for what a hand or a quantity moves; by position only for names that it has."""
    names = positions_of(kind)
    if device.normal is not None and not names:
        message = f"{tag} has no position of its own, so no `normal`: no hand or quantity moves it."
        problems.append(Problem("no-position", message, device.key_place("normal")))
    elif isinstance(device.normal, dict):
        known = [*names] if len(names) > 1 else list(kind.positions)
        for name in device.normal:
            if name not in known:
                has = f"it has {', '.join(known)}" if known else "it has one, without a name"
                message = f"{tag} has no position {name}; {has}.{meant(name, known)}"
                problems.append(Problem("unknown-position", message, device.key_place("normal", name)))
    elif device.normal is not None and len(names) > 1:
        say = f"normal: {{{next(iter(names))}: {device.normal}}}"
        message = f"{tag} has several positions ({', '.join(names)}); write `{say}`."
        problems.append(Problem("unknown-position", message, device.place("normal")))
