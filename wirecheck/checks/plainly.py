"""Questions asked of one state after another: how the plain evaluator picks states out."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from wirecheck.checks.case import Case, Told, ends_in_order, in_order
from wirecheck.checks.picked import picked, picked_by_some
from wirecheck.engine.question import Not

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from wirecheck.engine.answers import Bits
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.plain.explore import Explorer, Joint, Race
    from wirecheck.engine.question import Question
    from wirecheck.engine.world import World


class Plainly:
    """The reachable states of a pair, or of one unit, walked one by one."""

    def __init__(self, explorer: Explorer) -> None:
        """Raises TooMany."""
        self.explorer = explorer.run()
        self.world: World = explorer.world
        self.after: Plain = explorer.after
        self.before: Plain | None = explorer.before

    @cached_property
    def cases(self) -> list[Case]:
        """Every reachable joint state, by the number of inputs away from normal."""
        joints = sorted(
            self.explorer.came,
            key=lambda j: (self.world.away(j.setting), in_order(j.setting), ends_in_order(j)),
        )
        return [Case(j, self.explorer) for j in joints]

    @property
    def count(self) -> int:
        """How many joint states are reachable; a short is one, whichever way it may take."""
        return len({(j.setting, ends_in_order(j)) for j in self.explorer.came})

    @property
    def remembers(self) -> bool:
        """Do moves lead to a state that power-up does not?"""
        return any(source is not None for source, _ in self.explorer.came.values())

    def where(self, question: Question) -> Iterator[Joint]:
        """The states in which a question holds, those nearest to ordinary operation first."""
        return (c.joint for c in self.cases if picked(self, question, c))

    def exists(self, question: Question, every_outcome: bool = False) -> bool:
        """Does a question hold in some state, against some outcome before, or against every one?"""
        holds = picked if every_outcome else picked_by_some
        return any(holds(self, question, c) for c in self.cases)

    def distinct(self, question: Question) -> Iterator[Joint]:
        """As `where`, but of states that differ in the value of a quantity alone, the nearest one."""
        seen: set[object] = set()
        for joint in self.where(question):
            key = joint.after, joint.befores, joint.setting.bits
            if key not in seen:
                seen.add(key)
                yield joint

    def positions(self, question: Question, places: tuple[int, ...]) -> set[Bits]:
        """Where these variables stand in the states in which a question holds by some outcome before."""
        found = (c.setting.bits for c in self.cases if picked_by_some(self, question, c))
        return {tuple(bits[k] for k in places) for bits in found}

    def told_apart(self, question: Question, places: tuple[int, ...]) -> tuple[set[Bits], set[Bits]]:
        """Where these variables stand where a question holds, and where not, by some outcome before."""
        found = tuple(
            {tuple(c.setting.bits[k] for k in places) for c in self.cases if picked_by_some(self, q, c)}
            for q in (question, Not(question))
        )
        return found[0], found[1]

    def trace(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a joint state as first found."""
        return self.explorer.trace(joint)

    def told(self) -> Iterator[Told]:
        """Every state of the one unit in words, in no order."""
        for c in self.cases:
            short = c.joint.after.short
            up = c.joint in self.explorer.power_up
            yield Told(c.setting, c.after, up, short.path if short is not None else ())

    def confirm(self, joint: Joint) -> None:
        """Every state here was walked to."""

    def races(self, _renamed: Mapping[str, str]) -> list[Race]:
        """Every settling that ended in more than one way."""
        return self.explorer.races
