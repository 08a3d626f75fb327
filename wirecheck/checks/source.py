"""Where states come from: the fast evaluator; the plain one where that has no answer, or alone if asked."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from wirecheck.checks.case import in_order
from wirecheck.checks.plainly import Plainly
from wirecheck.checks.vectors import Vectors
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.plain.explore import Explorer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.checks.case import Told
    from wirecheck.circuit.elements import Estimate
    from wirecheck.engine.answers import Bits
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.plain.explore import Joint, Race
    from wirecheck.engine.question import Question
    from wirecheck.engine.world import World

T = TypeVar("T")


class Source:
    """The reachable states of a pair of units, or of one alone (before None)."""

    def __init__(
        self,
        world: World,
        after: Plain,
        before: Plain | None,
        plain: bool = False,
        like: Source | None = None,
    ) -> None:
        """plain: the plain evaluator alone. like: see `FastPair.of`. Raises TooMany."""
        self.world, self.after, self.before = world, after, before
        self._from: Plainly | Vectors = self._plainly() if plain else self._fast(like)

    def _plainly(self) -> Plainly:
        return Plainly(Explorer(self.world, self.after, self.before))

    def _fast(self, like: Source | None) -> Plainly | Vectors:
        known = like._from.fast if like is not None and isinstance(like._from, Vectors) else None
        try:
            return Vectors(FastPair.of(self.after, self.before, self.world, known))
        except (NotHere, TooLarge):
            return self._plainly()

    def _ask(self, ask: Callable[[Plainly | Vectors], T]) -> T:
        try:
            return ask(self._from)
        except (NotHere, TooLarge):
            self._from = self._plainly()
            return ask(self._from)

    @property
    def explorer(self) -> Explorer:
        """Walks on from a joint state."""
        return self._from.explorer

    @property
    def count(self) -> int:
        """How many joint states are reachable."""
        return self._ask(lambda s: s.count)

    @property
    def remembers(self) -> bool:
        """Do moves lead to a state that power-up does not?"""
        return self._ask(lambda s: s.remembers)

    @property
    def sensitive(self) -> dict[str, Estimate]:
        """The estimates on which some decision so far depends."""
        found = dict(self.before.sensitive) if self.before is not None else {}
        found |= self.after.sensitive
        return self._ask(lambda s: {**found, **s.fast.sensitive} if isinstance(s, Vectors) else found)

    def where(self, question: Question) -> Iterator[Joint]:
        """The states in which a question holds, those nearest to ordinary operation first."""
        return self._ask(lambda s: s.where(question))

    def distinct(self, question: Question) -> Iterator[Joint]:
        """As `where`, but of states that differ in the value of a quantity alone, the nearest one."""
        return self._ask(lambda s: s.distinct(question))

    def exists(self, question: Question, every_outcome: bool = False) -> bool:
        """Does a question hold in some state, against some outcome before, or against every one?"""
        return self._ask(lambda s: s.exists(question, every_outcome))

    def positions(self, question: Question, places: tuple[int, ...]) -> set[Bits]:
        """Where these variables stand in the states in which a question holds by some outcome before."""
        return self._ask(lambda s: s.positions(question, places))

    def told_apart(self, question: Question, places: tuple[int, ...]) -> tuple[set[Bits], set[Bits]]:
        """Where these variables stand where a question holds, and where not, by some outcome before."""
        return self._ask(lambda s: s.told_apart(question, places))

    def trace(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a joint state, each with the state that it leads to."""
        return self._ask(lambda s: s.trace(joint))

    def told(self) -> list[Told]:
        """Every state of the one unit in words, nearest to ordinary operation first."""
        away = self.world.away
        found = self._ask(lambda s: list(s.told()))
        return sorted(found, key=lambda t: (away(t.setting), in_order(t.setting), t.key))

    def confirm(self, joint: Joint) -> None:
        """Walk the way to a state that was only looked at. Raises Disagreement."""
        self._ask(lambda s: s.confirm(joint))

    def races(self, renamed: Mapping[str, str]) -> list[Race]:
        """The settlings that ended in more than one way: of those that decide a load's word and did not
        before (renamed: its name before -> after) at least the nearest.
        """
        return self._ask(lambda s: s.races(renamed))
