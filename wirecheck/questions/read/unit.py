"""A unit read out: when each load and relay works, what each protection stops, what each switch does.

Nothing here guesses: each statement is asked of every reachable state before it is made.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.pair import Pair
from wirecheck.circuit.elements import ByPosition
from wirecheck.circuit.graph import Changed
from wirecheck.engine.answers import CHATTERS, IN, SHORT, WORKING
from wirecheck.engine.plain.route import route
from wirecheck.engine.question import At, Not, RelayAt, Word, every, word
from wirecheck.questions.effect import HISTORY, shortest
from wirecheck.questions.read.moves import Moved, moved_by
from wirecheck.questions.read.odd import Odd, oddities

if TYPE_CHECKING:
    from wirecheck.checks.case import Case
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Words
    from wirecheck.engine.question import Question

NEAR = 40  # states in which contacts are put the other way, those nearest to ordinary operation


class Way(Struct, frozen=True):
    """The current through a load in one state. hops: as `route` tells them."""

    case: Case
    hops: tuple[str, ...]


class Load(Struct, frozen=True):
    """When a load works. when: the shortest sum of products, `always`, `never`, or that history decides.

    may: where history decides, when it may work at all. must: positions of switches that it always needs.
    needs: relays without which it never works. kept_off: protections, (name, word when tripped), on whose
    tripped side it never works. words: every other word than off, on and runs that it ever has.
    """

    name: str
    when: str
    may: str
    must: tuple[str, ...]
    needs: tuple[str, ...]
    kept_off: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    way: Way | None


class Relay(Struct, frozen=True):
    """When a relay is in; where history decides, when it may be; and the loads that never work without it."""

    name: str
    when: str
    may: str
    loads: tuple[str, ...]


class Reading(Struct, frozen=True):
    """The answer of `read`. switches: what moving each switch alone does, near ordinary operation."""

    pair: Pair
    loads: dict[str, Load]
    relays: dict[str, Relay]
    switches: tuple[Moved, ...] = ()
    odd: tuple[Odd, ...] = ()

    @property
    def circuit(self) -> Circuit:
        return self.pair.changed.after

    @property
    def states(self) -> int:
        """How many reachable states all this was asked of."""
        return self.pair.count


def _holds(works: Question, words: Words) -> bool:
    """Is a word, or a relay's, as a question asks?"""
    match works:
        case Word(_, load, among):
            return words.loads[load] in among
        case RelayAt(_, relay, among):
            return words.relays[relay] in among
        case _:
            raise ValueError(f"{works} is asked of no one word")


