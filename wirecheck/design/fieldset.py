"""Which fields a device may have: they follow from the elements of its type."""

from __future__ import annotations

from copy import copy
from typing import Annotated, Any, Literal, cast, get_args

from pydantic import AfterValidator, Discriminator, Field, Tag, create_model

from wirecheck.design.base import Model
from wirecheck.design.fields import Amps, Count, Farads, Multiple, Name, Text, Volts
from wirecheck.design.kinds import (
    FIGURES,
    MAIN_FIGURE,
    Coil,
    Contact,
    ContactFigures,
    Winding,
    WindingFigures,
)
from wirecheck.design.models import Device, DeviceType, PositionWord, Trips

START_INPUTS = ("atspeed", "warm")  # by the motor's speed, the start device's heat: closed, then open
OVERLOAD = "overload"


class SwitchFields(Model):
    """How a position of a switch moves."""

    senses: Name | None = Field(None, description="the quantity, one of `conditions`")
    opens_above: Text | None = Field(None, description="set point; with closes_below")
    closes_below: Text | None = Field(None, description="set point; with opens_above")
    closes_above: Text | None = Field(None, description="set point; with opens_below")
    opens_below: Text | None = Field(None, description="set point; with closes_above")
    moves_above: Text | None = Field(None, description="set point; with returns_below; two senses")
    returns_below: Text | None = Field(None, description="set point; with moves_above")
    moves_below: Text | None = Field(None, description="set point; with returns_above; rests above")
    returns_above: Text | None = Field(None, description="set point; with moves_below")
    rests: Literal["open", "closed"] | None = Field(None, description="where there are no set points")
    resets: Literal["hand"] | None = Field(None, description="once moved it goes back only by hand")
    trips: Trips | None = Field(None, description="a protection: its tripped side")


class PositionFields(SwitchFields):
    """The same for one of several positions."""

    normal: PositionWord | None = Field(None, description="in ordinary operation, where that is not rest")


class MotorFields(Model):
    """Figures of a device whose windings are one motor."""

    volts: Volts | None = Field(None, description="rated volts")
    fla: Amps | None = Field(None, description="running amps")
    rla: Amps | None = Field(None, description="running amps of a compressor")
    lra: Amps | None = Field(
        None, description="locked-rotor amps; estimated 2 times fla of a PSC fan, else 6 times"
    )


class PscFields(MotorFields):
    """The same of a motor with a run capacitor."""

    needs: Farads | None = Field(None, description="capacitor as designed")


class TapFields(Model):
    """Of a motor whose main winding has taps."""

    taps: dict[Name, Multiple] | None = Field(None, description="impedance of each tap over the main's")


def coils_of(kind: DeviceType) -> tuple[str, ...]:
    """Names of the coils."""
    return tuple(name for name, e in kind.elements.items() if isinstance(e, Coil))


def moved_by_motor(kind: DeviceType, contact: Contact) -> bool:
    """Is a contact moved by a motor's speed or a start device's heat, not by a position of that name?"""
    return contact.moved_by in START_INPUTS and contact.moved_by not in (*kind.positions, *coils_of(kind))


def position_of(kind: DeviceType, contact: Contact) -> str | None:
    """The position that moves a contact, as its type names it; "" for the one without name. None: a coil."""
    if contact.moved_by in coils_of(kind):
        return None
    if contact.moved_by is not None:
        return contact.moved_by
    return (kind.positions[0] if len(kind.positions) == 1 else "") if contact.listed else OVERLOAD


def positions_of(kind: DeviceType) -> dict[str, tuple[str, ...]]:
    """The positions that a hand or a quantity moves -> names of their contacts; "" where there is one."""
    found: dict[str, tuple[str, ...]] = {}
    for name, element in kind.elements.items():
        if isinstance(element, Contact) and element.listed:
            position = position_of(kind, element)
            if position is not None and not moved_by_motor(kind, element):
                found[position] = (*found.get(position, ()), name)
    return {"": next(iter(found.values()))} if len(found) == 1 else found


