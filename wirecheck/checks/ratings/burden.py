"""What draws on a secondary, VA added as on a job (facts.md W7): so much its primary draws of the line."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from wirecheck.checks.ratings.moments import NOTHING, Span, exactly
from wirecheck.checks.ratings.rated import inrush_of, motor_volts, motors, running_amps, spread
from wirecheck.circuit.elements import Capacitor, Coil, Estimate, Winding
from wirecheck.engine import figures
from wirecheck.engine.answers import OFF
from wirecheck.engine.estimates import value

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.checks.ratings.rated import Scenario
    from wirecheck.circuit.elements import Transformer
    from wirecheck.engine.solver import View


def fed_winding(view: View, core: Transformer) -> tuple[str, str, complex] | None:
    """(from, to, volts) of the primary that is fed: both its ends lie on a pole or on another secondary."""
    node, of = view.network.node, view.plain.nets.of
    others = (t for c in view.plain.transformers.values() if c.id != core.id for t in c.secondary)
    fed = {node[of[t]] for t in (*view.plain.circuit.poles, *others)}
    for a, b, _ in core.windings[:-1]:
        volts = view.between(a, b, view.plain.scenario)
        if {node[of[a]], node[of[b]]} <= fed and abs(volts) > figures.LIVE_VOLTS:
            return a, b, volts
    return None


def primary_va(view: View, core: Transformer, scenario: Scenario) -> float:
    """What a transformer draws of the line: what draws on its secondary.

    Of one on whose secondary nothing lies in the file, whatever contacts do, its own VA.
    """
    if core.va is not None and not hanging(view.plain.superposed(), core.id):
        return core.va
    return passed_on(view, core, scenario, frozenset({core.id})).nominal


def hanging(view: View, core: str) -> list[str]:
    """Impedances and primaries reached from the secondary, but not through earth or a supply's poles."""
    plain, node = view.plain, view.network.node
    stops = {node[plain.nets.of[t]] for t in (*plain.circuit.poles, *plain.circuit.earth)}
    ends = dict(view.network.ends)
    for other in plain.transformers.values():
        fed = fed_winding(view, other)
        if other.id != core and fed is not None:
            ends[other.id] = node[plain.nets.of[fed[0]]], node[plain.nets.of[fed[1]]]
    queue = [
        n for t in plain.transformers[core].secondary for n in [node[plain.nets.of[t]]] if n not in stops
    ]
    reached = set(queue)
    found: dict[str, None] = {}
    for at in queue:
        for i, pair in ends.items():
            if at in pair:
                found[i] = None
                queue.extend(n for n in pair if n not in reached and n not in stops)
                reached |= set(pair)
    return list(found)


def drawn(
    view: View, element: str, scenario: Scenario, above: frozenset[str] = frozenset()
) -> tuple[Span, Span]:
    """VA of an element here, and what its inrush adds. A coil at its volts counts by its VA, as marked.

    above: transformers that are asked already: one does not draw through itself.
    """
    other = view.plain.transformers.get(element)
    if other is not None:
        return passed_on(view, other, scenario, above | {element}), NOTHING
    z = view.impedances[element]
    volts = abs(view.across(element, scenario))
    if (
        isinstance(z, Coil)
        and not z.stateless
        and volts >= figures.ON_LOW * value(z.volts, scenario) - figures.SLACK
    ):
        sealed, inrush = spread(z.va), inrush_of(z)
        return sealed, Span(*(max(0.0, i - s) for i, s in zip(inrush, sealed, strict=True)))
    if isinstance(z, Winding | Capacitor):
        return of_motor(view, z.id, scenario), NOTHING
    ohms = getattr(z, "ohms", None)
    if isinstance(ohms, Estimate):
        return Span(volts**2 / ohms.high, volts**2 / ohms.nominal, volts**2 / ohms.low), NOTHING
    return exactly(volts * abs(view.amps(element, scenario))), NOTHING


def of_motor(view: View, element: str, scenario: Scenario) -> Span:
    """A motor's running VA at its first main winding; its others, and its capacitor, are in that."""
    for m in motors(view.plain.circuit):
        if element == m.main[0] and view.plain.load_word(m, view) != OFF:
            volts = motor_volts(m, view, scenario) * (sqrt(3) if m.kind == "3ph" else 1.0)
            return exactly(volts * (running_amps(m) or 0.0))
    return NOTHING


def passed_on(view: View, core: Transformer, scenario: Scenario, above: frozenset[str]) -> Span:
    """What draws on a transformer's secondary, through a second and a third one too."""
    return sum_of(drawn(view, i, scenario, above)[0] for i in hanging(view, core.id) if i not in above)


def sum_of(spans: Iterable[Span]) -> Span:
    """All of them together."""
    total = NOTHING
    for s in spans:
        total = total.plus(s)
    return total
