"""The kinds of fields: text, names, figures with units, counts, flags. Each types the text it takes."""

from __future__ import annotations

import re
from typing import Annotated, Any

from msgspec import Struct
from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, WithJsonSchema
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from wirecheck import quantity
from wirecheck.limits import TERMINALS

TEXT_SCHEMA = {"type": ["string", "number", "boolean", "null"]}  # what a YAML 1.2 reader makes of plain text
FIGURE_SCHEMA = {"type": ["number", "string"]}


BEYOND = ("figure-too-great", "impossible-figure")  # of the right kind, so nothing else is expected


def fault(code: str, message: str, **context: Any) -> PydanticCustomError:
    """A problem found by a field. pydantic formats messages, so the words go in as context."""
    return PydanticCustomError("problem", "{message}", {"code": code, "message": message, **context})


def kind_of(value: Any) -> str:
    """What was found, in words."""
    if isinstance(value, dict):
        return "a mapping"
    return "a list" if isinstance(value, list | tuple) else f"the text {value}"


def _text(value: Any) -> Any:
    if isinstance(value, dict | list | tuple):
        raise fault("wrong-kind", f"{kind_of(value)} stands where a text is expected.")
    if isinstance(value, str) and not value.strip():
        raise fault("empty-value", "nothing is given; write the value, or leave the line out.")
    return value


def name_fault(name: str) -> str | None:
    """Why a text cannot be a name; None where it can."""
    bad = re.search(r"[\s.\x00-\x1f\x7f]", name)
    if bad is None:
        return None
    what = {".": "a point", " ": "a space"}.get(bad[0], f"U+{ord(bad[0]):04X}")
    return f"`{name}` has {what} in it; a name is one word without points."


def _name(value: Any) -> Any:
    value = _text(value)
    if isinstance(value, str) and (bad := name_fault(value)) is not None:
        raise fault("bad-name", bad)
    return value


Text = Annotated[str, BeforeValidator(_text), WithJsonSchema(TEXT_SCHEMA)]
"""Any text that is not empty."""
Name = Annotated[str, BeforeValidator(_name), WithJsonSchema(TEXT_SCHEMA)]
"""A name that others refer to: of a device, terminal, element, position, quantity."""


def two(value: Any) -> Any:
    """Refuse a pair of terminals that is no pair."""
    if isinstance(value, list | tuple) and len(value) != 2:
        raise fault("wrong-count", f"{len(value)} terminals are given; exactly 2 are expected.")
    return value


TwoNames = Annotated[tuple[Name, Name], BeforeValidator(two)]


class In(Struct, frozen=True):
    """A figure in a unit: bare numbers take it. Kept in SI, or in that unit where `own` is set."""

    unit: str
    zero: bool = False  # may be 0
    own: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {**FIGURE_SCHEMA, "$comment": f"a bare number is in {self.unit}"}

    def check(self, value: Any) -> float:
        """The figure of a text, of its own kind and within what can be."""
        if isinstance(value, float | int) and not isinstance(value, bool):
            return float(value)
        if not isinstance(value, str):
            raise fault("wrong-kind", f"{kind_of(value)} stands where a figure in {self.unit} is expected.")
        _text(value)
        measure = measured(value, self.unit)
        _within(measure, self.zero)
        return measure.figure_in(self.unit) if self.own else measure.si


def measured(text: str, unit: str) -> quantity.Measure:
    """`quantity.read` as a field's check."""
    try:
        return quantity.read(text, unit)
    except quantity.QuantityError as error:
        expected = "" if error.code in BEYOND else f" A figure in {unit} is expected."
        raise fault(error.code, f"{error.message}{expected}") from None


Volts = Annotated[float, In("V")]
Amps = Annotated[float, In("A")]
VoltAmps = Annotated[float, In("VA")]
Watts = Annotated[float, In("W")]
Ohms = Annotated[float, In("ohm")]
OhmsOrNone = Annotated[float, In("ohm", zero=True)]
Farads = Annotated[float, In("uF")]
Hertz = Annotated[float, In("Hz")]
DegC = Annotated[float, In("degC", own=True)]


class InVolts(float):
    """A threshold of a coil given in volts, until its rated volts are known."""


