"""Observations, and what each shows of the circuits that are to be told from the right one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import msgspec

from wirecheck.engine.estimates import ends_of
from wirecheck.questions.mistakes import looks, meters
from wirecheck.questions.mistakes.scene import effort
from wirecheck.questions.mistakes.strain import METERED_TRIPPED

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.questions.mistakes.looks import Look
    from wirecheck.questions.mistakes.scene import Probe, Scene

MORE_EFFORT = {"look": 0, "volts": 1, "ohms": 2}  # a reading takes more doing than a look

Kind = Literal["look", "volts", "ohms"]


class Observation(msgspec.Struct, frozen=True):
    """Something to look at once a probe has been made: the loads, or a meter between two points.

    value: the volts or ohms of the right unit, None of ohms where open. With ohms the power is off.
    """

    kind: Kind
    probe: Probe
    points: tuple[str, str] | None = None
    look: Look = msgspec.field(default_factory=dict)
    value: float | None = None


@dataclass
class Hunt:
    """The circuits to tell from the right one, and the observations that do, by number.

    hard: probes of some strain. doubted: (observation, circuit) that some end of an estimate hides.
    """

    scene: Scene
    wrongs: Sequence[Plain]
    hard: Sequence[Probe] = ()
    found: dict[int, tuple[Observation, dict[int, str]]] = field(default_factory=dict)
    doubted: set[tuple[int, int]] = field(default_factory=set)
    _moved: dict[tuple[int, tuple[tuple[str, int], ...]], Plain] = field(default_factory=dict)

    def at_ends(self, plain: Plain, scenario: dict[str, int]) -> Plain:
        """The evaluator of the same circuit with its estimates at these ends."""
        key = id(plain), tuple(sorted(scenario.items()))
        if key not in self._moved:
            self._moved[key] = plain.under(scenario)
        return self._moved[key]

    def add(self, observation: Observation, circuits: Iterable[int]) -> None:
        """Keep an observation with what it shows of these circuits, if it shows any."""
        shows = {c: text for c in circuits if (text := self.text(observation, self.wrongs[c]))}
        for plain in self.wrongs:
            plain.spare()
        if shows:
            self.found[len(self.found)] = (observation, shows)

    def add_look(self, probe: Probe, wanted: Sequence[int] = ()) -> None:
        """Keep what the loads do at the end of a probe; where some circuits are wanted, if it shows one."""
        look = looks.expected(self.scene, probe)
        if look is not None:
            o = Observation("look", probe, None, look)
            if not wanted or any(self.text(o, self.wrongs[c]) for c in wanted):
                self.add(o, range(len(self.wrongs)))

    def text(self, o: Observation, plain: Plain, way: Probe | None = None) -> str:
        """What an observation shows of one circuit, "" where it may look right. way: where not its probe."""
        probe = o.probe if way is None else way
        if o.points is None:
            return looks.seen(self.scene, plain, probe, o.look)
        if o.kind == "ohms":
            return meters.ohms_seen(self.scene, plain, probe, *o.points, o.value)
        return meters.volts_seen(self.scene, plain, probe, *o.points, o.value or 0.0)

    def sure(self, o: Observation, c: int, way: Probe) -> bool:
        """Does an observation, gone to by this way, show a circuit wherever what is estimated lies?"""
        plain, right = self.wrongs[c], self.scene.right
        if not self.text(o, plain, way):
            return False
        fields = tuple({**right.sensitive, **plain.sensitive})
        for ends in ends_of(len(fields))[1:]:
            scenario = {f: e for f, e in zip(fields, ends, strict=True) if e}
            own = self.text(o, self.at_ends(right, scenario), way)
            if own or not self.text(o, self.at_ends(plain, scenario), way):
                return False
        return True

    def hidden(self, number: int) -> set[tuple[int, int]]:
        """What an observation shows at nominal figures, but not at some end of what is estimated."""
        o, shows = self.found[number]
        return {(number, c) for c in shows if not self.sure(o, c, o.probe)}

    def shown(self, number: int) -> list[int]:
        """The circuits that an observation shows, as far as is not doubted."""
        return [c for c in self.found[number][1] if (number, c) not in self.doubted]

    def mask(self, number: int) -> int:
        """The same, a bit each."""
        return sum(1 << c for c in self.shown(number))

    def strain(self, number: int) -> int:
        """How much of an observation neither a hand nor the running unit brings about."""
        o = self.found[number][0]
        metered = o.kind != "look" and any(self.scene.hard.tripped(o.probe[-1].setting))
        return self.scene.strain(o.probe) + METERED_TRIPPED * metered

    def cost(self, number: int) -> int:
        """How much doing an observation takes."""
        o = self.found[number][0]
        return effort(self.scene, o.probe) + MORE_EFFORT[o.kind]

    def missed(self, strain: int | None = None) -> list[int]:
        """The circuits that nothing found shows. strain: nothing of no more strain than this."""
        numbers = [k for k in self.found if strain is None or self.strain(k) <= strain]
        seen = {c for k in numbers for c in self.shown(k)}
        return [c for c in range(len(self.wrongs)) if c not in seen]
