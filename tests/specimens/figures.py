"""Every figure that a file can give, as the models have them."""

from __future__ import annotations

from wirecheck.design import kinds, models
from wirecheck.design.fieldset import MotorFields, PscFields, TapFields


def figures() -> set[str]:
    """KIND.FIELD of every figure: coil.va, motor.needs, wire.gauge."""
    found = {f"{kind.__name__.lower()}.{f}" for kind, own in kinds.FIGURES.items() for f in own.model_fields}
    motor = {*MotorFields.model_fields, *PscFields.model_fields, *TapFields.model_fields}
    found |= {f"motor.{f}" for f in motor} | {f"insulation.{f}" for f in models.Insulation.model_fields}
    found |= {f"supply.{f}" for f in models.Supply.model_fields if f != "kind"}
    return found | {"wire.gauge", "wire.length", "wire.insulation"}