def _threshold(value: Any) -> float:
    if isinstance(value, float | int):
        return value
    if not isinstance(value, str):
        raise fault("wrong-kind", f"{kind_of(value)} stands where % of rated volts, or volts, are expected.")
    try:
        percent = quantity.read(value, "%").si
    except quantity.QuantityError as error:
        if error.code != "wrong-unit":
            raise fault(error.code, f"{error.message} % of rated volts, or V, is expected.") from None
        volts = InVolts(measured(value, "V").si)
        if volts > 0:
            return volts
        percent = 0.0
    if not 0 < percent <= 110:
        raise fault("impossible-figure", f"{value} cannot be: above 0 and up to 110 % of rated volts is.")
    return percent / 100


class Percent(Struct, frozen=True):
    """A fraction of rated volts: % (a bare number too), or V as `InVolts`."""

    unit: str = "% or V"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(_threshold)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return dict(FIGURE_SCHEMA)


Threshold = Annotated[float, Percent()]


class Ratio(Struct, frozen=True):
    """A plain number above 0."""

    unit: str = ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(_ratio)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return dict(FIGURE_SCHEMA)


def _ratio(value: Any) -> float:
    if isinstance(value, float | int):
        return value
    if not isinstance(value, str):
        raise fault("wrong-kind", f"{kind_of(value)} stands where a plain number is expected.")
    try:
        figure, unit = quantity.split(value)
    except quantity.QuantityError as error:
        raise fault(error.code, error.message) from None
    if unit is not None:
        raise fault("wrong-unit", f"{value} has the unit {unit}; a plain number is expected.")
    if not 0 < figure <= 1000:
        raise fault("impossible-figure", f"{value} cannot be: above 0 and up to 1000 is.")
    return figure


Multiple = Annotated[float, Ratio()]


def _count(value: Any) -> Any:
    if isinstance(value, dict | list | tuple):
        raise fault("wrong-kind", f"{kind_of(value)} stands where a whole number is expected.")
    if isinstance(value, str):
        if not re.fullmatch(r"\+?[0-9]{1,6}", value.strip()):
            raise fault("not-a-number", f"`{value}` is not a whole number.")
        value = int(value)
    if not 1 <= value <= TERMINALS:
        raise fault("impossible-figure", f"{value} cannot be: 1 to {TERMINALS} is.")
    return value


Count = Annotated[int, BeforeValidator(_count), WithJsonSchema({"type": ["integer", "string"]})]


def _flag(value: Any) -> Any:
    words = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
    if isinstance(value, str):
        if value not in words:
            raise fault("wrong-word", f"`{value}` is not true or false.")
        return words[value]
    if isinstance(value, dict | list):
        raise fault("wrong-kind", f"{kind_of(value)} stands where true or false is expected.")
    return value


Flag = Annotated[bool, BeforeValidator(_flag), WithJsonSchema({"enum": [True, False, "true", "false"]})]


def _gauge(value: Any) -> Any:
    value = _text(value)
    try:
        return quantity.gauge(value).text if isinstance(value, str) else value
    except quantity.QuantityError as error:
        raise fault(error.code, error.message) from None


def _length(value: Any) -> Any:
    value = _text(value)
    if not isinstance(value, str):
        return value
    measure = measured(value, "ft")
    _within(measure)
    return measure.text


def _within(measure: quantity.Measure, zero: bool = False) -> None:
    """Refuse what no part is marked with: below 0, 0 but where it may be, or next to nothing."""
    if measure.si < 0 or (measure.si == 0 and not zero):
        raise fault("impossible-figure", f"{measure.text} cannot be: it is above 0.")
    if 0 < measure.si < quantity.LEAST.get(measure.unit.kind, 1e-6):
        raise fault("impossible-figure", f"{measure.text} cannot be: no part is that small.")


Gauge = Annotated[str, BeforeValidator(_gauge), WithJsonSchema(TEXT_SCHEMA)]
"""A conductor's size in canonical text: 18 AWG, 1.5 mm2. A bare number is AWG."""
Length = Annotated[str, BeforeValidator(_length), WithJsonSchema(TEXT_SCHEMA)]
"""A length as written, with its unit; a bare number is feet."""


def _version(value: Any) -> Any:
    if value in ("1", 1):
        return 1
    raise fault("wrong-format", f"format {value} is not known; this version reads format 1.")


FormatOne = Annotated[int, BeforeValidator(_version), WithJsonSchema({"enum": [1, "1"]})]
