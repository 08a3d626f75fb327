"""`given` and `impossible` may hide neither what a protection guards against nor every state (contract 2)."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.engine.answers import TooMany
from wirecheck.engine.world import World
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.circuit.elements import Input
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.engine.world import Setting
    from wirecheck.problem import Place


class Limit(Struct, frozen=True):
    """One line of `given` (name) or `impossible` (text), and where it stands."""

    place: Place
    given: str = ""
    impossible: str = ""

    def lifted(self, circuit: Circuit) -> Circuit:
        """The circuit without this line."""
        inputs = {n: replace(i, given=None) if n == self.given else i for n, i in circuit.inputs.items()}
        kept = tuple((c, text) for c, text in circuit.impossible if text != self.impossible)
        return replace(circuit, inputs=inputs, impossible=kept)


def never_tripped(circuit: Circuit) -> tuple[str, ...]:
    """Protections without a possible state on their tripped side, beyond both set points. Raises TooMany."""
    left = {n: i for n, i in circuit.inputs.items() if i.tripped is not None and not i.opened_only_by_name}
    world = World(circuit, named=left)
    for setting in world.settings():
        left = {n: i for n, i in left.items() if not _tripped(world, i, setting)}
        if not left:
            break
    return tuple(left)


def _tripped(world: World, p: Input, setting: Setting) -> bool:
    k = world.index[p.name]
    points = p.set_points
    if points is not None and points.quantity in world.cuts:
        in_range = setting.ranges[world.quantities.index(points.quantity)]
        return world.placed(world.variables[k], in_range) == (p.tripped,)
    return setting.bits[k] == p.tripped


def hidden(circuit: Circuit, limits: tuple[Limit, ...]) -> Iterator[Problem]:
    """A problem for each protection that these lines keep from ever tripping, at the line that does it.

    One alone where they leave no state at all.
    """
    if not limits:
        return
    try:
        if nothing_left(World(circuit)):
            yield _emptied(circuit, limits)
            return
        lost = never_tripped(circuit)
        if not lost:
            return
        without = {limit: never_tripped(limit.lifted(circuit)) for limit in limits}
    except TooMany:  # verify and states say so themselves, and then decide nothing
        return
    for name in lost:
        yield from _blamed(name, limits, without)


def none_beside(changed: Changed, limits: tuple[Limit, ...]) -> Iterator[Problem]:
    """A problem where these lines leave states to each unit, but none to both side by side."""
    with suppress(TooMany):
        if limits and nothing_left(World(changed.after, changed.before, changed.replaced)):
            message = (
                "this leaves no state in which both units can stand, before the change and after: "
                "a word of it is another position of what is replaced."
            )
            yield Problem("no-state-left", message, limits[-1].place)


def nothing_left(world: World) -> bool:
    """Is no combination possible? Raises TooMany."""
    return next(world.settings(), None) is None


def _emptied(circuit: Circuit, limits: tuple[Limit, ...]) -> Problem:
    """At the first line without which a state is left; where several together do it, at the last."""
    lifted = ((limit, World(limit.lifted(circuit))) for limit in limits)
    guilty = next((limit for limit, world in lifted if not nothing_left(world)), limits[-1])
    message = "this leaves no state at all, and nothing would be looked at."
    return Problem("no-state-left", message, guilty.place)


def _blamed(
    name: str, limits: tuple[Limit, ...], without: Mapping[Limit, tuple[str, ...]]
) -> Iterator[Problem]:
    """The lines each of which does it alone; where only several together do, the last of them."""
    guilty = [limit for limit in limits if name not in without[limit]] or [limits[-1]]
    first, *others = guilty
    message = (
        f"{name} is a protection; this leaves no state in which it trips, "
        "and nothing that it guards against would be looked at."
    )
    also = tuple((o.place, "this too") for o in others)
    if first.given:
        yield Problem("given-hides-trip", message, first.place, also)
    else:
        yield Problem("impossible-hides-trip", message, first.place, also)
