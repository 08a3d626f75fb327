"""What ratings are held against: each distinct network after the change, with the matching ones before."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from wirecheck.checks.ratings.energised import Energised
from wirecheck.engine import figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.engine.answers import Bits, Outcome
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View


class Span(NamedTuple):
    """A figure at the low end of its estimates, at nominal, and at the high end."""

    low: float
    nominal: float
    high: float

    def plus(self, other: Span) -> Span:
        return Span(self.low + other.low, self.nominal + other.nominal, self.high + other.high)

    def times(self, factor: float) -> Span:
        return Span(self.low * factor, self.nominal * factor, self.high * factor)


Live = tuple[tuple[tuple[str, complex], ...], tuple[str, ...], tuple[int, ...]]
DEAD = ("dead", 0j)
NOTHING = Span(0.0, 0.0, 0.0)


def exactly(figure: float) -> Span:
    """A figure that is given."""
    return Span(figure, figure, figure)


class Look(Struct, frozen=True):
    """One network of one unit, with the contacts that are closed in it. Keyed by `key` in caches."""

    plain: Plain
    view: View
    closed: Bits
    state: tuple[Bits, Bits]

    @property
    def key(self) -> int:
        return id(self.view)

    @property
    def shut(self) -> frozenset[str]:
        """Ids of the closed contacts."""
        return self.view.shut


class Moment(Struct, frozen=True):
    """A reachable state after the change: its network, and the networks of the matching state before."""

    case: Case
    now: Look
    was: tuple[Look, ...]


def moments(pair: Pair) -> list[Moment]:
    """Every one that differs in what is live, those nearest to ordinary operation first."""
    found: dict[tuple[object, ...], Moment] = {}
    kept: dict[int, Live] = {}
    for case in distinct(pair):
        before = tuple(look for o in case.joint.befores for look in looks(pair, case, o, False))
        for now in looks(pair, case, case.joint.after, True):
            lives = [kept.get(k.key) or kept.setdefault(k.key, live(k)) for k in (now, *before)]
            found.setdefault((now.state[1], *lives), Moment(case, now, before))
    return list(found.values())


def distinct(pair: Pair) -> Iterator[Case]:
    """The nearest state of those that differ only in contacts which stand at nothing, in both units."""
    after, before = Energised(pair.after), Energised(pair.before)
    seen: set[object] = set()
    for case in pair.distinct():
        ends = [(after, case.joint.after), *((before, o) for o in case.joint.befores)]
        key = tuple(_telling(each, pair.world.inputs(each is after, case.setting), o) for each, o in ends)
        if key not in seen:
            seen.add(key)
            yield case


def _telling(energised: Energised, inputs: Bits, outcome: Outcome) -> object:
    """What decides the volts and currents of an outcome."""
    closed = (energised.plain.closed(inputs, *state) for state in outcome.members)
    return outcome.members, outcome.short, tuple(energised.among(each) for each in closed)


def live(look: Look) -> Live:
    """The volts of every net, the closed contacts that are not dead, and the parts that carry current.

    Two networks alike in these carry the same everywhere: they differ in contacts where nothing is.
    """
    view, of = look.view, look.plain.nets.of
    volts: dict[int, tuple[str, complex]] = {}
    for terminal, net in of.items():
        if net not in volts:
            p = view.potential(terminal)
            held = view.network.node[net] in view.network.fixed
            stands = held or (p.driven and (p.ref or abs(p.volts) > figures.SLACK))
            volts[net] = (p.ref, complex(round(p.volts.real, 6), round(p.volts.imag, 6))) if stands else DEAD
    contacts = zip(look.plain.circuit.contacts.values(), look.closed, strict=True)
    shut = tuple(c.id for c, closed in contacts if closed and volts[of[c.a]] != DEAD)
    carry = (
        number
        for k, number in enumerate(view.parts)
        if any(abs(i) > figures.SLACK for i in view.solution(k, look.plain.scenario).amps.values())
    )
    return tuple(volts.values()), shut, tuple(carry)


def looks(pair: Pair, case: Case, outcome: Outcome, of_after: bool) -> Iterator[Look]:
    """The networks of one outcome; what a short has put out is dead in them."""
    plain = pair.after if of_after else pair.before
    inputs = pair.world.inputs(of_after, case.setting)
    for state, view in zip(outcome.members, plain.views(inputs, outcome), strict=True):
        if view.short is None:
            yield Look(plain, view, plain.closed(inputs, *state), state)
