"""What drill questions are made from: a unit, its reachable states, what each conductor and fault does."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from random import Random
from typing import TYPE_CHECKING

from wirecheck.engine.answers import CHATTERS, SHORT, UNKNOWN, WORKING
from wirecheck.engine.question import EVERYWHERE
from wirecheck.questions.find.bench import Bench
from wirecheck.questions.lift import lift
from wirecheck.questions.read.moves import told_apart
from wirecheck.questions.read.unit import Reader

if TYPE_CHECKING:
    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.engine.answers import Bits, Words
    from wirecheck.engine.plain.evaluator import Plain
    from wirecheck.engine.solver import View
    from wirecheck.questions.lift import Lifted
    from wirecheck.questions.read.unit import Load

NEAREST = 240  # states that questions are made from, those nearest to ordinary operation
MOST = 20_000  # states among which those of the same positions are looked for
UNSURE = frozenset({UNKNOWN, SHORT, CHATTERS})  # words about which nothing is asked


@dataclass(eq=False)
class Ground:
    """A unit to be asked about. changed: the change that made it, where there is one."""

    circuit: Circuit
    changed: Changed | None = None
    seed: str = "1"
    _loads: dict[str, Load] = field(default_factory=dict)
    _lifts: dict[str, dict[str, Lifted]] = field(default_factory=dict)

    @cached_property
    def reader(self) -> Reader:
        return Reader(self.circuit)

    @property
    def pair(self) -> Pair:
        """The unit beside itself."""
        return self.reader.pair

    @cached_property
    def cases(self) -> tuple[Case, ...]:
        """The states nearest to ordinary operation of which every word is known."""
        found = map(self.pair.shown, islice(self.pair.distinct(EVERYWHERE), NEAREST))
        return tuple(c for c in found if not UNSURE & {*c.after.loads.values(), *c.after.relays.values()})

    @cached_property
    def _alike(self) -> dict[object, list[Case]]:
        """The states by where their switches and delays stand."""
        found: dict[object, list[Case]] = {}
        ambiguous = self.pair.source.remembers or self.pair.races
        for case in islice(self.pair.distinct(EVERYWHERE), MOST) if ambiguous else ():
            found.setdefault(_stands(case), []).append(case)
        return found

    def told(self, case: Case) -> tuple[tuple[str, str], ...]:
        """The relays that tell a state from others in which switches and delays stand the same."""
        return told_apart(case, self._alike.get(_stands(case), []))

    @cached_property
    def loads(self) -> tuple[str, ...]:
        """The loads that work in some of these states."""
        return tuple(n for n in self.circuit.loads if any(c.after.loads[n] in WORKING for c in self.cases))

    @cached_property
    def bench(self) -> Bench:
        """The unit with each single fault."""
        return Bench(self.circuit)

    def random(self, kind: str, number: int) -> Random:
        """The same choices for the same seed, kind and number. Nothing secret hangs on it."""
        return Random(f"{self.seed} {kind} {number}")  # noqa: S311

    def load(self, name: str) -> Load:
        """When a load works."""
        if name not in self._loads:
            self._loads[name] = self.reader.load(name)
        return self._loads[name]

    def lifts(self, load: str) -> dict[str, Lifted]:
        """Conductor -> what opening it alone does to a load."""
        if load not in self._lifts:
            self._lifts[load] = {row.wire: row for row in lift(self.circuit, load).conductors}
        return self._lifts[load]

    # --- one state -------------------------------------------------------------------------------------

    def inputs(self, case: Case) -> Bits:
        """Where the inputs stand."""
        return self.pair.world.inputs(True, case.setting)

    def view(self, case: Case) -> View:
        """The network of a state."""
        return next(self.pair.views(case.joint))

    def joined(self, case: Case, a: str, b: str) -> bool:
        """Are two terminals one node in a state?"""
        view = self.view(case)
        of, node = view.plain.nets.of, view.network.node
        return node[of[a]] == node[of[b]]

    def onward(self, plain: Plain, case: Case) -> list[Words]:
        """The words of another circuit of the same inputs, carried on from a state of this unit."""
        inputs = self.inputs(case)
        cold = plain.cold()
        fits = [s for s in case.joint.after.onward if len(s[0]) == len(cold[0]) and len(s[1]) == len(cold[1])]
        return [plain.words(inputs, o) for s in fits or [cold] for o in plain.settle(inputs, s)]

    def unmet(self, case: Case, load: str) -> tuple[str, ...]:
        """The positions that a load cannot do without and that are not so here."""
        stands = self.pair.world.words(case.setting, listed_only=False)
        return tuple(m for m in self.load(load).must if stands[m.rpartition(" ")[0]] != m.rpartition(" ")[2])


def _stands(case: Case) -> object:
    """Where switches and delays stand."""
    return case.setting.bits, tuple(case.after.delays.items())
