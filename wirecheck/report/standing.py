"""Where switches and quantities stand, as one would say it at the unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.pair import range_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.world import Setting, World

USUAL = "every switch as in ordinary operation"


def words(circuit: Circuit, world: World, setting: Setting) -> str:
    """What stands away from ordinary operation, and that all else is as usual."""
    found = [*stands(circuit, world, setting)]
    return f"{', '.join(found)}, every other switch as usual" if found else USUAL


def stands(circuit: Circuit, world: World, setting: Setting) -> Iterator[str]:
    """Each switch away from ordinary operation, with its quantity's range where one moves it."""
    for v, moved in zip(world.variables, setting.bits, strict=True):
        if moved != v.normal:
            yield f"{v.name} {v.word(moved)}{_why(circuit, world, setting, v.name)}"


def _why(circuit: Circuit, world: World, setting: Setting, name: str) -> str:
    points = circuit.inputs[name].set_points
    if points is None or points.quantity not in world.quantities:
        return ""
    k = world.quantities.index(points.quantity)
    unit = circuit.quantities[points.quantity].unit
    return f" ({points.quantity} {range_words(unit, *world.interval(points.quantity, setting.ranges[k]))})"