@dataclass
class Reader:
    """Asks one unit. pair: the unit beside itself."""

    circuit: Circuit
    plain: bool = False
    _never: dict[Question, bool] = field(default_factory=dict)

    @cached_property
    def pair(self) -> Pair:
        return Pair(Changed(self.circuit.name, self.circuit, self.circuit), plain=self.plain)

    def never(self, question: Question) -> bool:
        """Is a question false in every reachable state?"""
        if question not in self._never:
            self._never[question] = not self.pair.exists(question)
        return self._never[question]

    def load(self, name: str) -> Load:
        """All that is said of a load; a motor's tap has no way of its own."""
        works = Word("after", name, WORKING)
        ever = not self.never(works)
        return Load(
            name,
            *self.when(works),
            self.must(works) if ever else (),
            self.needs(works) if ever else (),
            self.kept_off(works) if ever else (),
            self.words(name),
            self.way(name) if name in self.circuit.loads else None,
        )

    def when(self, question: Question) -> tuple[str, str]:
        """When this holds, over the inputs; and, where history decides, when it may hold at all."""
        side = self.pair.world.variables
        names = [(v.name, *v.words) for v in side]
        on, off = self.pair.told_apart(question, tuple(range(len(side))))
        words = shortest(names, on, off)
        return words, shortest(names, on, set(off) - set(on)) if words == HISTORY else ""

    def must(self, works: Question) -> tuple[str, ...]:
        """The positions of switches without which this never holds, in words."""
        found = []
        for v in self.pair.world.variables:
            for moved in (False, True) if v.held is None else ():
                other = At("after", v.name, not moved)
                if not self.never(works) and not self.never(other) and self.never(every(works, other)):
                    found.append(f"{v.name} {v.word(moved)}")
        return tuple(found)

    def needs(self, works: Question) -> tuple[str, ...]:
        """The relays that are in wherever this holds, and whose contacts, put the other way, end it."""
        relays = self.circuit.relays.values()
        out = {r.name: Not(RelayAt("after", r.name, frozenset({IN}))) for r in relays}
        return tuple(
            r.name
            for r in relays
            if not self.never(out[r.name])
            and self.never(every(works, out[r.name]))
            and self.turned(works, r.contacts, works, False)
        )

    def kept_off(self, works: Question) -> tuple[tuple[str, str], ...]:
        """The protections in whose tripped position this never holds, and whose contacts keep it so.

        They start it there, put back, or end it where it holds: a lockout stays locked out.
        """
        found = []
        for p in self.circuit.inputs.values():
            if p.tripped is None:
                continue
            tripped = At("after", p.name, p.tripped)
            contacts = tuple(c.id for c in self.circuit.contacts.values() if c.mover == ByPosition(p.name))
            never = not self.never(tripped) and self.never(every(works, tripped))
            if never and (
                self.turned(tripped, contacts, works, True) or self.turned(works, contacts, works, False)
            ):
                found.append((p.name, p.word(p.tripped)))
        return tuple(found)

    def turned(self, where: Question, contacts: tuple[str, ...], works: Question, starts: bool) -> bool:
        """Does putting these contacts the other way, in a state near by, start or end what `works` asks?"""
        for case in islice(self.pair.where(where), NEAR):
            words = self.pair.put_other_way(case.joint, contacts) if contacts else []
            if any(_holds(works, w) == starts for w in words):
                return True
        return False

    def words(self, name: str) -> tuple[str, ...]:
        """The words that a load ever has, but for off, on and runs."""
        odd = ("stalls", "weak", "over", "backward", SHORT, CHATTERS, "unknown")
        return tuple(w for w in odd if not self.never(word("after", name, {w})))

    def way(self, name: str) -> Way | None:
        """The current through a load in the working state nearest to ordinary operation."""
        for case in self.pair.where(word("after", name, WORKING)):
            for view in self.pair.views(case.joint):
                hops = route(view, name)
                return Way(self.pair.shown(case), hops) if hops else None
        return None

    def relay(self, name: str) -> Relay:
        """All that is said of a relay."""
        is_in = RelayAt("after", name, frozenset({IN}))
        works = {n: Word("after", n, WORKING) for n in self.circuit.loads}
        loads = tuple(n for n, q in works.items() if not self.never(q) and name in self.needs(q))
        return Relay(name, *self.when(is_in), loads)

    def whole(self) -> Reading:
        """The whole unit."""
        loads = {n: self.load(n) for n in self.circuit.loads}
        relays = {n: self.relay(n) for n in self.circuit.relays}
        moved = tuple(moved_by(self.pair))
        return Reading(self.pair, loads, relays, moved, tuple(oddities(self.pair)))

    def one(self, name: str) -> Reading:
        """One load, and the relays that it needs, one behind the other."""
        load = self.load(name)
        relays: dict[str, Relay] = {}
        queue = list(load.needs)
        for r in queue:
            relays[r] = self.relay(r)
            queue += [
                n for n in self.needs(RelayAt("after", r, frozenset({IN}))) if n not in queue and n != r
            ]
        odd = tuple(o for o in oddities(self.pair, (name,)) if name in o.names)
        return Reading(self.pair, {name: load}, relays, (), odd)