def flat_figures(kind: DeviceType) -> dict[str, type[Model]]:
    """Figures that a device may give without naming an element -> the kind of element that takes them."""
    taken: dict[str, type[Model]] = {}
    present = list(dict.fromkeys(type(e) for e in kind.elements.values()))
    motor = set(MotorFields.model_fields) if kind.reads else set()
    for name in dict.fromkeys(f for k in present for f in FIGURES[k].model_fields):
        takers = [
            k for k in present if name in FIGURES[k].model_fields and k is not Contact and _flat(kind, k)
        ]
        if not takers and Contact in present and _rated_contacts(kind):
            takers = [Contact]
        if len(takers) == 1 and name not in motor:
            taken[name] = takers[0]
    return taken


def _flat(kind: DeviceType, element: type[Model]) -> bool:
    return element is not Winding or kind.reads != "psc"


def _rated_contacts(kind: DeviceType) -> bool:
    return any(isinstance(e, Contact) and e.listed for e in kind.elements.values())


def tapped(kind: DeviceType) -> tuple[str, ...]:
    """The windings that are taps of one main."""
    return tuple(n for n, e in kind.elements.items() if isinstance(e, Winding) and e.tap is not None)


def fields_of(kind: DeviceType, name: str = "device") -> type[Device]:
    """The model of a device of this type: its own fields beside the common ones."""
    bases: list[Any] = [Device]
    if kind.reads:
        bases.append(PscFields if kind.reads == "psc" else MotorFields)
    if tapped(kind):
        bases.append(TapFields)
    if list(positions_of(kind)) == [""]:
        bases.append(SwitchFields)
    extra: dict[str, Any] = {}
    if kind.terminals == "counted":
        extra["terminals"] = (Count, Field(description="how many: 1 to n"))
    if _rated_contacts(kind):
        extra["contact"] = (ContactFigures | None, Field(None, description="rating of every contact"))
    for figure, owner in flat_figures(kind).items():
        info = copy(FIGURES[owner].model_fields[figure])
        extra.setdefault(figure, (info.annotation, info))
    for number, (part, model) in enumerate(_parts(kind).items()):
        extra[f"part_{number}"] = (_or_main_figure(kind, part, model), Field(None, alias=part))
    made: Any = create_model(f"Device {name}", __base__=tuple(bases), **extra)
    return cast("type[Device]", made)


def _parts(kind: DeviceType) -> dict[str, type[Model]]:
    """The fields that are named after an element or a position -> what they take."""
    parts: dict[str, type[Model]] = {}
    for name, element in kind.elements.items():
        figures = FIGURES[type(element)]
        if figures.model_fields and not (isinstance(element, Contact) and not element.listed):
            parts[name] = figures
    if tapped(kind) and "main" not in parts:
        parts["main"] = WindingFigures
    positions = positions_of(kind)
    if len(positions) > 1:
        for name in positions:
            parts[name] = _both(name, parts[name]) if name in parts else PositionFields
    return {name: model for name, model in parts.items() if name != "contact"}


def _both(name: str, figures: type[Model]) -> type[Model]:
    """Of an element and a position of one name: the fields of either."""
    made: Any = create_model(f"Position {name}", __base__=(figures, PositionFields))
    return cast("type[Model]", made)


def _or_main_figure(kind: DeviceType, part: str, model: type[Model]) -> Any:
    """A mapping, or a bare text that stands for the kind's main figure: `herm: 45 uF`."""
    element = kind.elements.get(part)
    main = MAIN_FIGURE.get(type(element)) if element is not None else None
    if main is None:
        return model | None

    figure: Any = get_args(model.model_fields[main].annotation)[0]  # without the None of a figure left out

    def spread(value: Any) -> Any:
        return value if isinstance(value, model) else model(**{main: value})

    by_name: Any = model
    choices: Any = Annotated[figure, Tag("bare")] | Annotated[by_name, Tag("by name")]
    tagged = Discriminator(lambda value: "by name" if isinstance(value, dict | model) else "bare")
    return Annotated[choices, tagged, AfterValidator(spread)] | None


def names_of(model: type[Model]) -> tuple[str, ...]:
    """The fields that a model takes, as they are written."""
    return tuple(info.alias or name for name, info in model.model_fields.items())
