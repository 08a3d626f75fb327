"""Random changes of a plan."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

from tests.fast.plan import Plan, Thing
from wirecheck.circuit.elements import (
    Input,
)

if TYPE_CHECKING:
    import random


def changed(plan: Plan, rng: random.Random) -> Plan:
    """The plan with one or two things wired otherwise."""
    new = copy.deepcopy(plan)
    for _ in range(rng.randint(1, 2)):
        _change(new, rng)
    return new


def _change(plan: Plan, rng: random.Random) -> None:
    movable = [t for t in plan.things if t.kind in ("contact", "heater", "valve", "coil", "1ph")]
    if not movable:
        return
    thing = rng.choice(movable)
    what = rng.random()
    if what < 0.3:
        thing.nets[rng.randrange(2)] = rng.randrange(plan.nets)
    elif what < 0.6:
        middle = plan.net()
        tag = f"NEW{plan.nets}"
        name = rng.choice(list(plan.inputs))
        if rng.random() < 0.3:
            name = f"IN{plan.nets}"
            plan.inputs[name] = Input(name, name, ("open", "closed"))
        figures = {"input": name, "rests": rng.random() < 0.5}
        plan.things.append(Thing("contact", tag, [thing.nets[0], middle], figures))
        thing.nets[0] = middle
    elif what < 0.7:
        contacts = [t for t in plan.things if t.kind == "contact"]
        if contacts:
            one = rng.choice(contacts)
            one.figures["rests"] = not one.figures["rests"]
    elif what < 0.8:
        _other_points(plan, rng)
    else:
        contacts = [t for t in plan.things if t.kind == "contact"]
        if contacts:
            plan.things.remove(rng.choice(contacts))


def _other_points(plan: Plan, rng: random.Random) -> None:
    from msgspec.structs import replace

    sensing = [i for i in plan.inputs.values() if i.set_points is not None]
    if sensing:
        i = rng.choice(sensing)
        assert i.set_points is not None
        points = replace(i.set_points, low=i.set_points.low + 3, high=i.set_points.high + 4)
        plan.inputs[i.name] = replace(i, set_points=points)
