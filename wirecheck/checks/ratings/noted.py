"""Figures of a network against their limits: the estimates that put one over or under are noted.

Then the whole question is asked at their ends too, and where these differ it is `unknown` (engine.md 2).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.volts import potentials

if TYPE_CHECKING:
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
