"""The words of loads and the wants of coils as conditions: by logic where it decides, else where to ask.

A word by logic comes from the judge itself, shown one impedance between two known potentials.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.engine import judge
from wirecheck.engine.answers import OFF
from wirecheck.engine.estimates import decided
from wirecheck.engine.fast.table import FALSE, Table
from wirecheck.engine.network import Part, unlike

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from wirecheck.circuit.elements import Coil, Estimate, Impedance, Load
    from wirecheck.engine.answers import Potential
    from wirecheck.engine.fast.contract import Nets
    from wirecheck.engine.fast.floating import Floating
    from wirecheck.engine.fast.potentials import Known, Labels
    from wirecheck.engine.solver import Solver


@dataclass
class LoadWords:
    """Word -> where logic says so; `ask`: where numbers decide; `off` elsewhere.

    doubts: where a word depends on estimates, and on which.
    """

    words: dict[str, int] = field(default_factory=dict)
    ask: int = FALSE
    doubts: list[tuple[int, dict[str, Estimate]]] = field(default_factory=list)
    heats: int = FALSE  # where a three-phase motor runs on unbalanced voltages, by logic


@dataclass
class CoilWants:
    """Where an out coil pulls in, where an in coil stays in, and where numbers decide both."""

    pull: int = FALSE
    keep: int = FALSE
    ask: int = FALSE
    doubts: dict[str, Estimate] = field(default_factory=dict)


class Held:
    """The sight of a judge: every impedance of a load between known potentials."""

    def __init__(self, plain: Solver, parts: dict[str, int], volts: dict[str, complex]) -> None:
        self.circuit = plain.circuit
        self.impedances: Mapping[str, Impedance] = plain.impedances
        self.plain, self.parts, self.volts = plain, parts, volts

    def across(self, element: str, scenario: Mapping[str, int]) -> complex:
        return self.plain.solution(self.parts[element], scenario).across[element]

    def amps(self, element: str, scenario: Mapping[str, int]) -> complex:
        return self.plain.solution(self.parts[element], scenario).amps[element]

    def between(self, a: str, b: str, scenario: Mapping[str, int]) -> complex:  # noqa: ARG002 - a sight
        return self.volts[a] - self.volts[b]

    def starting(self, motor: Motor, scenario: Mapping[str, int]) -> bool:  # noqa: ARG002 - a sight
        return False


class Judged:
    """Works out the words of one circuit's loads and the wants of its coils."""

    def __init__(self, table: Table, plain: Solver, nets: Nets, known: Known, floating: Floating) -> None:
        self.table, self.plain, self.nets = table, plain, nets
        self.known, self.floating = known, floating

    def asks(self, element: str) -> int:
        """Where an impedance stands in a floating part that has to be solved."""
        z = self.plain.impedances[element]
        ends = (self.nets.net(z.a), self.nets.net(z.b))
        return self.table.any(self.floating.asks.get(n, FALSE) for n in ends)

    def _between(self, a: int, b: int) -> Iterator[tuple[Potential, Potential, int]]:
        """Where two nets stand at two unlike known potentials."""
        if a == b:
            return
        for p, at_p in self.known.at[a].items():
            for q, at_q in self.known.at[b].items():
                where = self.table.both(at_p, at_q)
                if where != FALSE and p != q and unlike(p, q):
                    yield p, q, where

    def _alone(self, element: str, is_in: bool, p: Potential, q: Potential) -> int:
        """The part of one impedance between two known potentials."""
        return self.plain.part_number(Part(((element, 0, 1, is_in),), (), ((0, p), (1, q)), 2))

    def _decided(
        self, part: int, own: list[Estimate], decide: Callable[[Mapping[str, int]], str | bool]
    ) -> tuple[str | bool, dict[str, Estimate]]:
        """The answer in this scenario, and the estimates that would change it."""
        every = {e.field: e for e in (*self.plain.estimates_in(part), *own)}
        answer, moving = decided(tuple(every), self.plain.scenario, decide)
        return answer, {f: e for f, e in every.items() if f in moving}

    # --- loads ---------------------------------------------------------------------------------------

    def load(self, load: Load) -> LoadWords:
        if isinstance(load, Motor) and load.kind == "psc":
            return self._psc(load)
        if isinstance(load, Motor) and load.kind == "3ph":
            return self._three_phase(load)
        element = judge.load_elements(load)[0]
        z = self.plain.impedances[element]
        found = LoadWords(ask=self.asks(element))
        own = judge.own_estimates(load)
        for p, q, where in self._between(self.nets.net(z.a), self.nets.net(z.b)):
            part = self._alone(element, False, p, q)
            sight = Held(self.plain, {element: part}, {})
            word, doubts = self._decided(part, own, partial(judge.judge, load, sight))
            self._add(found, str(word), where, doubts)
        return found

    def _add(self, found: LoadWords, word: str, where: int, doubts: dict[str, Estimate]) -> None:
        if word != OFF:
            found.words[word] = self.table.either(found.words.get(word, FALSE), where)
        if doubts:
            found.doubts.append((where, doubts))

    def _psc(self, motor: Motor) -> LoadWords:
        """Asked wherever one of its windings may carry anything."""
        table, where = self.table, FALSE
        for element in judge.load_elements(motor):
            z = self.plain.impedances[element]
            where = table.either(where, self.asks(element))
            for _, _, live in self._between(self.nets.net(z.a), self.nets.net(z.b)):
                where = table.either(where, live)
        return LoadWords(ask=where)

    def _three_phase(self, motor: Motor) -> LoadWords:
        """By its terminals where all three stand on known potentials of one source, else asked."""
        table, found = self.table, LoadWords()
        asks = table.any(self.asks(e) for e in motor.main)
        decided = FALSE
        for labels, where in self._triples([self.known.at[self.nets.net(t)] for t in motor.terminals]):
            if len({p.ref for p in labels}) > 1 or len({p.source for p in labels if p.source}) > 1:
                continue
            volts = {t: p.volts for t, p in zip(motor.terminals, labels, strict=True)}
            word = judge.three_phase_word(motor, Held(self.plain, {}, volts), self.plain.scenario)
            self._add(found, word, where, {})
            if judge.heats(motor, Held(self.plain, {}, volts), self.plain.scenario):
                found.heats = table.either(found.heats, where)
            decided = table.either(decided, where)
        for a in motor.terminals:
            for b in motor.terminals:
                for _, _, where in self._between(self.nets.net(a), self.nets.net(b)):
                    asks = table.either(asks, where)
        found.ask = table.both(asks, table.negate(decided))
        return found

    def _triples(self, ats: list[Labels]) -> Iterator[tuple[tuple[Potential, ...], int]]:
        for p, at_p in ats[0].items():
            for q, at_q in ats[1].items():
                for r, at_r in ats[2].items():
                    where = self.table.all((at_p, at_q, at_r))
                    if where != FALSE:
                        yield (p, q, r), where

    # --- coils ---------------------------------------------------------------------------------------

    def coil(self, coil: str) -> CoilWants:
        """The decisions of `Solver.wants_to_move` for each pair of known potentials; a dead coil drops."""
        z = self.plain.circuit.coils[coil]
        found = CoilWants(ask=self.asks(coil))
        for p, q, where in self._between(self.nets.net(z.a), self.nets.net(z.b)):
            pulls, some = self._wants(z, False, p, q)
            drops, more = self._wants(z, True, p, q)
            if pulls:
                found.pull = self.table.either(found.pull, where)
            if not drops:
                found.keep = self.table.either(found.keep, where)
            found.doubts |= some | more
        if self.table.never(found.ask):
            found.ask = FALSE
        differs = self.table.both(found.pull, self.table.negate(found.keep))
        differs = self.table.either(differs, self.table.both(found.keep, self.table.negate(found.pull)))
        if self.table.never(differs):
            found.keep = found.pull
        return found

    def _wants(self, z: Coil, is_in: bool, p: Potential, q: Potential) -> tuple[bool, dict[str, Estimate]]:
        part = self._alone(z.id, is_in, p, q)

        def decide(scenario: Mapping[str, int]) -> bool:
            volts = abs(self.plain.solution(part, scenario).across[z.id])
            return judge.coil_moves(z, is_in, volts, scenario)

        answer, doubts = self._decided(part, judge.own_estimates(z), decide)
        return bool(answer), doubts
