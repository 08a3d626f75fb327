"""Transformers: sealed VA of all that is on together, and the largest inrush on top of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.checks.ratings.carried import inrush_of, spread
from wirecheck.checks.ratings.marks import Limit, Mark, Watch, amount, exceeds
from wirecheck.checks.ratings.moments import NOTHING, Span, exactly
from wirecheck.circuit.elements import Coil, Estimate
from wirecheck.engine import figures
from wirecheck.engine.plain.solve import value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.moments import Look, Moment
    from wirecheck.circuit.elements import Transformer
    from wirecheck.engine.plain.evaluator import View


class Burden(NamedTuple):
    """What hangs on one secondary in one network. VA; `fields`: the estimates in it."""

    sealed: Span = NOTHING
    inrush: Span = NOTHING  # with the largest inrush on top
    loads: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()


def marks(pair: Pair, seen: list[Moment]) -> Iterator[Mark]:
    """What is to be said of each transformer after the change."""
    for core in pair.changed.after.elements.values():
        from wirecheck.circuit.elements import Transformer

        if isinstance(core, Transformer):
            yield from of_core(pair, core, seen)


def of_core(pair: Pair, core: Transformer, seen: list[Moment]) -> Iterator[Mark]:
    own = core.device in pair.changed.brought
    field = f"{core.device}.va"
    burdens = [(m, burden(m.now, core.id), [burden(w, core.id) for w in m.was]) for m in seen]
    if core.va is None:
        more = [b for _, b, was in burdens if b.loads and (own or exceeds(b.sealed.nominal, before(was)))]
        if more:
            worst = max(more, key=lambda b: b.sealed.nominal)
            says = f"feeds {amount(worst.sealed.nominal)} VA; its own VA is not given ({field})"
            yield Mark(core.device, "note", says, fields=(field,))
        return
    watch = Watch(core.device, "feeds", Limit(core.va, "VA", field), own)
    top = 0.0
    for m, b, was in burdens:
        watch.see(m.case, b.sealed, before(was), f" on together ({', '.join(b.loads)})", b.fields, b.loads)
        old = max((w.inrush.nominal for w in was), default=None)
        if b.inrush.nominal > core.va >= b.sealed.nominal and (own or exceeds(b.inrush.nominal, old)):
            top = max(top, b.inrush.nominal)
    yield from watch.mark()
    if top:
        says = (
            f"feeds {amount(top)} VA with the largest inrush on top, above {amount(core.va)} VA ({field}): "
            "the volts dip while that coil pulls in"
        )
        yield Mark(core.device, "note", says)


def before(was: list[Burden]) -> float | None:
    return max((w.sealed.nominal for w in was), default=None)


def burden(look: Look, core: str) -> Burden:
    """The sum of what draws current on a transformer's secondary, as VA are added on a job (facts.md W7)."""
    view = look.view
    if core not in view.plain.transformers:
        return Burden()
    total, rises, loads, fields = NOTHING, [NOTHING], [], []
    for i in hanging(view, core):
        va, extra = drawn(view, i)
        total = total.plus(va)
        rises.append(extra)
        if va.nominal > figures.SLACK:
            loads.append(name_of(view, i))
            fields += [f.field for f in figures_read(view, i)]
    top = max(rises, key=lambda r: r.nominal)
    return Burden(total, total.plus(top), tuple(dict.fromkeys(loads)), tuple(dict.fromkeys(fields)))


def hanging(view: View, core: str) -> list[str]:
    """Impedances and primaries reached from the secondary, but not through earth, supply poles or its own primary."""
    plain, node = view.plain, view.network.node
    stops = {node[plain.nets.of[t]] for t in (*plain.circuit.poles, *plain.circuit.earth)}
    ends = dict(view.network.ends)
    for other in plain.transformers.values():
        if other.id != core:
            a, b, _ = other.windings[0]
            ends[other.id] = node[plain.nets.of[a]], node[plain.nets.of[b]]
    queue = [node[plain.nets.of[t]] for t in plain.transformers[core].secondary]
    reached = set(queue)
    found: dict[str, None] = {}
    for at in queue:
        if at in stops:
            continue
        for i, pair in ends.items():
            if at in pair:
                found[i] = None
                new = set(pair) - reached
                reached |= new
                queue.extend(new)
    return list(found)


def drawn(view: View, element: str) -> tuple[Span, Span]:
    """VA of an element here, and what its inrush adds. A coil at its volts counts by its VA, as marked."""
    scenario = view.plain.scenario
    other = view.plain.transformers.get(element)
    if other is not None:
        a, b, _ = other.windings[0]
        live = abs(view.between(a, b, scenario)) > figures.LIVE_VOLTS
        return (burden_of(view, element) if live else NOTHING), NOTHING
    z = view.impedances[element]
    volts = abs(view.across(element, scenario))
    if isinstance(z, Coil) and not z.stateless and volts >= figures.ON_LOW * value(z.volts, scenario) - figures.SLACK:
        sealed, inrush = spread(z.va), inrush_of(z)
        return sealed, Span(*(max(0.0, i - s) for i, s in zip(inrush, sealed, strict=True)))
    ohms = getattr(z, "ohms", None)
    if isinstance(ohms, Estimate):
        return Span(volts**2 / ohms.high, volts**2 / ohms.nominal, volts**2 / ohms.low), NOTHING
    return exactly(volts * abs(view.amps(element, scenario))), NOTHING


def burden_of(view: View, core: str) -> Span:
    """What a second transformer passes on."""
    return sum_of(drawn(view, i)[0] for i in hanging(view, core))


def sum_of(spans: Iterator[Span]) -> Span:
    total = NOTHING
    for s in spans:
        total = total.plus(s)
    return total


def figures_read(view: View, element: str) -> list[Estimate]:
    """The estimates that the VA of an element rest on."""
    z = view.impedances.get(element)
    read = (z.va,) if isinstance(z, Coil) else (getattr(z, "ohms", None),)
    return [f for f in read if isinstance(f, Estimate)]


def name_of(view: View, element: str) -> str:
    from wirecheck.checks.ratings.carried import loads_by_element

    circuit = view.plain.circuit
    return loads_by_element(circuit).get(element, circuit.elements[element].device)
