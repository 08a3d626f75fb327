"""The shortest list of things to do and observe after the change: every mistake that matters shows in it."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from wirecheck.engine.estimates import ends_of
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.lookalikes import isolated
from wirecheck.questions.mistakes import looks, meters
from wirecheck.questions.mistakes.cover import cover
from wirecheck.questions.mistakes.scene import MOST_PROBED, Act, by_itself, effort

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.cover import Cover
    from wirecheck.questions.mistakes.looks import Look
    from wirecheck.questions.mistakes.scene import Probe, Scene

METERED = (
    48  # the probes at which a voltmeter is tried, those that take least doing; more would seldom show more
)
WITH_OHMS = 12  # and an ohmmeter, power off
VOLTS_EFFORT, OHMS_EFFORT = 1, 2  # a reading takes more doing than a look
TRIPS = 6  # making a protection trip is as much doing as so many switches set by hand

Points = tuple[str, str]
Kind = Literal["look", "volts", "ohms"]


@dataclass(frozen=True, slots=True)
class Observation:
    """Something to look at once a probe has been made: the loads, or a meter between two points.

    value: the volts or ohms of the right unit, None of ohms where open. With ohms the power is off.
    """

    kind: Kind
    probe: Probe
    points: Points | None = None
    look: Look = field(default_factory=dict)
    value: float | None = None


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
    """steps, in the order of least work. tried: how many observations the list was chosen from."""

    steps: tuple[Step, ...]
    tried: int
    cover: Cover


@dataclass
class Hunt:
    """The circuits to tell from the right one, and the observations that do."""

    scene: Scene
    wrongs: Sequence[Plain]
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

    def text(self, o: Observation, scene: Scene, plain: Plain, way: Probe | None = None) -> str:
        """What an observation shows of one circuit, "" where it may look right. way: where not its probe."""
        probe = o.probe if way is None else way
        if o.points is None:
            return looks.seen(scene, plain, probe, o.look)
        if o.kind == "ohms":
            return meters.ohms_seen(scene, plain, probe, *o.points, o.value)
        return meters.volts_seen(scene, plain, probe, *o.points, o.value or 0.0)

    @property
    def missed(self) -> list[int]:
        """The circuits that nothing found shows."""
        seen = {k for _, shows in self.found.values() for k in shows}
        return [k for k in range(len(self.wrongs)) if k not in seen]


def hunted(scene: Scene, wrongs: Sequence[Plain], ways: Sequence[Probe], pairs: tuple[Points, ...]) -> Hunt:
    """Every observation: what the loads do; what does not show in that by volts; what does not, by ohms."""
    hunt = Hunt(scene, wrongs)
    for probe in ways:
        look = looks.expected(scene, probe)
        if look is not None:
            hunt.add(Observation("look", probe, None, look), range(len(wrongs)))
    missed = hunt.missed
    for probe in ways[:METERED] if missed else ():
        for points in pairs:
            volts = meters.expected_volts(scene, probe, *points)
            if volts is not None:
                hunt.add(Observation("volts", probe, points, value=volts), missed)
    missed = hunt.missed
    for probe in dead(scene, ways)[:WITH_OHMS] if missed else ():
        for points in pairs:
            ohms = meters.expected_ohms(scene, probe, *points)
            if ohms is not None:
                hunt.add(Observation("ohms", probe, points, value=ohms.ohms), missed)
    return hunt


def dead(scene: Scene, ways: Sequence[Probe]) -> list[Probe]:
    """The probes at whose end every disconnect stands open."""
    open_at = isolated(scene.right.circuit)
    places = {n: scene.world.index[n] for n in open_at if n in scene.world.index}
    if not places:
        return []
    still = (p for p in ways if not by_itself(scene, p))
    return [p for p in still if all(p[-1].setting.bits[k] == open_at[n] for n, k in places.items())]


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
    steps = tuple(in_order(hunt, [columns[k][0] for k in taken.chosen], doubted))
    return Acceptance(steps, len(hunt.found), taken)


def _cost(hunt: Hunt, o: Observation) -> int:
    return effort(hunt.scene, o.probe) + {"look": 0, "volts": VOLTS_EFFORT, "ohms": OHMS_EFFORT}[o.kind]


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


def in_order(hunt: Hunt, masks: list[int], doubted: set[tuple[int, int]]) -> Iterator[Step]:
    """For each set of mistakes the nearest observation that shows them, the nearest next; ohms before power.

    It is gone to from the one before where that leads to the same in every circuit, else from power-up.
    """
    left, at = list(masks), ()  # type: tuple[list[int], Probe]
    while left:
        near = sorted(
            (_after_ohms(o), 2 * _distance(hunt, at, o) + _cost(hunt, o), k, mask)
            for mask in left
            for k, (o, shows) in hunt.found.items()
            if mask & ~_mask(shows, k, doubted) == 0
        )
        k, mask = next((k, mask) for *_, k, mask in near if not set(_hidden(hunt, k)) - doubted)
        left.remove(mask)
        observation, shows = hunt.found[k][0], _kept(hunt, k, doubted)
        way, again = _gone_to(hunt, at, observation, shows)
        at = () if observation.kind == "ohms" else way if again else (*at, *way)
        yield Step(observation, way, again, shows)


def _after_ohms(observation: Observation) -> bool:
    return observation.kind != "ohms"


def _gone_to(hunt: Hunt, at: Probe, o: Observation, shows: dict[int, str]) -> tuple[Probe, bool]:
    """The acts to an observation, and whether they begin with power-up."""
    if o.kind == "ohms":
        return o.probe[-1:], True
    onward = _onward(hunt, at, o, shows) if at else None
    if onward is not None:
        return onward, False
    scene = hunt.scene
    setting = o.probe[0].setting
    bits = tuple(
        b if v.set_points is None else v.normal
        for v, b in zip(scene.world.variables, setting.bits, strict=True)
    )
    home = setting._replace(bits=bits, ranges=tuple(scene.home(q) for q in range(len(setting.ranges))))
    start = (Act(home),)
    moves = _onward(hunt, start, o, shows) if len(o.probe) == 1 and scene.world.possible(home) else None
    return (o.probe if moves is None else (*start, *moves)), True


def _distance(hunt: Hunt, at: Probe, observation: Observation) -> int:
    """How far an observation lies from where the list stands, in switches and ranges; 0 at its beginning."""
    if not at:
        return 0
    one, other = at[-1].setting, observation.probe[-1].setting
    return _apart(one, other) + TRIPS * sum(
        a != b and hunt.scene.right.circuit.inputs[v.name].tripped == b
        for v, a, b in zip(hunt.scene.world.variables, one.bits, other.bits, strict=True)
    )


def _onward(hunt: Hunt, at: Probe, o: Observation, shows: dict[int, str]) -> Probe | None:
    """The moves from where the list stands to an observation.

    None where some circuit would then do otherwise, or a mistake no longer show: a turning motor may turn on.
    """
    moves = (
        None
        if any(act.delay is not None for act in o.probe)
        else _moves(hunt, at[-1].setting, o.probe[-1].setting)
    )
    if moves is None:
        return None
    whole, scene = (*at, *moves), hunt.scene
    same = all(scene.ends(p, whole) == scene.ends(p, o.probe) for p in (scene.right, *hunt.wrongs))
    return moves if same and all(hunt.text(o, scene, hunt.wrongs[c], whole) for c in shows) else None


def _moves(hunt: Hunt, start: Setting, goal: Setting) -> Probe | None:
    """The fewest moves from one setting to another; () where they are one.

    Among many settings straight on, each move nearer; None where there is no such way.
    """
    if hunt.scene.world.count() > MOST_PROBED:
        return _straight(hunt, start, goal)
    came: dict[Setting, tuple[Setting, ...]] = {start: ()}
    queue = deque([start])
    while queue and goal not in came:
        here = queue.popleft()
        for _, to in hunt.scene.world.moves(here):
            if to not in came:
                came[to] = (*came[here], to)
                queue.append(to)
    return tuple(Act(s) for s in came[goal]) if goal in came else None


def _straight(hunt: Hunt, start: Setting, goal: Setting) -> Probe | None:
    way: list[Setting] = []
    here = start
    while here != goal:
        left = _apart(here, goal)
        nearer = (to for _, to in hunt.scene.world.moves(here) if _apart(to, goal) < left)
        found = next(nearer, None)
        if found is None:
            return None
        way.append(found)
        here = found
    return tuple(map(Act, way))


def _apart(one: Setting, other: Setting) -> int:
    """How many switches stand otherwise, and how many ranges lie between."""
    apart = sum(a != b for a, b in zip(one.bits, other.bits, strict=True))
    return apart + sum(abs(a - b) for a, b in zip(one.ranges, other.ranges, strict=True))
