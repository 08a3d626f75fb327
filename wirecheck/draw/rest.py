"""How a plain drawing says in which state everything is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.quantity import SHELF, QuantityError, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Circuit

AT_REST = "Everything at rest: no power, no pressure, 20 degC"


def at_rest(*circuits: Circuit) -> str:
    """The state at rest in words, with the switches that stand otherwise there than they are drawn."""
    found = list(dict.fromkeys(text for c in circuits for text in _otherwise(c)))
    return f"{AT_REST}; but {', '.join(found)}." if found else f"{AT_REST}."


def _otherwise(circuit: Circuit) -> Iterator[str]:
    """The switches that what they sense on the shelf would move: drawn as on their other side.

    Between both set points a switch is taken as below them, as `design.setpoints` takes it.
    """
    for name, switch in circuit.inputs.items():
        points = switch.set_points
        if points is None or points.quantity not in circuit.quantities:
            continue
        above = _shelf(circuit.quantities[points.quantity].unit) > points.high
        if above == points.above_moved:
            yield f"{name} as {'below' if points.above_moved else 'above'} its set points"


def _shelf(spelled: str) -> float:
    """What a switch sees of a quantity of this unit as it lies on the shelf, SI."""
    try:
        return SHELF.get(unit(spelled).kind, 0.0)
    except QuantityError:
        return 0.0
