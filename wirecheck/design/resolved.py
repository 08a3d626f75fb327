"""A device with its type: the elements of the type with the device's figures written into them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

if TYPE_CHECKING:
    from wirecheck.design.models import Device, DeviceType, Element, PositionWord, Trips


class PositionSpec(Struct, frozen=True):
    """How one position of a switch moves. Set points in the base unit of the quantity.

    `low`/`high` None: no set points. `rests`: the word at rest of a switch with one contact, where stated.
    """

    name: str  # "" where the type has one position
    senses: str | None = None
    low: float | None = None
    high: float | None = None
    above_moved: bool | None = None  # stands moved above `high`
    set_point_text: str = ""
    rests: Literal["open", "closed"] | None = None
    hand_reset: bool = False
    trips: Trips | None = None
    normal: PositionWord | None = None


class ResolvedDevice(Struct, frozen=True):
    """A device as its type and its own figures make it.

    elements: contacts have `rests` decided; coils have `pick_up` and `drop_out` as fractions of rated volts.

    positions: those that a hand or a quantity moves; not `atspeed`, `warm`, nor an overload inside a motor.
    volts, rla, fla, lra, needs (farads), taps: of a motor.
    """

    tag: str
    device: Device
    type_name: str
    type: DeviceType
    terminals: tuple[str, ...]  # short names
    elements: dict[str, Element]
    positions: dict[str, PositionSpec] = field(default_factory=dict)
    stacks: dict[str, int] = field(default_factory=dict)  # short terminal -> most conductors
    isolates: bool = False
    external: bool = False
    leads: bool = False
    volts: float | None = None
    rla: float | None = None
    fla: float | None = None
    lra: float | None = None
    needs: float | None = None
    taps: dict[str, float] = field(default_factory=dict)
