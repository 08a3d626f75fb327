"""What takes the voltage off a terminal: which switches and fuses, each moved alone. The engine decides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.figures import LIVE_VOLTS, SLACK
from wirecheck.questions.drill import plainly
from wirecheck.questions.drill.asked import NEAR, TRIES, Judged
from wirecheck.questions.drill.ground import UNSURE
from wirecheck.questions.mistakes.places import used
from wirecheck.questions.read.moves import run_down

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

    from wirecheck.checks.case import Case
    from wirecheck.engine.solver import View
    from wirecheck.questions.drill.ground import Ground


class Turned(Struct, frozen=True):
    """One switch put the other way. volts: of the terminal to earth then; relays: those in other words."""

    word: str
    volts: float
    relays: tuple[tuple[str, str], ...]


class Dead(Struct, frozen=True):
    """A terminal is live in a state: which switches, each moved alone, make it dead? volts: to earth."""

    case: Case
    at: str
    volts: float
    turned: tuple[tuple[str, Turned], ...]

    @property
    def answers(self) -> tuple[str, ...]:
        """The switches that leave the terminal dead."""
        return tuple(n for n, t in self.turned if t.volts <= LIVE_VOLTS)

    def judge(self, _: Ground, text: str) -> Judged:
        """All of them and no other."""
        said = plainly.several(text, dict(self.turned), "switch or fuse")
        return Judged(said == frozenset(self.answers), self.answers or ("none",))


def dead(ground: Ground, random: Random) -> Dead | None:
    """What makes this dead? Only where no impedance has a say, neither before nor after."""
    poles = {*ground.circuit.poles, *ground.circuit.earth}
    points = [t for t in ground.circuit.terminals if t in used(ground.circuit) and t not in poles]
    for _ in range(TRIES if points else 0):
        case, at = random.choice(ground.cases[:NEAR]), random.choice(points)
        volts = volts_of(ground.view(case), at)
        if volts is None or volts <= LIVE_VOLTS:
            continue
        turned = tuple(each_turned(ground, case, at))
        found = [t for _, t in turned if t is not None and t.volts <= LIVE_VOLTS]
        if all(t is not None for _, t in turned) and (len(found) > 1 or random.random() < 0.3):
            return Dead(case, at, volts, tuple((n, t) for n, t in turned if t is not None))
    return None


def each_turned(ground: Ground, case: Case, at: str) -> Iterator[tuple[str, Turned | None]]:
    """Every switch put the other way by itself, whatever its quantity; None where it is not sure."""
    for k, v in enumerate(ground.pair.world.variables):
        if v.listed and v.held is None and not v.by_motor:
            yield v.name, put_other_way(ground, case, k, at)


def put_other_way(ground: Ground, case: Case, k: int, at: str) -> Turned | None:
    """A terminal with one switch put the other way; None where races, shorts, delays or impedances decide."""
    pair, bits = ground.pair, list(case.setting.bits)
    bits[k] = not bits[k]
    inputs = pair.world.inputs(True, case.setting._replace(bits=tuple(bits)))
    at_once = [o for s in case.joint.after.onward for o in pair.after.settle(inputs, s)]
    ends = [*at_once, *(late for o in at_once for late in run_down(pair, inputs, o))]
    words = [pair.after.words(inputs, o) for o in ends]
    if any(o.kind != "rest" for o in ends) or any(
        UNSURE & {*w.loads.values(), *w.relays.values()} for w in words
    ):
        return None
    volts = [volts_of(view, at) for o in ends for view in pair.after.views(inputs, o)]
    if None in volts or len({v is not None and v > LIVE_VOLTS for v in volts}) != 1:
        return None
    now = words[0].relays
    relays = tuple((n, now[n]) for n, w in case.after.relays.items() if w != now[n])
    return Turned(pair.world.variables[k].word(bits[k]), volts[0] or 0.0, relays)


def volts_of(view: View, terminal: str) -> float | None:
    """Volts to earth, 0 of what hangs on nothing; None where a current, or a circuit off earth, decides."""
    node = view.network.node[view.plain.nets.of[terminal]]
    part = next((p.part for p in view.network.parts if node in p.nodes), None)
    still = part is None or all(abs(view.amps(b[0], view.plain.scenario)) < SLACK for b in part.branches)
    found = view.potential(terminal)
    off_earth = found.ref and found.driven
    if off_earth or not (still or node in view.network.fixed):
        return None
    return 0.0 if found.ref else abs(found.volts)
