"""The plain evaluator: one circuit, a state at a time (engine.md section 4).

`settle` lets the coils of a circuit move one at a time in any order; `words` reads loads and relays off where
that ends. What a position of inputs, coils and delays is like, its networks and volts, is `Solver`'s.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from wirecheck.circuit.elements import Motor
from wirecheck.engine import figures, judge
from wirecheck.engine.answers import IN, OUT, SHORT, UNKNOWN, Outcome, Short, TooMany, Words
from wirecheck.engine.chatter import chattering, never_left
from wirecheck.engine.plain.order import needs_order
from wirecheck.engine.solver import Solver

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Self

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits, State, Turned
    from wirecheck.engine.solver import View

# With fewer coils than this every order is walked, ring or not.
ALL_IN_ORDER = 4


class Plain(Solver):
    """Settles one circuit in one scenario of its estimates. Keeps every answer it has worked out."""

    def __init__(self, circuit: Circuit, scenario: Mapping[str, int] | None = None) -> None:
        super().__init__(circuit, scenario)
        self._settled: dict[tuple[Bits, State, Turned], tuple[Outcome, ...]] = {}
        self._words: dict[tuple[Bits, Outcome, Turned], Words] = {}
        self._orders: dict[tuple[Bits, Turned], frozenset[int]] = {}
        self._wants: dict[tuple[Bits, State, Turned, frozenset[str]], tuple[int, ...]] = {}

    def under(self, scenario: Mapping[str, int]) -> Self:
        """The same circuit with its estimates standing so, nothing settled yet."""
        found = super().under(scenario)
        found._settled, found._words, found._orders, found._wants = {}, {}, {}, {}
        return found

    # --- settling ----------------------------------------------------------------------------------

    def wants(self, inputs: Bits, state: State, turned: Turned, dead: frozenset[str]) -> tuple[int, ...]:
        """The coils that want to move: out at pick-up volts or more, in below drop-out volts."""
        key = (inputs, state, turned, dead)
        if key not in self._wants:
            view = self.look(inputs, *state, turned, dead)
            self._wants[key] = tuple(
                k for i, k in self.coils.items() if self.wants_to_move(i, state[0][k], view)
            )
        return self._wants[key]

    def settle(self, inputs: Bits, start: State, turned: Turned = frozenset()) -> tuple[Outcome, ...]:
        """Every end of settling from `start`, the coils moving one at a time in any order."""
        key = (inputs, start, turned)
        if key not in self._settled:
            self._settled[key] = self._settle(inputs, start, turned)
        return self._settled[key]

    def _settle(
        self, inputs: Bits, start: State, turned: Turned, known: Short | None = None
    ) -> tuple[Outcome, ...]:
        """known: a short that has put out its supplies; what hangs on others settles on."""
        ordered = self._ordered(inputs, turned, known)
        try:
            return self._in_any_order(inputs, start, turned, known, ordered)
        except OrderMatters:
            return self._in_any_order(inputs, start, turned, known, frozenset(range(len(self.coils))))

    def _ordered(self, inputs: Bits, turned: Turned, known: Short | None) -> frozenset[int]:
        """The coils to be moved one at a time.

        With few coils, or after a short, all: that is plain to see.
        """
        if len(self.coils) < ALL_IN_ORDER or known is not None:
            return frozenset(range(len(self.coils)))
        return self._needing_order(inputs, turned)

    def _needing_order(self, inputs: Bits, turned: Turned) -> frozenset[int]:
        key = (inputs, turned)
        if key not in self._orders:
            self._orders[key] = needs_order(self, inputs, turned)
        return self._orders[key]

    def order_matters(self, inputs: Bits) -> bool:
        """Can it matter under these inputs where settling begins, or in which order coils move?"""
        return bool(self._needing_order(inputs, frozenset()))

    def _in_any_order(
        self, inputs: Bits, start: State, turned: Turned, known: Short | None, ordered: frozenset[int]
    ) -> tuple[Outcome, ...]:
        dead = known.supplies if known is not None else frozenset()
        after: dict[State, list[State]] = {start: []}
        outcomes: dict[Outcome, None] = {}
        queue, ends = [start], set()
        for state in queue:
            if len(after) > figures.SETTLE_LIMIT:
                raise TooMany(len(after), tuple(self.circuit.relays))
            short = self.look(inputs, *state, turned, dead).short
            if short is not None:
                outcomes |= dict.fromkeys(self._shorted_end(inputs, state, turned, short, known))
                ends.add(state)
                continue
            wants = [k for k in self.wants(inputs, state, turned, dead) if k in ordered]
            if not wants:
                outcomes[ended("rest", (self._all_at_once(inputs, state, turned, dead),), known)] = None
                ends.add(state)
            for coil in wants:
                to = self.moved(state, coil)
                after[state].append(to)
                if to not in after:
                    after[to] = []
                    queue.append(to)
        stuck = never_left(after, ends)
        if stuck and len(ordered) < len(self.coils):
            raise OrderMatters
        for members in stuck:
            outcomes[ended("chatter", members, known)] = None
        return tuple(outcomes)

    def _all_at_once(self, inputs: Bits, state: State, turned: Turned, dead: frozenset[str]) -> State:
        """Move what still wants to until nothing does: the coils whose order does not matter."""
        for _ in range(len(self.coils) + 1):
            wants = self.wants(inputs, state, turned, dead)
            if not wants:
                return state
            for coil in wants:
                state = self.moved(state, coil)
        raise OrderMatters

    def _shorted_end(
        self, inputs: Bits, state: State, turned: Turned, short: Short, known: Short | None
    ) -> tuple[Outcome, ...]:
        """Where a short leads: its supplies are out, their relays too; what hangs on others settles on."""
        both = short.supplies | (known.supplies if known is not None else frozenset())
        whole = Short((known or short).path, both)
        released = self.released(state, short)
        if known is not None and both == known.supplies:
            return (ended("rest", (released,), whole),)
        return self._settle(inputs, released, turned, whole)

    # --- words -------------------------------------------------------------------------------------

    def words(self, inputs: Bits, outcome: Outcome, turned: Turned = frozenset()) -> Words:
        """The words of every load and relay where settling ended."""
        key = (inputs, outcome, turned)
        if key not in self._words:
            views = self.views(inputs, outcome, turned)
            each = [self._words_of(s, v) for s, v in zip(outcome.members, views, strict=True)]
            words = each[0] if len(each) == 1 else chattering(each)
            if outcome.short is not None:
                words = self._shorted(words, outcome.short)
            self._words[key] = words
        return self._words[key]

    def _words_of(self, state: State, view: View) -> Words:
        loads: dict[str, str] = {}
        why: dict[str, tuple[str, ...]] = {}
        for name, load in self.circuit.loads.items():
            loads[name] = self.load_word(load, view)
            if loads[name] == UNKNOWN:
                why[name] = self.why_unknown(load, view)
        relays = {r.name: IN if state[0][self.coils[r.coil]] else OUT for r in self.circuit.relays.values()}
        delays = {d.name: state[1][k] for k, d in enumerate(self.circuit.delays.values())}
        return Words(loads | self._taps(view, loads), relays, delays, why)

    def _taps(self, view: View, loads: dict[str, str]) -> dict[str, str]:
        """BLW.high on|off, for motors with taps."""
        out: dict[str, str] = {}
        for name, motor in self.circuit.loads.items():
            if isinstance(motor, Motor) and motor.taps:
                fed = judge.fed_taps(motor, view, self.scenario) if loads[name] != "off" else ()
                for tap, winding in zip(motor.taps, motor.main, strict=True):
                    out[f"{name}.{tap}"] = "on" if winding in fed else "off"
        return out

    def _shorted(self, words: Words, short: Short) -> Words:
        """Loads and relays of every supply that takes part in a short."""
        loads, relays = dict(words.loads), dict(words.relays)
        for supply in short.supplies:
            hung, coils = self.hanging(supply)
            loads |= {n: SHORT for n in loads if n in hung or n.rpartition(".")[0] in hung}
            relays |= {r.name: OUT for r in self.circuit.relays.values() if r.coil in coils}
        why = {n: f for n, f in words.why.items() if loads[n] == UNKNOWN}
        return Words(loads, relays, words.delays, why)


class OrderMatters(Exception):
    """Moving coils all at once found no rest: every order is to be walked."""


def ended(kind: Literal["rest", "chatter"], members: tuple[State, ...], short: Short | None) -> Outcome:
    """An outcome: after a short it is one whatever becomes of the rest."""
    return Outcome(kind if short is None else "short", members, members, short)
