"""What a technician can do with the unit, and what the right unit and a mistaken one then do.

A probe is a way to a state: power on with the switches so, then one move at a time. The same probe is made on
every circuit; what a circuit may then show is every outcome that its relays allow.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.assemble import cuts_of
from wirecheck.engine.answers import RUNS
from wirecheck.engine.delays import run_out
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import Setting, World

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, Outcome, State
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.plain.explore import Joint


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
    _homes: dict[int, int] = field(default_factory=dict)
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

    def home(self, q: int) -> int:
        """The range of a quantity in operation: its switches at normal, the nearest to a set point."""
        if q not in self._homes:
            name = self.world.quantities[q]
            own = [
                v for v in self.world.variables if v.set_points is not None and v.set_points.quantity == name
            ]
            ranges = range(len(self.world.cuts[name]) + 1)
            between = [r for r in ranges if any(len(self.world.placed(v, r)) > 1 for v in own)]
            fits = [r for r in ranges if all(v.normal in self.world.placed(v, r) for v in own)]
            sure = [r for r in fits if r not in between] or fits or [0]
            self._homes[q] = min(sure, key=lambda r: min((abs(r - b) for b in between), default=0))
        return self._homes[q]

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
    """A way to every state of the right unit, that which takes least doing."""
    explorer = Explorer(scene.world, scene.right).run()
    best: dict[object, Probe] = {}
    for joint in explorer.came:
        way = way_of(explorer.trace(joint))
        key = (joint.setting.bits, joint.setting.ranges if wide else (), joint.after)
        if key not in best or effort(scene, way) < effort(scene, best[key]):
            best[key] = way
    return list(best.values())


def nearby(scene: Scene) -> list[Probe]:
    """Power-up in ordinary operation and in all that a few moves lead to from there."""
    at = ordinary_setting(scene)
    near = dict.fromkeys([at] if scene.world.possible(at) else [])
    for _ in range(MOVES):
        near |= dict.fromkeys(to for here in list(near) for _, to in scene.world.moves(here))
    return [(Act(s),) for s in near]


def ordinary_setting(scene: Scene) -> Setting:
    """Every input at normal, every quantity at home."""
    ranges = tuple(scene.home(q) for q in range(len(scene.world.quantities)))
    return Setting(tuple(v.normal for v in scene.world.variables), ranges)


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
# points, that its history is right too. Project rules.
BY_HAND, FUSE, TRIPPED, RANGE, BETWEEN = 1, 3, 6, 1, 4


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
    return total + RANGE * sum(abs(r - scene.home(q)) for q, r in enumerate(setting.ranges))
