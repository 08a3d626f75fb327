"""Figures of a network against their limits: the estimates that put one over or under are noted.

Then the whole question is asked at their ends too, and where these differ it is `unknown` (engine.md 2).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.volts import potentials

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.checks.ratings.ways import Items
    from wirecheck.engine.solver import View


def note_to_earth(view: View, terminal: str, limit: float) -> None:
    """Of the volts that a terminal stands at."""
    part = view.part_at(terminal)
    if part is None or not view.plain.estimates_in(view.parts[part]):
        return
    node = view.network.node[view.plain.nets.of[terminal]]
    key = ("volts", view.parts[part], view.network.parts[part].nodes.index(node), limit)
    view.plain.firm(key, [view.parts[part]], (), lambda s: potentials(view, s).get(node, 0.0) > limit)


def note_between(view: View, a: str, b: str, limit: float) -> None:
    """Of the volts between two terminals."""
    parts = [view.parts[k] for k in map(view.part_at, (a, b)) if k is not None]
    if any(map(view.plain.estimates_in, parts)):
        key = ("between", a, b, tuple(parts), _fixed(view, a), _fixed(view, b), limit)
        view.plain.firm(key, parts, (), lambda s: abs(view.between(a, b, s)) > limit)


def _fixed(view: View, terminal: str) -> object:
    """The known potential of a terminal, if it has one."""
    return view.network.fixed.get(view.network.node[view.plain.nets.of[terminal]])


def note_amps(view: View, items: Items, besides: float, limit: float) -> None:
    """Of the current of some elements together. besides: amps that flow with it and do not move."""
    places = {i.element: view.network.part_of.get(i.element) for i in items}
    parts = sorted({view.parts[k] for k in places.values() if k is not None})
    if not any(map(view.plain.estimates_in, parts)):
        return
    shares = [(i.element, i.amps / now) for i in items if (now := view.amps(i.element, view.plain.scenario))]

    def over(scenario: Mapping[str, int]) -> bool:
        return besides + abs(sum(view.amps(e, scenario) * share for e, share in shares)) > limit

    of = tuple((e, round(share.real, 3)) for e, share in shares)
    view.plain.firm(("amps", of, tuple(parts), limit, round(besides, 6)), parts, (), over)
