"""Transformers: sealed VA of all that is on together, and the largest inrush on top of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.checks.ratings.burden import drawn, hanging, sum_of
from wirecheck.checks.ratings.carried import moving
from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import NOTHING, Span
from wirecheck.checks.ratings.rated import loads_by_element
from wirecheck.circuit.elements import Coil, Estimate, Transformer
from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.ratings.moments import Look
    from wirecheck.checks.ratings.rated import Scenario
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.engine.solver import View


class Burden(NamedTuple):
    """What hangs on one secondary in one network. VA; `fields`: the estimates in it."""

    sealed: Span = NOTHING
    inrush: Span = NOTHING  # with the largest inrush on top
    loads: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of each transformer after the change."""
    for core in scene.after.elements.values():
        if isinstance(core, Transformer):
            before = [burden(look, core.id) for look in scene.old]
            yield from of_core(scene, core, before if core.id in scene.before.elements else [])


def of_core(scene: Scene, core: Transformer, before: list[Burden]) -> Iterator[Mark]:
    """One transformer against its VA. before: what hung on it in each network of the unit."""
    own = scene.brought(core.device)
    was = max((b.sealed.nominal for b in before), default=None)
    if core.va is None:
        yield from unmarked(scene, core, own, was)
        return
    watch = Watch(core.device, Limit(core.va, "VA", f"{core.device}.va"), own, was)
    top = 0.0
    for m in scene.seen:
        note(m.now, core, core.va)
        b = burden(m.now, core.id)
        watch.see(m.case, b.sealed, f"feeds {{}} on together ({', '.join(b.loads)})", b.fields, b.loads)
        top = max(top, b.inrush.nominal)
    yield from watch.mark()
    old_top = max((b.inrush.nominal for b in before), default=None)
    if top > core.va and not watch.over and (own or exceeds(top, old_top)):
        says = (
            f"feeds {amount(top)} VA with the largest inrush on top, above {amount(core.va)} VA "
            f"({core.device}.va): its volts dip while that coil pulls in"
        )
        yield Mark(core.device, "note", says)


def note(look: Look, core: Transformer, va: float) -> None:
    """Note the estimates that put the VA on its secondary over its own, or under."""
    parts = moving(look.view, hanging(look.view, core.id)) if core.id in look.plain.transformers else []
    if parts:
        key = ("burden", core.id, tuple(parts), round(burden(look, core.id).sealed.nominal, 6))
        look.plain.firm(key, parts, (), lambda s: burden(look, core.id, s).sealed.nominal > va)


def unmarked(scene: Scene, core: Transformer, own: bool, was: float | None) -> Iterator[Mark]:
    """A note where its VA is not given and the change puts more on it."""
    field = f"{core.device}.va"
    most = max((burden(look, core.id).sealed.nominal for look in scene.new), default=0.0)
    if most and (own or exceeds(most, was)):
        says = f"feeds {amount(most)} VA; its own VA is not given ({field})"
        yield Mark(core.device, "note", says, fields=(field,))


def burden(look: Look, core: str, scenario: Scenario | None = None) -> Burden:
    """The sum of what draws current on a transformer's secondary, VA added as on a job (facts.md W7).

    scenario: where estimates stand, else as the look has them.
    """
    view, stands = look.view, look.plain.scenario if scenario is None else scenario
    if core not in view.plain.transformers:
        return Burden()
    drawing = [(i, *drawn(view, i, stands, frozenset({core}))) for i in hanging(view, core)]
    drawing = [row for row in drawing if row[1].nominal > figures.SLACK]
    total = sum_of(va for _, va, _ in drawing)
    top = max((extra for _, _, extra in drawing), key=lambda r: r.nominal, default=NOTHING)
    named, known = loads_by_element(view.plain.circuit), view.plain.circuit.elements
    loads = tuple(dict.fromkeys(named.get(i, known[i].device) for i, _, _ in drawing))
    fields = tuple(dict.fromkeys(f.field for i, _, _ in drawing for f in estimates_of(view, i)))
    return Burden(total, total.plus(top), loads, fields)


def estimates_of(view: View, element: str) -> list[Estimate]:
    """The estimates that the VA of an element rest on."""
    z = view.impedances.get(element)
    read = z.va if isinstance(z, Coil) else getattr(z, "ohms", None)
    return [read] if isinstance(read, Estimate) else []
