"""What can be said of a change where there are too many inputs to look at every state.

Proved: both units do the same in every state and history. Found: a state, walked on the plain evaluator, in
which a load does otherwise than it may. All else is `unknown`, and says what to hold.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks import keeps, loose_ends, no_cross_feed
from wirecheck.checks import ratings as rated
from wirecheck.checks.case import Case
from wirecheck.checks.earth_ways import may_return
from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import pardoned
from wirecheck.engine.fast.equal import Compared, Equality, NoSolver
from wirecheck.engine.fast.limits import NotHere, TooLarge
from wirecheck.engine.plain.explore import Explorer

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Estimate
    from wirecheck.engine.world import Setting


class Beyond:
    """A pair whose states are too many to be enumerated."""

    def __init__(self, pair: Pair) -> None:
        self.pair = pair
        self.many = f"2^{len(pair.world.variables)} combinations of inputs are not looked at one by one"
        self.why = ""
        self.equality: Equality | None = None
        self.compared = self._compared()

    def _compared(self) -> Compared | None:
        try:
            self.equality = Equality(self.pair.after, self.pair.before, self.pair.world)
            return self.equality.compared()
        except NoSolver:
            self.why = "the SAT solver is not installed: pip install 'wirecheck[sat]'"
        except (NotHere, TooLarge) as error:
            self.why = str(error)
        return None

    @property
    def unsure(self) -> tuple[str, ...]:
        """What makes the verdict at best unknown; a short is told among what is compared."""
        if self.equality is None or self.compared is None or not self.compared.whole:
            return ()
        restless = self.equality.restless()
        return ("whether a relay of the unit chatters before the change is not told",) if restless else ()

    @property
    def sensitive(self) -> dict[str, Estimate]:
        """The estimates on which the comparison depends."""
        found = {**self.pair.before.sensitive, **self.pair.after.sensitive}
        for unit in (self.equality.before, self.equality.after) if self.equality is not None else ():
            for doubts in (*unit.doubtful, *(d for load in unit.loads.values() for _, d in load.doubts)):
                found |= doubts
        return found

    def findings(self) -> Iterator[Finding]:
        """What is proved, what is found, and what is left open."""
        if self.compared is None:
            yield from self._open(self.why)
        elif not self.compared.whole:
            yield from self._found(self.compared)
            apart = (*self.compared.apart, *(f"the word of {n}" for n in self.compared.differs))
            yield from self._open(f"not proved to be as before: {', '.join(apart)}")
        else:
            yield from self._proved()

    def _open(self, why: str) -> Iterator[Finding]:
        free = [v.name for v in self.pair.world.variables if v.held is None]
        says = f"{self.many}; {why}; hold some of {', '.join(free)} with `given`"
        yield Finding("states", "unit", "unknown", says)

    # --- found ---------------------------------------------------------------------------------------

    def _found(self, compared: Compared) -> Iterator[Finding]:
        """The settings of the solver, walked from power-up: what `keeps` does not allow there is a fail."""
        for load, setting in compared.differs.items():
            finding = self._replayed(load, setting)
            if finding is not None:
                yield finding

    def _replayed(self, load: str, setting: Setting) -> Finding | None:
        explorer = Explorer(self.pair.world, self.pair.after, self.pair.before)
        for joint in explorer.powered(setting):
            found = Case(joint, explorer)
            rule = keeps.rule_of(self.pair, load, load)
            wrong = keeps.verdict_in(self.pair, found, load, load, rule) is False
            if wrong and not pardoned(self.pair, found, load):
                was, now = found.befores[0].loads[load], found.after.loads[load]
                says = f"{load}: {was} before, {now} after"
                return Finding(keeps.NAME, load, "fail", says, self.pair.witness(found))
        return None

    # --- proved --------------------------------------------------------------------------------------

    def _proved(self) -> Iterator[Finding]:
        """Every comparison holds; what is asked of the unit itself is open where it takes states to tell."""
        changed, how = self.pair.changed, f"proved for every state and history of {self._count()}"
        for load in changed.after.loads:
            yield Finding("keeps", load, "pass", f"{load} does the same as before, {how}")
            yield Finding("no-stall", load, "pass", f"{load} does the same as before, {how}")
        for relay in changed.after.relays:
            yield Finding("no-chatter", relay, "pass", f"{relay} does the same as before, {how}")
        for p in changed.after.inputs.values():
            if p.tripped is not None and p.device in changed.brought:
                yield self._not_told("protections", p.name)
            elif p.tripped is not None:
                yield Finding("protections", p.name, "pass", f"{p.name} keeps off what it did, {how}")
        yield Finding("no-short", "unit", "pass", f"nothing is shorted, {how}")
        yield from self._by_structure(how)
        yield from loose_ends.check(self.pair)
        yield from self._left_open()

    def _count(self) -> str:
        return f"2^{len(self.pair.world.variables)} combinations of inputs"

    def _by_structure(self, how: str) -> Iterator[Finding]:
        """Checks that no state can fail, as nothing is there that could."""
        after, equality = self.pair.after, self.equality
        if equality is not None and not equality.sneaks():
            yield Finding("no-sneak", "unit", "pass", f"no load stands in series with another, {how}")
        else:
            yield self._not_told("no-sneak")
        if no_cross_feed.may_join(after):
            yield self._not_told("no-cross-feed")
        if may_return(after):
            yield self._not_told("no-earth-return")
        if any(d.isolates for d in self.pair.changed.before.devices.values()):
            if equality is not None and equality.as_live():
                yield Finding("isolation", "unit", "pass", f"what was dead is dead, {how}")
            else:
                yield self._not_told("isolation")

    def _left_open(self) -> Iterator[Finding]:
        changed = self.pair.changed
        for sentence in changed.after.expects:
            yield Finding("expects", sentence.text, "unknown", f"{self.many}; it is as true as it was")
        moving = {c.device for c in changed.after.contacts.values()}
        if (moving | {r.device for r in changed.after.relays.values()}) & changed.brought:
            yield self._not_told("takes-effect")
        if any(i.set_points is not None for i in changed.after.inputs.values()):
            yield self._not_told("set-points")
        yield rated.beyond(self.pair, self.many)

    def _not_told(self, check: str, subject: str = "unit") -> Finding:
        return Finding(check, subject, "unknown", f"not told: {self.many}")
