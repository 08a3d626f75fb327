"""Every reachable state, one unit or two side by side (engine.md section 4).

A `Joint` is one setting with the outcome of the unit after, and the outcomes of the unit before that match
it: one, unless the unit before races and none of its outcomes has the common relays alike.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.engine import figures
from wirecheck.engine.answers import Outcome, TooMany, Words
from wirecheck.engine.delays import pending, run_out

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.engine.answers import Bits, State
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.world import Setting, World


class Joint(Struct, frozen=True):
    """One joint state: the outcomes of both units under one setting."""

    setting: Setting
    after: Outcome
    befores: tuple[Outcome, ...] = ()


class Race(Struct, frozen=True):
    """Settling that ended in more than one way: where it began, and how it can end."""

    setting: Setting
    move: str
    after: tuple[Outcome, ...]
    before: tuple[Outcome, ...]


@dataclass
class Explorer:
    """Walks what power-up and moves lead to. `came` tells how each joint state was first reached."""

    world: World
    after: Plain
    before: Plain | None = None
    came: dict[Joint, tuple[Joint | None, str]] = field(default_factory=dict)
    power_up: set[Joint] = field(default_factory=set)
    races: list[Race] = field(default_factory=list)
    common: tuple[str, ...] = ()
    _next: dict[Joint, tuple[tuple[str, Joint], ...]] = field(default_factory=dict)
    _led: dict[tuple[Joint, str, Setting], tuple[Joint, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.before is not None and not self.common:
            self.common = tuple(r for r in self.after.circuit.relays if r in self.before.circuit.relays)

    def run(self) -> Explorer:
        """Explore everything. Raises TooMany."""
        for setting in self.world.settings():
            for joint in self.powered(setting):
                self.power_up.add(joint)
                self.came.setdefault(joint, (None, "power comes on"))
        if self._moves_matter():
            queue = list(self.came)
            for joint in queue:
                for move, to in self.successors(joint):
                    if to not in self.came:
                        self.came[to] = (joint, move)
                        queue.append(to)
                        if len(queue) > 4 * figures.STATE_LIMIT:
                            raise TooMany(
                                len(queue), tuple(v.name for v in self.world.variables if v.held is None)
                            )
        return self

    def _moves_matter(self) -> bool:
        """Can a move lead anywhere that power-up does not?

        Not where history decides nothing in either unit.
        """
        settings = {j.setting for j in self.came}
        sides = [(self.after, True)] + ([(self.before, False)] if self.before is not None else [])
        for unit, of_after in sides:
            inputs = {self.world.inputs(of_after, s) for s in settings}
            ends = {j.after for j in self.came} if of_after else {o for j in self.came for o in j.befores}
            if remembers(unit, inputs, {state for o in ends for state in o.onward}):
                return True
        return False

    def powered(self, setting: Setting) -> tuple[Joint, ...]:
        """Where power-up with this setting leads."""
        after_in, before_in = self._inputs(setting)
        ends = self.after.settle(after_in, self.after.cold())
        olds: tuple[Outcome, ...] = ()
        if self.before is not None and before_in is not None:
            olds = self.before.settle(before_in, self.before.cold())
        return self._matched(setting, "power comes on", ends, olds)

    def _inputs(self, setting: Setting) -> tuple[Bits, Bits | None]:
        before = self.world.inputs(False, setting) if self.before is not None else None
        return self.world.inputs(True, setting), before

    def successors(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """What one move of an input, a quantity or a delay leads to; a power failure is in `powered`."""
        if joint not in self._next:
            found: dict[Joint, str] = {}
            for move, to in self._moved(joint):
                found.setdefault(to, move)
            self._next[joint] = tuple((move, to) for to, move in found.items())
        return self._next[joint]

    def led(self, joint: Joint, move: str, to: Setting) -> tuple[Joint, ...]:
        """What one move leads to, in the words of `successors`; () where it cannot be made."""
        key = joint, move, to
        if key not in self._led:
            self._led[key] = tuple(self._made(joint, move, to))
        return self._led[key]

    def _made(self, joint: Joint, move: str, to: Setting) -> Iterator[Joint]:
        if (move, to) in self.world.moves(joint.setting):
            yield from (j for _, j in self._from(joint, to, move, None))
        for delay in self._pending(joint) if to == joint.setting else ():
            if move == runs_out(delay):
                yield from (j for _, j in self._from(joint, to, move, delay))

    def _moved(self, joint: Joint) -> Iterator[tuple[str, Joint]]:
        for move, setting in self.world.moves(joint.setting):
            yield from self._from(joint, setting, move, None)
        for delay in self._pending(joint):
            yield from self._from(joint, joint.setting, runs_out(delay), delay)

    def _pending(self, joint: Joint) -> list[str]:
        names: dict[str, None] = {}
        for unit, outcomes in self._units(joint):
            for outcome in outcomes:
                for state in outcome.onward:
                    names |= dict.fromkeys(pending(unit, state))
        return list(names)

    def _units(self, joint: Joint) -> list[tuple[Plain, tuple[Outcome, ...]]]:
        units: list[tuple[Plain, tuple[Outcome, ...]]] = [(self.after, (joint.after,))]
        if self.before is not None:
            units.append((self.before, joint.befores))
        return units

    def _from(
        self, joint: Joint, setting: Setting, move: str, delay: str | None
    ) -> Iterator[tuple[str, Joint]]:
        after_in, before_in = self._inputs(setting)
        ends = self._ends(self.after, after_in, (joint.after,), delay)
        olds: tuple[Outcome, ...] = ()
        if self.before is not None and before_in is not None:
            olds = self._ends(self.before, before_in, joint.befores, delay)
        for to in self._matched(setting, move, ends, olds):
            yield move, to

    def _ends(
        self, unit: Plain, inputs: Bits, outcomes: tuple[Outcome, ...], delay: str | None
    ) -> tuple[Outcome, ...]:
        found: dict[Outcome, None] = {}
        for outcome in outcomes:
            for state in outcome.onward:
                start = run_out(unit, state, delay) if delay is not None else state
                found |= dict.fromkeys(unit.settle(inputs, start))
        return tuple(found)

    def _matched(
        self, setting: Setting, move: str, ends: tuple[Outcome, ...], olds: tuple[Outcome, ...]
    ) -> tuple[Joint, ...]:
        """Pair each outcome after with those before in which the common relays stand alike, else with all."""
        ended = Race(setting, move, ends, olds)
        if len(ends) > 1 or len(olds) > 1:
            self.races.append(ended)
        return self.matched(ended)

    def matched(self, race: Race) -> tuple[Joint, ...]:
        """The joint states in which settling ended."""
        setting, olds = race.setting, race.before
        if len(olds) <= 1:
            return tuple(Joint(setting, end, olds) for end in race.after)
        return tuple(Joint(setting, end, self._alike(setting, end, olds)) for end in race.after)

    def _alike(self, setting: Setting, end: Outcome, olds: tuple[Outcome, ...]) -> tuple[Outcome, ...]:
        mine = self.words(True, setting, end).relays
        same = tuple(
            o for o in olds if all(self.words(False, setting, o).relays[r] == mine[r] for r in self.common)
        )
        return same or olds

    def words(self, of_after: bool, setting: Setting, outcome: Outcome) -> Words:
        """The words of the unit after, or of the one before, where settling ended."""
        return self._unit(of_after).words(self.world.inputs(of_after, setting), outcome)

    def _unit(self, of_after: bool) -> Plain:
        if of_after:
            return self.after
        if self.before is None:
            raise ValueError("there is no unit before")
        return self.before

    def trace(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a joint state, shortest first found."""
        steps = []
        at: Joint | None = joint
        while at is not None:
            came, move = self.came[at]
            steps.append((move, at))
            at = came
        return tuple(reversed(steps))


def runs_out(delay: str) -> str:
    """The words of the move that a delay makes."""
    return f"{delay} runs out"


def remembers(unit: Plain, inputs: set[Bits], states: set[State]) -> bool:
    """Does it matter to a unit where settling begins?

    states: every state that power-up ends in. If from each of them, under any inputs, settling ends as it
    does from all coils out, then so does every move, and moves lead to nothing new.
    """
    if unit.circuit.delays:
        return True
    cold = unit.cold()
    doubtful = [i for i in inputs if unit.order_matters(i)]
    return any(
        set(unit.settle(i, s)) != set(unit.settle(i, cold)) for i in doubtful for s in states if s != cold
    )
