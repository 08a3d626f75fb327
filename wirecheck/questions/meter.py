"""`meter`: what a meter between two terminals reads, in one state."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field
from msgspec.structs import replace

from wirecheck.engine import figures
from wirecheck.engine.ask import ask
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World
from wirecheck.questions.standing import Standing, standing, touching
from wirecheck.questions.standing import blended as one_standing

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Outcome
    from wirecheck.engine.ask import Asked
    from wirecheck.engine.solver import View
    from wirecheck.engine.world import Setting

Reads = Literal["value", "floating", "open", "unknown", "short", "chatters"]
GHOST = "nothing ties one side to the other: a high-impedance meter may show a ghost voltage here"
ESTIMATED = "it depends on what the file does not say"
# Readings that differ by less than this share between the ends of an estimate are one value. Project rule.
SAME_READING = 0.01


class Reading(Struct, frozen=True):
    """volts: the magnitude. to_earth: volts to earth of each probe's terminal, None where it floats.

    standing: of the state that is read. touching: the loads that the probes' terminals are joined to.
    """

    reads: Reads
    volts: float | None = None
    remark: str = ""
    fields: tuple[str, ...] = ()
    inputs: tuple[tuple[str, str], ...] = ()
    to_earth: tuple[float | None, float | None] = (None, None)
    standing: Standing = field(default_factory=Standing)
    touching: tuple[str, ...] = ()


SHORTED = Reading("short", None, "the supply is shorted here")
CHATTERING = Reading("chatters", None, "a relay finds no rest here")
RACES = Reading("unknown", None, "it depends on the order in which relays move")


class Impossible(Exception):
    """No value of the quantities allows what `--when` says. names: the inputs that cannot be so together."""

    def __init__(self, names: tuple[str, ...]) -> None:
        self.names = names
        super().__init__(" and ".join(names))


def chosen(world: World, held: Mapping[str, bool]) -> Setting:
    """The possible setting nearest to ordinary operation. Raises Impossible."""
    best: tuple[int, Setting] | None = None
    for setting in world.settings():
        away = world.away(setting)
        if best is None or away < best[0]:
            best = (away, setting)
    if best is None:
        raise Impossible(tuple(held))
    return best[1]


def meter(circuit: Circuit, a: str, b: str, held: Mapping[str, bool] | None = None) -> Reading:
    """Volts between terminals a and b; inputs not held stand at normal, relays as settled from power-up.

    Raises Impossible, TooMany.
    """
    held = held or {}
    world = World(circuit, held={**at_normal(circuit, held), **held}, named=free_ended(circuit))
    setting = chosen(world, held)

    def run(scenario: Mapping[str, int]) -> tuple[Reading, list[Estimate]]:
        plain = Plain(circuit, scenario)
        inputs = world.inputs(True, setting)
        ends = plain.settle(inputs, plain.cold())
        reading = stood(plain, inputs, ends, a, b)
        estimates = list(plain.sensitive.values()) + read_estimates(plain, inputs, ends, a, b)
        return reading, estimates

    asked = ask(run)
    words = tuple(world.words(setting, listed_only=False).items())
    return replace(blended(asked), inputs=words)


def stood(plain: Plain, inputs: tuple[bool, ...], ends: tuple[Outcome, ...], a: str, b: str) -> Reading:
    """The reading, and how the unit stands with it."""
    near = touching(plain.circuit, plain.views(inputs, ends[0])[0], (a, b))
    return replace(
        of_outcomes(plain, inputs, ends, a, b), standing=standing(plain, inputs, ends), touching=near
    )


def free_ended(circuit: Circuit) -> tuple[str, ...]:
    """The switches on a quantity that nothing is wired through: a meter on their terminals reads them too."""
    return tuple(n for n, i in circuit.inputs.items() if i.set_points is not None and not i.listed)


def at_normal(circuit: Circuit, held: Mapping[str, bool]) -> dict[str, bool]:
    """Switches that no quantity places stand at normal; those of a quantity go where it lets them."""
    return {
        n: i.normal if i.given is None else i.given
        for n, i in circuit.inputs.items()
        if n not in held and i.set_points is None and not i.opened_only_by_name
    }


def of_outcomes(plain: Plain, inputs: tuple[bool, ...], ends: tuple[Outcome, ...], a: str, b: str) -> Reading:
    """One reading for where settling ends; unknown where a race decides it."""
    if any(o.kind == "short" for o in ends):
        return SHORTED
    found = [of_outcome(plain, inputs, o, a, b) for o in ends]
    if CHATTERING in found:
        return CHATTERING
    return found[0] if alike(found) else RACES


def of_outcome(plain: Plain, inputs: tuple[bool, ...], outcome: Outcome, a: str, b: str) -> Reading:
    """The reading at one end of settling; of a set that is never left where it is the same in all of it."""
    found = [of_view(view, a, b) for view in plain.views(inputs, outcome)]
    return found[0] if alike(found) else CHATTERING


def alike(found: Sequence[Reading]) -> bool:
    """Do all these read the same?"""
    return len({(r.reads, round(r.volts or 0.0, 6)) for r in found}) <= 1


def of_view(view: View, a: str, b: str, scenario: Mapping[str, int] | None = None) -> Reading:
    """The reading in one network. scenario: where estimates stand, else as the view has them."""
    one, other = view.potential(a, scenario), view.potential(b, scenario)
    node, of = view.network.node, view.plain.nets.of
    earth = tuple(abs(p.volts) if p.ref == "" and p.driven else None for p in (one, other))
    if node[of[a]] == node[of[b]]:
        return Reading("value", 0.0, "", to_earth=(earth[0], earth[1]))
    if one.ref != other.ref:
        return Reading("floating", 0.0, GHOST, to_earth=(earth[0], earth[1]))
    if one.source != other.source and one.source and other.source:
        fields = tuple(f"supplies.{s}.same_source_as" for s in (one.source, other.source))
        says = "two supplies that nothing puts in step"
        return Reading("unknown", None, says, fields, to_earth=(earth[0], earth[1]))
    return Reading("value", abs(one.volts - other.volts), "", to_earth=(earth[0], earth[1]))


def read_estimates(
    plain: Plain, inputs: tuple[bool, ...], ends: tuple[Outcome, ...], a: str, b: str
) -> list[Estimate]:
    """The estimates of the parts that the probes touch."""
    found: dict[str, Estimate] = {}
    for o in ends:
        for view in plain.views(inputs, o):
            found |= {e.field: e for e in estimates_at(view, a, b)}
    return list(found.values())


def estimates_at(view: View, a: str, b: str) -> list[Estimate]:
    """Those of one network."""
    nodes = {view.network.node[view.plain.nets.of[t]] for t in (a, b)}
    return [
        e
        for k, placed in enumerate(view.network.parts)
        if nodes & (set(placed.nodes) - set(view.network.fixed))
        for e in view.plain.estimates_in(view.parts[k])
    ]


def blended(asked: Asked[Reading]) -> Reading:
    """One reading where the ends of what is estimated agree; else unknown, with the range."""
    answers, fields = list(asked.answers.values()), asked.deciding(lambda r: (r.reads, r.volts))
    first = replace(answers[0], standing=one_standing([r.standing for r in answers]))
    return agreed(first, answers, fields)


def agreed(first: Reading, answers: Sequence[Reading], fields: tuple[str, ...] = ()) -> Reading:
    """The first of several readings where all are one; else unknown. fields: what would decide."""
    if len({r.reads for r in answers}) > 1:
        return replace(first, reads="unknown", volts=None, remark=ESTIMATED, fields=fields)
    volts = [r.volts for r in answers if r.volts is not None]
    if volts and max(volts) - min(volts) > SAME_READING * max(max(volts), figures.LIVE_VOLTS):
        says = f"{min(volts):.1f} to {max(volts):.1f} V: {ESTIMATED}"
        return replace(first, reads="unknown", volts=None, remark=says, fields=fields)
    return first
