"""What people write, as frozen models: unit file, change file, device types.

Every field keeps its place: `model.place("from_")`, `model.place()` for the whole.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, WithJsonSchema, model_validator

from wirecheck.design.base import Model
from wirecheck.design.fields import (
    TEXT_SCHEMA,
    Count,
    DegC,
    Flag,
    FormatOne,
    Gauge,
    Hertz,
    Length,
    Name,
    Text,
    Volts,
    fault,
    kind_of,
    two,
)
from wirecheck.design.kinds import (
    Capacitor,
    Coil,
    Contact,
    Element,
    Link,
    Resistor,
    Transformer,
    Winding,
)
from wirecheck.quantity import QuantityError, unit

__all__ = [
    "Across", "Capacitor", "ChangeFile", "ChangeHead", "Coil", "Contact", "Cut", "Device", "DeviceType",
    "Element", "InSeries", "Insulation", "Land", "Lift", "Link", "Model", "Quantity", "Remove",
    "RemovesIsolation", "RemovesProtection", "Replace", "Resistor", "Run", "Rung", "Splice", "Step", "Supply",
    "Transformer", "UnitFile", "UnitHead", "Winding", "Wire", "WireBySight", "WireRef",
]  # fmt: skip

Symbol = Literal[
    "hand", "pressure", "temperature", "level", "flow", "door", "fuse", "breaker", "valve", "heater", "lamp",
    "resistor", "earth",
]  # fmt: skip
PositionWord = Literal["open", "closed", "rest", "moved"]
Trips = Literal["above", "below", "open", "closed", "rest", "moved"]


_COUNTED = Discriminator(lambda value: "word" if isinstance(value, str) else "list")


class DeviceType(Model):
    """A kind of device: its terminals and the elements between them."""

    about: Text | None = Field(None, description="what it is, in a sentence")
    terminals: Annotated[
        Annotated[tuple[Name, ...], Tag("list")] | Annotated[Literal["counted"], Tag("word")],
        _COUNTED,
    ] = Field(description="names; or `counted`: 1 to n, the number from the device's `terminals`")
    inside: tuple[Name, ...] = Field((), description="inner points that have no terminal")
    positions: tuple[Name, ...] = Field((), description="of a switch with several; one needs none")
    elements: dict[Name, Element] = Field({}, description="what is between the terminals, by name")
    reads: Literal["psc", "1ph", "3ph"] | None = Field(None, description="the windings are one motor")
    hermetic: Flag = Field(False, description="judged as a compressor")
    isolates: Flag = Field(False, description="it is there to make dead")
    joined: Flag = Field(False, description="all terminals are linked")
    at_earth: Flag = Field(False, description="its terminals are at earth")
    fuse: Flag = Field(False, description="it opens by blowing")
    hand: Flag = Field(False, description="a lever shows open and closed")
    volts: Volts | None = Field(None, description="rated volts of every terminal")
    symbol: Symbol | None = Field(None, description="its sign in a drawing, where the elements do not say it")
    defaults: dict[Name, Any] = Field({}, description="fields taken where a device does not give them")


StacksRef = Annotated[
    Annotated[Count, Tag("each")] | Annotated[dict[Name, Count], Tag("by terminal")],
    Discriminator(lambda value: "by terminal" if isinstance(value, dict) else "each"),
]
NormalRef = Annotated[
    Annotated[PositionWord, Tag("word")] | Annotated[dict[Name, PositionWord], Tag("by position")],
    Discriminator(lambda value: "by position" if isinstance(value, dict) else "word"),
]


class Device(Model):
    """One device as written. Its type adds fields: `fieldset.fields_of`; `figures` gives all by name."""

    type: Name
    normal: NormalRef | None = Field(None, description="in ordinary operation, where that is not rest")
    stacks: StacksRef | None = Field(None, description="most conductors on a terminal")
    external: Flag = Field(False, description="works something that is not in the file")
    isolates: Flag | None = Field(None, description="it is there to make dead")
    leads: Flag = Field(False, description="has flying leads in place of terminals")
    about: Text | None = None
    label: Text | None = None

    @property
    def figures(self) -> dict[str, Any]:
        """Every field that the file gives, under the name it is written with."""
        fields, given = type(self).model_fields, self.model_fields_set
        return {info.alias or name: getattr(self, name) for name, info in fields.items() if name in given}


class Supply(Model):
    """Where power comes from."""

    kind: Literal["single-phase", "split-phase", "three-phase", "two-legs-of-wye", "delta-high-leg"]
    volts: Volts = Field(description="line to line; of single-phase L to N")
    hertz: Hertz | None = Field(None, description="60 unless given; one for the whole file")
    same_source_as: Name | None = Field(None, description="the supply that it is in step with")


def _sensed(value: Any) -> Any:
    if isinstance(value, str) and value.strip():
        try:
            return unit(value).name
        except QuantityError as error:
            raise fault(error.code, error.message) from None
    return value


class Quantity(Model):
    """A physical quantity that switches sense. `unit`: the unit's own name, which bare figures take."""

    unit: Annotated[Text, BeforeValidator(_sensed)]


class Insulation(Model):
    """What the insulation of a conductor is marked for."""

    volts: Volts | None = None
    degC: DegC | None = None


class Wire(Model):
    """A conductor. `gauge` and `length` are canonical text: quantity.gauge, quantity.length_m read them."""

    id: Text
    from_: Text = Field(alias="from", description="DEVICE.TERMINAL, SUPPLY.POLE or a splice")
    to: Text = Field(description="DEVICE.TERMINAL, SUPPLY.POLE or a splice")
    color: Text | None = None
    gauge: Gauge | None = Field(None, description="18 AWG, 1.5 mm2; a bare number is AWG")
    insulation: Insulation | None = None
    route: Text | None = None
    label: Text | None = None
    length: Length | None = Field(None, description="4 ft, 1.2 m; a bare number is feet")


