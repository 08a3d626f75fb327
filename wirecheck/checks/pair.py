"""A unit before and after a change, side by side, in one scenario of the estimates: what checks ask."""

from __future__ import annotations

from contextlib import suppress
from functools import cached_property, partial
from typing import TYPE_CHECKING

from wirecheck.checks.case import Case
from wirecheck.checks.finding import Witness
from wirecheck.checks.source import Source
from wirecheck.engine.answers import OFF, WORKING, TooMany
from wirecheck.engine.holds import holds
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.parted import parted
from wirecheck.engine.plain.route import between, coils_in, route
from wirecheck.engine.question import EVERYWHERE
from wirecheck.engine.world import World
from wirecheck.quantity import show

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.circuit.bound import Bound
    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Changed
    from wirecheck.engine.answers import Bits, Outcome, Words
    from wirecheck.engine.holds import Truth
    from wirecheck.engine.plain.explore import Explorer, Joint, Race
    from wirecheck.engine.question import Question
    from wirecheck.engine.solver import View
    from wirecheck.engine.world import Setting


class Pair:
    """The reachable joint states of a changed unit, those nearest to ordinary operation first."""

    def __init__(
        self,
        changed: Changed,
        scenario: Mapping[str, int] | None = None,
        given: bool = True,
        before: Plain | None = None,
        after: Plain | None = None,
        plain: bool = False,
        like: Pair | None = None,
    ) -> None:
        """before, after: the evaluators of the units, where they have answered such questions already.

        plain: ask the plain evaluator alone. like: another with the same unit before. Raises TooMany.
        """
        self.changed, self.plain, self.like = changed, plain, like
        self.before = before or Plain(changed.before, scenario)
        self.after = after or Plain(changed.after, scenario)
        self.world = World(changed.after, changed.before, changed.replaced, given=given)

    @cached_property
    def source(self) -> Source:
        """Where the states come from; made when first asked, since it may be too much. Raises TooMany."""
        like, self.like = self.like, None  # that one is not held on to
        return Source(self.world, self.after, self.before, self.plain, like.source if like else None)

    @property
    def explorer(self) -> Explorer:
        """Walks on from a joint state; with the plain evaluator alone it has walked everywhere."""
        return self.source.explorer

    def where(self, question: Question) -> Iterator[Case]:
        """The states in which a question holds, those nearest to ordinary operation first."""
        return map(self.case, self.source.where(question))

    def distinct(self, question: Question = EVERYWHERE) -> Iterator[Case]:
        """As `where`, but of states that differ in the value of a quantity alone, the nearest one."""
        return map(self.case, self.source.distinct(question))

    def exists(self, question: Question, every_outcome: bool = False) -> bool:
        """Does a question hold in some state, against some outcome before, or against every one?"""
        return self.source.exists(question, every_outcome)

    def positions(self, question: Question, places: tuple[int, ...]) -> set[Bits]:
        """Where these variables stand in the states in which a question holds by some outcome before."""
        return self.source.positions(question, places)

    def told_apart(self, question: Question, places: tuple[int, ...]) -> tuple[set[Bits], set[Bits]]:
        """Where these variables stand where a question holds, and where not, by some outcome before."""
        return self.source.told_apart(question, places)

    @property
    def races(self) -> list[Race]:
        """Settling that ended in more than one way: for each load whose word hangs on it the nearest."""
        return self.source.races(self.new_name)

    def trace(self, joint: Joint) -> tuple[tuple[str, Joint], ...]:
        """The moves from power-up to a joint state, each with the state that it leads to."""
        return self.source.trace(joint)

    def case_of(self, race: Race) -> Case:
        """A joint state that a race ends in."""
        return self.case(self.explorer.matched(race)[0])

    @property
    def count(self) -> int:
        """How many joint states are reachable."""
        return self.source.count

    @property
    def sensitive(self) -> dict[str, Estimate]:
        """The estimates on which some decision so far depends."""
        return self.source.sensitive

    def case(self, joint: Joint) -> Case:
        """A joint state with its words."""
        return Case(joint, self.explorer)

    @cached_property
    def old_name(self) -> dict[str, str]:
        """After's load or relay -> its name before: the same, or that of the device it replaces."""
        renamed = {r.new: r.old for r in self.changed.replaced}
        names: dict[str, str] = {}
        for after, before in (
            (self.changed.after.loads, self.changed.before.loads),
            (self.changed.after.relays, self.changed.before.relays),
        ):
            for name, thing in after.items():
                old = renamed.get(thing.device, thing.device)
                rest = name.removeprefix(thing.device)
                if old + rest in before:
                    names[name] = old + rest
        return names

    @cached_property
    def words_before(self) -> frozenset[str]:
        """Every load, and tap of a motor, that has a word before."""
        return frozenset(self.changed.before.load_names)

    @cached_property
    def new_name(self) -> dict[str, str]:
        return {old: new for new, old in self.old_name.items()}

    def holds(self, condition: Bound, case: Case) -> Truth:
        """A condition in the words of the unit after."""
        return holds(condition, self.world, self.changed.after, case.setting, case.after)

    def views(self, joint: Joint) -> Iterator[View]:
        """The networks of the unit after in this state."""
        inputs = self.world.inputs(True, joint.setting)
        yield from self.after.views(inputs, joint.after)

    def views_before(self, joint: Joint) -> Iterator[View]:
        inputs = self.world.inputs(False, joint.setting)
        for outcome in joint.befores:
            yield from self.before.views(inputs, outcome)

    def is_brought(self, name: str) -> bool:
        """Is this load, relay or element of a device that the change brings?"""
        after = self.changed.after
        thing = after.loads.get(name) or after.relays.get(name) or after.elements.get(name)
        return thing is not None and thing.device in self.changed.brought

    def put_other_way(self, joint: Joint, contacts: tuple[str, ...]) -> list[Words]:
        """The words of the unit after with these contacts put the other way, all else settling anew."""
        inputs = self.world.inputs(True, joint.setting)
        found: list[Words] = []
        for coils, delays in joint.after.onward:
            closed = dict(
                zip(self.after.circuit.contacts, self.after.closed(inputs, coils, delays), strict=True)
            )
            turned = frozenset((c, not closed[c]) for c in contacts)
            ends = self.after.settle(inputs, (coils, delays), turned)
            found += [self.after.words(inputs, outcome, turned) for outcome in ends]
        return found

    def route(self, case: Case, loads: tuple[str, ...]) -> tuple[str, ...]:
        """The way of the current through the first of these loads that carries any, after the change."""
        return self._first(case, lambda view: next(filter(None, (route(view, name) for name in loads)), ()))

    def way_between(self, case: Case, one: str, other: str) -> tuple[str, ...]:
        """How two circuits, supplies or transformers, hang together after the change, not through earth."""
        return self._first(case, lambda view: between(view, one, other))

    def _first(self, case: Case, find: Callable[[View], tuple[str, ...]]) -> tuple[str, ...]:
        """What is found in the first network of a state in which there is any."""
        return next(filter(None, map(find, self.views(case.joint))), ())

    def witness(self, case: Case, route: tuple[str, ...] = (), move: str = "") -> Witness:
        """The state as a record for the report. Raises Disagreement."""
        return Witness(
            inputs=self.inputs(self.shown(case)),
            before=flat(case.befores[0]) if case.befores else {},
            after=flat(case.after),
            ranges=self.ranges(case.setting),
            route=route,
            move=move,
            reached=() if move else self.reached(case.joint),
            because=self._first(case, lambda view: coils_in(view, route)) if route else (),
            parted=self.parted(case),
        )

    def shown(self, case: Case) -> Case:
        """The same, walked to on the plain evaluator: what anyone is shown is. Raises Disagreement."""
        with suppress(TooMany):  # of states beyond counting those shown have been walked to
            self.source.confirm(case.joint)
        return case

    def parted(self, case: Case) -> tuple[str, ...]:
        """What parts each load from its supply that worked before and is off after the change."""
        words = case.after.loads
        off = (n for n in self.changed.after.loads if words[n] == OFF and self._worked(case, n))
        return tuple(dict.fromkeys(line for n in off for line in self._first(case, partial(parted, name=n))))

    def _worked(self, case: Case, name: str) -> bool:
        """Did a load work before, whatever the outcome?"""
        old = self.old_name.get(name)
        return old is not None and bool(case.befores) and all(b.loads[old] in WORKING for b in case.befores)

    def reached(self, joint: Joint) -> tuple[str, ...]:
        """How it stood at power-up and the moves from there, of a state that power-up does not lead to."""
        try:
            if not self.source.remembers:
                return ()
            (_, start), *moves = self.trace(joint)
        except (KeyError, TooMany):  # an outcome that no walk was kept of; states beyond counting
            return ()
        return (self._powered(start.setting, joint.setting), *(move for move, _ in moves)) if moves else ()

    def _powered(self, start: Setting, end: Setting) -> str:
        """Where switches stood at power-up away from ordinary operation, and quantities that go elsewhere."""
        stood = [
            f"{v.name} {v.word(b)}"
            for v, b in zip(self.world.variables, start.bits, strict=True)
            if v.listed and b != v.normal
        ]
        moved = {q for q, a, b in zip(self.world.quantities, start.ranges, end.ranges, strict=True) if a != b}
        stood += [f"{q} {words}" for q, words in self.ranges(start).items() if q in moved]
        return f"power comes on with {', '.join(stood)}" if stood else "power comes on, all as usual"

    def inputs(self, case: Case) -> dict[str, str]:
        """Listed inputs and delays, as words."""
        words = self.world.words(case.setting, listed_only=False)
        return words | {d: "moved" if m else "rest" for d, m in case.after.delays.items()}

    def ranges(self, setting: Setting) -> dict[str, str]:
        units = {**self.changed.before.quantities, **self.changed.after.quantities}
        return {
            q: range_words(units[q].unit, *self.world.interval(q, setting.ranges[k]))
            for k, q in enumerate(self.world.quantities)
        }

    def outcome_words(self, setting: Setting, outcomes: tuple[Outcome, ...], of_after: bool) -> list[Words]:
        return [self.explorer.words(of_after, setting, o) for o in outcomes]


def range_words(unit: str, low: float, high: float) -> str:
    """A range of a quantity in words: above 375 psig, 275 psig to 375 psig."""
    if low == float("-inf"):
        return f"below {show(high, unit)}"
    if high == float("inf"):
        return f"above {show(low, unit)}"
    return f"{show(low, unit)} to {show(high, unit)}"


def flat(words: Words) -> dict[str, str]:
    """Load or relay -> its word, loads first."""
    return {**words.loads, **words.relays}
