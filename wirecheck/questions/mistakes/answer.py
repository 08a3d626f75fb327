"""`mistakes`: every single wiring mistake of a change, what it would do, and the list that would show it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine.plain.evaluator import Plain
from wirecheck.progress import steps
from wirecheck.questions.mistakes import places
from wirecheck.questions.mistakes.acceptance import acceptance, hunted
from wirecheck.questions.mistakes.generate import generate
from wirecheck.questions.mistakes.judge import NOTHING, beside, does
from wirecheck.questions.mistakes.same import signature
from wirecheck.questions.mistakes.scene import in_scene, ordinary, placed_in, probes, scene_of, way_of
from wirecheck.questions.mistakes.trial import tried
from wirecheck.questions.mistakes.verdict import Judge

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator

    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.engine.answers import Bits
    from wirecheck.questions.mistakes.acceptance import Acceptance, Points
    from wirecheck.questions.mistakes.judge import Does
    from wirecheck.questions.mistakes.mistake import Mistake
    from wirecheck.questions.mistakes.scene import Probe, Scene
    from wirecheck.questions.mistakes.trial import Trial
    from wirecheck.questions.mistakes.verdict import Said


class Judged(Struct, frozen=True):
    """A mistake and what it does. alike: the number of its circuit among those told apart by observation."""

    mistake: Mistake
    does: Does
    verify: Said
    alike: int | None
    shown_by: tuple[int, ...] = ()


class Mistakes(Struct, frozen=True):
    """The answer. scene: the settings that the acceptance list speaks of."""

    changed: Changed
    rows: tuple[Judged, ...]
    scene: Scene
    acceptance: Acceptance

    @property
    def not_shown(self) -> tuple[Judged, ...]:
        """The mistakes that matter, or that this model cannot tell, and that no step of the list shows."""
        return tuple(r for r in self.rows if r.does.matters and not r.shown_by)


@dataclass
class Work:
    """Circuits already judged, by what is joined and what hangs loose.

    ways, places: how to come to states in which a mistake differs, and where the inputs stand in such.
    trial: the last one made, whose right unit the next takes.
    """

    changed: Changed
    scene: Scene
    judge: Judge
    own: Hashable
    circuits: dict[Hashable, Circuit] = field(default_factory=dict)
    known: dict[Hashable, tuple[Does, Said]] = field(default_factory=dict)
    ways: dict[Probe, None] = field(default_factory=dict)
    places: set[Bits] = field(default_factory=set)
    trial: Trial | None = None

    def of(self, mistake: Mistake) -> tuple[Does, Said]:
        joined = signature(mistake.after)
        key = joined, mistake.after.loose
        if key not in self.known:
            self.circuits.setdefault(joined, mistake.after)
            plain = Plain(mistake.after)
            said = self.judge.says(mistake.after, plain, joined == self.own)
            nothing = joined == self.own and not mistake.after.loose
            self.known[key] = NOTHING if nothing else self._does(mistake, plain), said
        return self.known[key]

    def _does(self, mistake: Mistake, plain: Plain) -> Does:
        changed = beside(self.changed.after, mistake.after)
        self.trial = trial = tried(
            changed, self.scene.right, plain, self.judge.plain, self.trial, self.judge.few
        )
        found = does(trial)
        for d in found.differs:
            way = in_scene(self.scene, trial.world, way_of(trial.trace(d.joint)))
            self.ways |= {way: None} if way is not None else {}
            self.places.add(placed_in(self.scene, trial.world, d.joint.setting))
        return found


def mistakes(changed: Changed, plain: bool = False) -> Mistakes:
    """Every mistake, and the acceptance list. plain: ask the plain evaluator alone. Raises TooMany."""
    every = generate(changed)
    scene = scene_of(Plain(changed.after), (m.after for m in every))
    work = Work(changed, scene, Judge(changed, plain), signature(changed.after))
    rows = [(m, *work.of(m)) for m in steps("mistakes", every)]
    matter = list(dict.fromkeys(signature(m.after) for m, d, _ in rows if d.matters))
    wide = any(feels_other(m.after, changed.after) for m in every)
    base = [p for p in probes(scene, wide) if ordinary(scene, p) or p[-1].setting.bits in work.places]
    ways = [*base, *(w for w in work.ways if w not in set(base))]
    hunt = hunted(scene, [Plain(work.circuits[s]) for s in matter], ways, tuple(points(changed)))
    found = acceptance(hunt)
    return Mistakes(changed, tuple(_rows(rows, matter, found)), scene, found)


def _rows(
    rows: list[tuple[Mistake, Does, Said]], matter: list[Hashable], found: Acceptance
) -> Iterator[Judged]:
    for mistake, what, said in rows:
        alike = matter.index(signature(mistake.after)) if what.matters else None
        shown = tuple(k for k, s in enumerate(found.steps, 1) if alike is not None and alike in s.shows)
        yield Judged(mistake, what, said, alike, shown)


def feels_other(wrong: Circuit, right: Circuit) -> bool:
    """Does some switch feel another quantity than it should?"""
    return any(i.set_points != right.inputs[n].set_points for n, i in wrong.inputs.items())


def points(changed: Changed) -> Iterator[Points]:
    """Where a meter is put: along each conductor touched and to earth, across what is new and each load."""
    right = changed.after
    ends = dict.fromkeys(e.node for e in places.touched(changed))
    earth = next((t for t in right.poles if t in right.earth), None)
    found: dict[Points, None] = {}
    for wire in places.wires_of(changed):
        found[wire.a, wire.b] = None
    tags = [t for t in right.devices if t in changed.brought]
    tags += [load.device for load in right.loads.values()]
    for tag in dict.fromkeys(tags):
        found |= dict.fromkeys(p for p in places.ways(right, tag) if set(p) <= places.used(right))
    found |= dict.fromkeys((t, earth) for t in ends if earth is not None)
    return iter(found)
