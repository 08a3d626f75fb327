"""The shortest list of things to do and observe after the change in which every mistake that matters shows."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.engine.plain.evaluator import Plain, ends_of
from wirecheck.questions.mistakes import looks
from wirecheck.questions.mistakes.cover import cover
from wirecheck.questions.mistakes.scene import Act, effort

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.cover import Cover
    from wirecheck.questions.mistakes.looks import Look
    from wirecheck.questions.mistakes.scene import Probe, Scene

METERED = 48  # the probes at which a meter is tried, those that take least doing; more would seldom show more
METER_EFFORT = 1  # a reading takes more doing than a look

Points = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Observation:
    """Something to look at once a probe has been made: the loads (points None), or a meter between two points."""

    probe: Probe
    points: Points | None
    look: Look = field(default_factory=dict)
    volts: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the list. way: the acts that lead here from the step before; again: from power-up instead.

    shows: number of a mistaken circuit -> what it would show.
    """

    observation: Observation
    way: Probe
    again: bool
    shows: dict[int, str]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """steps in the order in which they are least work. left: the circuits that no observation shows."""

    steps: tuple[Step, ...]
    left: tuple[int, ...]
    cover: Cover


@dataclass
class Hunt:
    """The circuits to tell from the right one, and the observations that do."""

    scene: Scene
    wrongs: Sequence[Plain]
    pairs: tuple[Points, ...]
    found: dict[int, tuple[Observation, dict[int, str]]] = field(default_factory=dict)
    moved: dict[tuple[int, tuple[tuple[str, int], ...]], Plain] = field(default_factory=dict)

    def at_ends(self, plain: Plain, scenario: dict[str, int]) -> Plain:
        """The evaluator of the same circuit with its estimates at these ends."""
        key = id(plain), tuple(sorted(scenario.items()))
        if key not in self.moved:
            self.moved[key] = Plain(plain.circuit, scenario)
        return self.moved[key]

    def add(self, observation: Observation, circuits: Iterable[int]) -> None:
        """Keep an observation with what it shows of these circuits, if it shows any."""
        shows = {k: text for k in circuits if (text := self.text(observation, self.scene, self.wrongs[k]))}
        if shows:
            self.found[len(self.found)] = (observation, shows)

    def text(self, o: Observation, scene: Scene, plain: Plain) -> str:
        """What an observation shows of one circuit, "" where it may look right."""
        if o.points is None:
            return looks.seen(scene, plain, o.probe, o.look)
        return looks.metered(scene, plain, o.probe, *o.points, o.volts)

    @property
    def missed(self) -> list[int]:
        """The circuits that nothing found shows."""
        seen = {k for _, shows in self.found.values() for k in shows}
        return [k for k in range(len(self.wrongs)) if k not in seen]


def hunted(scene: Scene, wrongs: Sequence[Plain], ways: Sequence[Probe], pairs: tuple[Points, ...]) -> Hunt:
    """Every observation: first what the loads do; where they do not tell, what a meter shows."""
    hunt = Hunt(scene, wrongs, pairs)
    for probe in ways:
        look = looks.expected(scene, probe)
        if look is not None:
            hunt.add(Observation(probe, None, look), range(len(wrongs)))
    missed = hunt.missed
    for probe in ways[:METERED] if missed else ():
        for points in pairs:
            volts = looks.expected_volts(scene, probe, *points)
            if volts is not None:
                hunt.add(Observation(probe, points, volts=volts), missed)
    return hunt


def acceptance(hunt: Hunt) -> Acceptance:
    """The shortest list that is proved at every end of what is estimated."""
    doubted: set[tuple[int, int]] = set()  # (observation, circuit) that some end of an estimate hides
    while True:
        columns = [(_mask(shows, k, doubted), _cost(hunt, o)) for k, (o, shows) in hunt.found.items()]
        taken = cover(columns)
        new = {d for k in taken.chosen for d in _hidden(hunt, k) if d not in doubted}
        if not new:
            break
        doubted |= new
    chosen = [(hunt.found[k][0], _kept(hunt, k, doubted)) for k in taken.chosen]
    shown = {c for _, shows in chosen for c in shows}
    left = tuple(k for k in range(len(hunt.wrongs)) if k not in shown)
    return Acceptance(tuple(in_order(hunt, chosen)), left, taken)


def _cost(hunt: Hunt, o: Observation) -> int:
    return effort(hunt.scene, o.probe) + (METER_EFFORT if o.points is not None else 0)


def _mask(shows: dict[int, str], number: int, doubted: set[tuple[int, int]]) -> int:
    return sum(1 << c for c in shows if (number, c) not in doubted)


def _kept(hunt: Hunt, number: int, doubted: set[tuple[int, int]]) -> dict[int, str]:
    return {c: text for c, text in hunt.found[number][1].items() if (number, c) not in doubted}


def _hidden(hunt: Hunt, number: int) -> Iterable[tuple[int, int]]:
    """The circuits that an observation shows at nominal figures, but not at some end of what is estimated."""
    observation, shows = hunt.found[number]
    for c in shows:
        plain, right = hunt.wrongs[c], hunt.scene.right
        fields = tuple({**right.sensitive, **plain.sensitive})
        for ends in ends_of(len(fields))[1:]:
            scenario = {f: e for f, e in zip(fields, ends, strict=True) if e}
            own = hunt.text(observation, hunt.scene, hunt.at_ends(right, scenario))
            if own or not hunt.text(observation, hunt.scene, hunt.at_ends(plain, scenario)):
                yield number, c
                break


# --- the order ------------------------------------------------------------------------------------------


def in_order(hunt: Hunt, chosen: list[tuple[Observation, dict[int, str]]]) -> Iterable[Step]:
    """The nearest step next, each gone to from the one before where that leads to the same in every circuit."""
    left, at = list(chosen), ()  # type: tuple[list[tuple[Observation, dict[int, str]]], Probe]
    while left:
        nearest = min(left, key=lambda c: (_distance(at, c[0].probe), c[0].points or ("", "")))
        left.remove(nearest)
        observation, shows = nearest
        way = _onward(hunt, at, observation.probe) if at else None
        at = observation.probe if way is None else (*at, *way)
        yield Step(observation, observation.probe if way is None else way, way is None, shows)


def _distance(at: Probe, to: Probe) -> int:
    if not at:
        return len(to)
    one, other = at[-1].setting, to[-1].setting
    apart = sum(a != b for a, b in zip(one.bits, other.bits, strict=True))
    return apart + sum(abs(a - b) for a, b in zip(one.ranges, other.ranges, strict=True))


def _onward(hunt: Hunt, at: Probe, to: Probe) -> Probe | None:
    """The moves from one probe's end to another's; None where some circuit would then do otherwise."""
    if any(act.delay is not None for act in to):
        return None
    moves = _moves(hunt, at[-1].setting, to[-1].setting)
    if moves is None:
        return None
    whole = (*at, *moves)
    scene = hunt.scene
    same = all(scene.ends(p, whole) == scene.ends(p, to) for p in (scene.right, *hunt.wrongs))
    return moves if same else None


def _moves(hunt: Hunt, start: Setting, goal: Setting) -> Probe | None:
    """The fewest moves from one setting to another; () where they are one."""
    came: dict[Setting, tuple[Setting, ...]] = {start: ()}
    queue = deque([start])
    while queue and goal not in came:
        here = queue.popleft()
        for _, to in hunt.scene.world.moves(here):
            if to not in came:
                came[to] = (*came[here], to)
                queue.append(to)
    return tuple(Act(s) for s in came[goal]) if goal in came else None
