"""The closed set of element kinds as written, each with its figures. SI units: V, A, VA, W, ohm, F."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from wirecheck.design.base import Model
from wirecheck.design.fields import (
    Amps,
    Farads,
    Flag,
    Name,
    Ohms,
    OhmsOrNone,
    Threshold,
    TwoNames,
    VoltAmps,
    Volts,
    Watts,
    fault,
)


class LinkFigures(Model):
    """A link has none."""


class ContactFigures(Model):
    """What a contact may switch."""

    volts: Volts | None = Field(None, description="most volts that it may switch")
    fla: Amps | None = Field(None, description="running amps that it may carry")
    lra: Amps | None = Field(None, description="locked-rotor amps that it may make and break")
    va: VoltAmps | None = Field(None, description="pilot duty")


class CoilFigures(Model):
    """What is marked on a coil."""

    volts: Volts | None = Field(None, description="rated volts")
    va: VoltAmps | None = Field(None, description="sealed; estimated 8 VA, 2 to 20")
    inrush: VoltAmps | None = Field(None, description="with the armature open; estimated 4 times va, 1 to 8")
    pick_up: Threshold | None = Field(None, description="pulls in at; estimated 85 %, 60 to 85")
    drop_out: Threshold | None = Field(None, description="lets go below; estimated 60 %, 20 to 75")
    ohms: Ohms | None = Field(None, description="impedance in either position, in place of va")
    dc_ohms: Ohms | None = Field(None, description="DC resistance, as an ohmmeter reads it")


class ResistorFigures(Model):
    """What is marked on a heater, a lamp or a resistor."""

    volts: Volts | None = Field(None, description="rated volts; makes it a load")
    watts: Watts | None = Field(None, description="at rated volts")
    ohms: Ohms | None = Field(None, description="in place of watts")


class CapacitorFigures(Model):
    """What is marked on a capacitor."""

    capacitance: Farads | None = Field(None, description="as marked")
    volts: Volts | None = Field(None, description="rated volts")


class WindingFigures(Model):
    """Impedance of a winding at standstill."""

    r: OhmsOrNone | None = Field(None, description="resistance at standstill; estimated from lra")
    x: OhmsOrNone | None = Field(None, description="reactance at standstill; estimated from lra")

    @model_validator(mode="after")
    def _not_both_nothing(self) -> WindingFigures:
        if self.r == 0 and self.x == 0:
            raise fault("impossible-figure", "r and x are both 0; a winding has an impedance.")
        return self


class TransformerFigures(Model):
    """What is marked on a transformer."""

    volts: tuple[Volts, ...] | None = Field(
        None, description="one for each primary tap, then the secondary's"
    )
    va: VoltAmps | None = Field(None, description="rated load")
    reversed: Flag = Field(False, description="H1 and R are not of like sense")


class Link(LinkFigures):
    """Two terminals that are always joined."""

    kind: Literal["link"]
    across: TwoNames


class Contact(ContactFigures):
    """A contact, moved by a coil of this device, by a position, by `atspeed` or `warm`.

    After `resolve`: `rests` is decided, and `moved_by` is None for the one position of a type.
    """

    kind: Literal["contact"]
    across: TwoNames
    rests: Literal["open", "closed"] | None = Field(None, description="with no power and nothing sensed")
    moved_by: Name | None = Field(None, description="a coil of this device, or one of its positions")
    late: Literal["on", "off"] | None = Field(
        None, description="delayed: on when the coil comes in, off when it drops"
    )
    listed: Flag = Field(True, description="false: an overload inside a motor, moved only by given or --when")
    auxiliary: Flag = Field(False, description="does not take what the device says under `contact`")


class Coil(CoilFigures):
    """An electromagnet. pick_up, drop_out: fractions of rated volts (`InVolts` until resolved)."""

    kind: Literal["coil"]
    across: TwoNames


class Resistor(ResistorFigures):
    """A resistance: a heater, a lamp, a bleeder, a start device."""

    kind: Literal["resistor"]
    across: TwoNames
    duty: Literal["start"] | None = Field(None, description="the resistance of a start device")
    load: Flag = Field(False, description="a heater or lamp even where volts are not given")


class Capacitor(CapacitorFigures):
    """A capacitor."""

    kind: Literal["capacitor"]
    across: TwoNames
    duty: Literal["run", "start"] = "run"


class Winding(WindingFigures):
    """One winding of a motor."""

    kind: Literal["winding"]
    across: TwoNames
    tap: Name | None = Field(None, description="main of a motor with taps: the name of this tap")


class Transformer(TransformerFigures):
    """An ideal transformer that isolates."""

    kind: Literal["transformer"]
    primary: tuple[Name, ...] = Field(description="two terminals, or the common one and the taps")
    secondary: TwoNames = Field(description="the second is the side usually earthed")


Element = Annotated[
    Link | Contact | Coil | Resistor | Capacitor | Winding | Transformer, Field(discriminator="kind")
]

FIGURES: dict[type[Model], type[Model]] = {
    Link: LinkFigures,
    Contact: ContactFigures,
    Coil: CoilFigures,
    Resistor: ResistorFigures,
    Capacitor: CapacitorFigures,
    Winding: WindingFigures,
    Transformer: TransformerFigures,
}
"""What a device may say of an element of each kind."""

MAIN_FIGURE: dict[type[Model], str] = {Coil: "volts", Resistor: "ohms", Capacitor: "capacitance"}
"""The figure that a bare value stands for: `herm: 45 uF`."""


def figures_given(model: Any) -> dict[str, Any]:
    """The figures that a model's file gives, by name."""
    given = model.model_fields_set
    return {name: getattr(model, name) for name in type(model).model_fields if name in given}