class Rung(Model):
    """Things in line, from the left rail to the right one."""

    id: Text
    path: tuple[Text, ...] = Field(min_length=2)
    color: Text | None = None
    gauge: Gauge | None = None


class UnitHead(Model):
    """What the unit is."""

    name: Text
    about: Text | None = None
    refrigerant: Text | None = None
    design: dict[Name, Text] | None = None


class UnitFile(Model):
    """A unit as it is wired."""

    format: FormatOne = 1
    unit: UnitHead
    supplies: dict[Name, Supply] = {}
    conditions: dict[Name, Quantity] = {}
    types: dict[Name, DeviceType] = {}
    devices: dict[Name, Device] = {}
    wires: tuple[Wire, ...] = ()
    rungs: tuple[Rung, ...] = ()
    expects: tuple[Text, ...] = ()
    given: dict[Text, PositionWord] = {}
    impossible: tuple[Text, ...] = ()


class WireBySight(Model):
    """A conductor named by what can be seen."""

    at: Text | None = None
    to: Text | None = None
    color: Text | None = None
    gauge: Gauge | None = None
    route: Text | None = None
    label: Text | None = None


WireRef = Annotated[
    Annotated[Text, Tag("id")] | Annotated[WireBySight, Tag("by sight")],
    Discriminator(lambda value: "by sight" if isinstance(value, dict | WireBySight) else "id"),
]


class Lift(Model):
    """Take one end of a conductor off."""

    wire: WireRef
    end: Text


class Land(Model):
    """Put a loose end on a terminal."""

    wire: WireRef
    on: Text
    end: Text | None = None


class Run(Wire):
    """A conductor that the change brings."""


class Splice(Model):
    """Join loose ends; one alone is capped."""

    name: Name
    join: tuple[Text, ...] = Field(min_length=1)


class Cut(Model):
    """Cut a conductor in two."""

    wire: WireRef


class Remove(Model):
    """A conductor or a device: exactly one."""

    wire: WireRef | None = None
    device: Name | None = None

    @model_validator(mode="after")
    def _one(self) -> Remove:
        if (self.wire is None) == (self.device is None):
            raise fault("step-form", "`remove` takes either `wire` or `device`.")
        return self


class Replace(Model):
    """Put a device in the place of another."""

    device: Name
    with_: Name = Field(alias="with")
    moves: dict[Name, Name] = {}
    positions: dict[Name, Name] = {}


class InSeries(Model):
    """Put a device in line with a conductor."""

    device: Text
    in_: WireRef = Field(alias="in")
    at: Text


class Across(Model):
    """Put a device across two terminals."""

    device: Text
    terminals: Annotated[tuple[Text, Text], BeforeValidator(two)]


class Step(Model):
    """One step: exactly one field is set."""

    lift: Lift | None = None
    land: Land | None = None
    run: Run | None = None
    splice: Splice | None = None
    cut: Cut | None = None
    remove: Remove | None = None
    replace: Replace | None = None
    in_series: InSeries | None = Field(None, alias="in-series")
    across: Across | None = None

    @model_validator(mode="after")
    def _one(self) -> Step:
        if len(self.model_fields_set) != 1:
            raise fault(
                "step-form", f"a step is one thing to do; {len(self.model_fields_set)} are given here."
            )
        return self


class RemovesProtection(Model):
    """A protection that the change ends, and why."""

    device: Text
    load: Text
    because: Text


class RemovesIsolation(Model):
    """Isolation that the change ends, and why."""

    device: Text
    terminals: tuple[Text, ...]
    because: Text


AFFECTS = "write a list, [FAN], or a mapping with less, more or either for each, {FAN: more}."


def _affected(value: Any) -> Any:
    """A list of loads means `less` for each."""
    if isinstance(value, list | tuple):
        if bad := next((v for v in value if not isinstance(v, str)), None):
            says = f"{kind_of(bad)} stands where the name of a load is expected; {AFFECTS}"
            raise fault("wrong-kind", says)
        return dict.fromkeys(value, "less")
    if isinstance(value, str) and value.strip():
        raise fault("wrong-kind", f"{kind_of(value)} stands where loads are expected; {AFFECTS}")
    return value


class ChangeHead(Model):
    """What a change says it does. `affects`: load -> less, more or either."""

    name: Text
    reason: Text | None = None
    affects: Annotated[
        dict[Text, Literal["less", "more", "either"]],
        BeforeValidator(_affected),
        WithJsonSchema(
            {
                "anyOf": [
                    {"type": "array", "items": TEXT_SCHEMA},
                    {"type": "object", "additionalProperties": {"enum": ["less", "more", "either"]}},
                ]
            }
        ),
    ] = {}
    retires: tuple[Text, ...] = ()
    drops: tuple[Text, ...] = ()
    removes_protection: tuple[RemovesProtection, ...] = ()
    removes_isolation: tuple[RemovesIsolation, ...] = ()
    races: tuple[Text, ...] = ()


class ChangeFile(Model):
    """A change to a unit."""

    format: FormatOne = 1
    change: ChangeHead
    supplies: dict[Name, Supply] = {}
    conditions: dict[Name, Quantity] = {}
    types: dict[Name, DeviceType] = {}
    devices: dict[Name, Device] = {}
    steps: tuple[Step, ...] = ()
    expects: tuple[Text, ...] = ()
    given: dict[Text, PositionWord] = {}
    impossible: tuple[Text, ...] = ()
