"""What a technician can do with the unit, and what the right unit and a mistaken one then do.

A probe is a way to a state: power on with the switches so, then one move at a time. The same probe is made on
every circuit; what a circuit may then show is every outcome that its relays allow.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, partial
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from wirecheck.circuit.assemble import cuts_of
from wirecheck.engine.answers import RUNS
from wirecheck.engine.delays import run_out
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World
from wirecheck.questions.mistakes.driven import near, ordinary_setting, runs
from wirecheck.questions.mistakes.strain import Strain
from wirecheck.questions.mistakes.walk import FAR, easiest, walked

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome, State
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.plain.explore import Joint
    from wirecheck.engine.world import Setting
    from wirecheck.questions.mistakes.driven import Driven


class Act(NamedTuple):
    """Power comes on (delay None, the first act), a switch or quantity moves, or a delay runs out."""

    setting: Setting
    delay: str | None = None


Probe = tuple[Act, ...]
MOST_PROBED = 1 << 12  # settings of a unit all of whose states are tried as observations
MOVES = 2  # from ordinary operation, in a larger one
End = tuple["Bits", "Outcome"]  # where the inputs stand, and where settling ended


@dataclass
class Scene:
    """The right unit, its settings, and what every circuit does on every probe, each worked out once."""

    right: Plain
    world: World
    _ends: dict[tuple[int, Probe], frozenset[End]] = field(default_factory=dict)
    _strains: dict[Probe, int] = field(default_factory=dict)
    _bits: dict[tuple[int, Setting], tuple[Bits, ...]] = field(default_factory=dict)

    def ends(self, plain: Plain, probe: Probe) -> frozenset[End]:
        """Every end that a circuit may come to on a probe."""
        key = id(plain), probe
        if key not in self._ends:
            self._ends[key] = frozenset(self._walked(plain, probe))
        return self._ends[key]

    def _walked(self, plain: Plain, probe: Probe) -> Iterable[End]:
        act = probe[-1]
        starts: set[State] = {plain.cold()}
        if len(probe) > 1:
            starts = {s for _, outcome in self.ends(plain, probe[:-1]) for s in outcome.onward}
        if act.delay is not None:
            starts = {run_out(plain, s, act.delay) for s in starts}
        for bits in self.bits(plain.circuit, act.setting):
            for start in starts:
                for outcome in plain.settle(bits, start):
                    yield bits, outcome

    def bits(self, circuit: Circuit, setting: Setting) -> tuple[Bits, ...]:
        """Where the inputs stand: in more than one way where a switch feels another quantity."""
        key = id(circuit), setting
        if key not in self._bits:
            self._bits[key] = tuple(self._placed(circuit, setting))
        return self._bits[key]

    @cached_property
    def hard(self) -> Strain:
        """What is hard to bring about in the right unit."""
        return Strain(self.right, self.world)

    @property
    def driven(self) -> Driven:
        return self.hard.driven

    def home(self, q: int) -> int:
        """The range of a quantity in operation."""
        return self.driven.homes[q]

    def running(self, probe: Probe) -> frozenset[str]:
        """The loads of the right unit that run at the end of a probe, whatever its outcome."""
        return frozenset.intersection(*(runs(self.right.words(*e)) for e in self.ends(self.right, probe)))

    def strain(self, probe: Probe) -> int:
        """How much of a probe neither a hand nor the running unit brings about; 0 of what is easily done."""
        if probe not in self._strains:
            self._strains[probe] = self._strain(probe)
        return self._strains[probe]

    def _strain(self, probe: Probe) -> int:
        if len(probe) == 1:
            return self.hard.at_power_up(probe[0].setting)
        before, to = probe[-2].setting, probe[-1].setting
        ends = self.ends(self.right, probe[:-1])
        return self.strain(probe[:-1]) + max(self.hard.of_move(*end, before, to) for end in ends)

    def _placed(self, circuit: Circuit, setting: Setting) -> Iterable[Bits]:
        base = self.world.inputs(True, setting)
        choices: list[tuple[bool, ...]] = [(b,) for b in base]
        for k, switch in enumerate(circuit.inputs.values()):
            points = switch.set_points
            own = self.right.circuit.inputs[switch.name].set_points
            if points is None or own is None or points.quantity == own.quantity:
                continue
            low, high = float("-inf"), float("inf")
            if points.quantity in self.world.quantities:
                where = self.world.quantities.index(points.quantity)
                low, high = self.world.interval(points.quantity, setting.ranges[where])
            above, below = low >= points.high, high <= points.low
            choices[k] = (
                (points.above_moved,) if above else (not points.above_moved,) if below else (False, True)
            )
        return product(*choices)


def scene_of(right: Plain, wrongs: Iterable[Circuit]) -> Scene:
    """The settings of the right unit, every input looked at that some mistake brings into play.

    What sentences say of a quantity divides no ranges here: nobody sees it on the unit.
    """
    circuits = [replace(c, expects=()) for c in (right.circuit, *wrongs)]
    named = {n for c in circuits for n, i in c.inputs.items() if i.listed}
    cuts = {q: v for q, v in cuts_of(*circuits).items() if q in right.circuit.quantities}
    return Scene(right, World(replace(circuits[0], cuts=cuts), named=named))


def probes(scene: Scene, wide: bool) -> list[Probe]:
    """A way to every state of the right unit, those that take least doing first.

    wide: states that differ only in the value of a quantity are told apart. Of a unit with many settings only
    the states near ordinary operation: what else shows a mistake is found with the mistake.
    """
    every = nearby(scene) if scene.world.count() > MOST_PROBED else everywhere(scene, wide)
    ways = [p for p in every if not by_itself(scene, p) or turns(scene, p)]
    return sorted(ways, key=lambda p: effort(scene, p))


def everywhere(scene: Scene, wide: bool) -> list[Probe]:
    """A way to every state of the right unit, that which takes least doing.

    Where a way through states of the running unit does, also power-up in the state itself if that leads
    there: from standstill a motor shows what it does not show when it turns.
    """
    explorer = Explorer(scene.world, scene.right).run()
    best: dict[object, Probe] = {}
    for joint, moves in walked(explorer, scene.hard).items():
        cold = ((Act(joint.setting),),) if joint in explorer.power_up else ()
        for way in dict.fromkeys((way_of(moves), *cold)):
            ranges = joint.setting.ranges if wide else ()
            key = joint.setting.bits, ranges, joint.after, scene.strain(way) > 0
            if key not in best or effort(scene, way) < effort(scene, best[key]):
                best[key] = way
    return list(best.values())


def nearby(scene: Scene) -> list[Probe]:
    """Power-up in ordinary operation and in all that a few moves lead to from there; or those moves."""
    at = ordinary_setting(scene.world, scene.driven.homes)
    cold: list[Probe] = [(Act(s),) for s in near(scene.world, at, MOVES)]
    ways = easiest([(at, cold[0], 0)], partial(onward, scene, MOVES)) if cold else {}
    return [*cold, *(ways[p[0].setting] for p in cold if scene.strain(p))]


def onward(scene: Scene, most: int, at: Setting, way: Probe) -> Iterator[tuple[Setting, Act, int]]:
    """The moves on from the end of a way, each with its cost. most: acts beyond the first, in all."""
    for _, to in scene.world.moves(at) if len(way) <= most else ():
        yield to, Act(to), 1 + FAR * (scene.strain((*way, Act(to))) - scene.strain(way))


def by_itself(scene: Scene, probe: Probe) -> bool:
    """Does a contact stand moved that only a motor at speed, or a warm start device, moves?"""
    places = zip(scene.world.variables, probe[-1].setting.bits, strict=True)
    return any(moved and v.by_motor for v, moved in places)


def turns(scene: Scene, probe: Probe) -> bool:
    """Does a motor of the right unit run at the end of a probe?"""
    words = [scene.right.words(*end).loads.values() for end in scene.ends(scene.right, probe)]
    return any(RUNS in w for w in words)


def way_of(moves: Iterable[tuple[str, Joint]]) -> Probe:
    """Moves, each with the state that it leads to, as acts."""
    acts = []
    for move, at in moves:
        delay = move.removesuffix(" runs out") if move.endswith(" runs out") else None
        acts.append(Act(at.setting, delay))
    return tuple(acts)


def in_scene(scene: Scene, world: World, way: Probe) -> Probe | None:
    """A way found in another world of the same unit, in settings of this one; None where it has no such."""
    acts = []
    for act in way:
        bits = placed_in(scene, world, act.setting)
        if world.quantities != scene.world.quantities or world.cuts != scene.world.cuts:
            return None
        acts.append(Act(act.setting._replace(bits=bits), act.delay))
    return tuple(acts)


def placed_in(scene: Scene, world: World, setting: Setting) -> Bits:
    """Where the inputs stand in a setting of another world of the unit; at normal where it has no such."""
    places = dict(zip((v.name for v in world.variables), setting.bits, strict=True))
    return tuple(places.get(v.name, v.normal) for v in scene.world.variables)


def ordinary(scene: Scene, probe: Probe) -> bool:
    """Do the inputs that do nothing in the right unit stand at normal at the end of a probe?"""
    listed = scene.right.circuit.inputs
    places = zip(scene.world.variables, probe[-1].setting.bits, strict=True)
    return all(moved == v.normal or listed[v.name].listed for v, moved in places)


# How much doing a switch away from ordinary operation takes: a hand sets one, a fuse is pulled with the
# power off, a protection is made to trip. Of a quantity, each range away from home; and, between two set
# points, that its history is right too. A strain is more than any of them. Project rules.
BY_HAND, FUSE, TRIPPED, RANGE, BETWEEN, STRAIN = 1, 3, 6, 1, 4, 20


def effort(scene: Scene, probe: Probe) -> int:
    """How much doing a probe takes: its moves, and what stands away from ordinary operation at its end."""
    world, circuit = scene.world, scene.right.circuit
    setting, total = probe[-1].setting, 2 * (len(probe) - 1)
    for v, moved in zip(world.variables, setting.bits, strict=True):
        switch = circuit.inputs[v.name]
        if v.set_points is not None:
            q = world.quantities.index(v.set_points.quantity)
            total += BETWEEN * (len(world.placed(v, setting.ranges[q])) > 1)
        if moved != v.normal:
            fuse = circuit.devices[switch.device].fuse
            total += TRIPPED if switch.tripped == moved else FUSE if fuse else BY_HAND
    total += STRAIN * scene.strain(probe)
    return total + RANGE * sum(abs(r - scene.home(q)) for q, r in enumerate(setting.ranges))
