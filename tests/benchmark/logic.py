"""Logic-only networks: the engine against loops over states, and sweeps of faults."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from tests.benchmark import ours
from tests.benchmark.agree import held
from tests.benchmark.baselines import Graphs, OneGraph, Unions, netlist, settled
from tests.benchmark.generator import KINDS, job
from tests.benchmark.measure import GIGABYTES, NotDone, say, seconds, within

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from tests.benchmark.agree import Held
    from tests.benchmark.baselines import Bits, Ended, Loop, Netlist
    from tests.benchmark.ours import Stood
    from wirecheck.circuit.graph import Changed
    from wirecheck.engine.fast.pair import Side

LOOPS: dict[str, Callable[[Netlist], Loop]] = {
    "a networkx graph a look": Graphs,
    "one networkx graph, altered": OneGraph,
    "contracted union-find": Unions,
}
SAMPLED = {60: 200, 150: 200, 500: 60}  # states (speed.md section 8)
STOPS = (*ours.LEFT, NotDone, MemoryError)


@dataclass
class Effort:
    """How much is run. limit: seconds for any one thing."""

    seeds: Sequence[int] = range(5)
    sampled: dict[int, int] = field(default_factory=lambda: dict(SAMPLED))
    repeats: int = 5
    limit: float = 120
    faults: int = 20  # of a large network
    solved: int = 100  # states of a realistic unit


@dataclass
class Timed:
    """One unit and change: seconds of each side, scaled to all states where it was sampled.

    powered: loop -> power-up of every setting; searched: loop -> every move from every state as well.
    """

    name: str
    read: float
    compared: float
    verified: float | None
    settings: int
    states: int
    powered: dict[str, float]
    searched: dict[str, float]
    agreed: Counter[Held]


def timed(folder: Path, wires: int, seed: int, kind: str, effort: Effort, loops: Iterable[str]) -> Timed:
    """Equality first, then the times. Raises what is in STOPS, and Differs."""
    at = job(folder, wires, seed, kind)  # type: ignore[arg-type]
    changed = ours.load(at)
    with within(effort.limit):
        answers = ours.Answers(changed)
        compared = seconds(lambda: ours.compared(ours.fresh(changed)), effort.repeats)
    agreed: Counter[Held] = Counter()
    powered, searched = {}, {}
    for name in loops:
        rng = random.Random(f"{wires}/{seed}/{kind}")  # noqa: S311 - drawn again from its seed
        sampled = _Sampled(answers, LOOPS[name], rng, effort.repeats)
        powered[name] = sampled.power_up(effort.sampled[wires])
        searched[name] = powered[name] + sampled.moves(effort.sampled[wires] // 10)
        agreed += sampled.agreed
    return Timed(
        name=f"{wires} {kind} {seed}",
        read=seconds(lambda: ours.load(at), effort.repeats),
        compared=compared,
        verified=whole_verify(changed, effort),
        settings=answers.settings,
        states=answers.joint_states,
        powered=powered,
        searched=searched,
        agreed=agreed,
    )


def whole_verify(changed: Changed, effort: Effort) -> float | None:
    """All checks; None where that takes too long."""
    try:
        with within(effort.limit):
            return seconds(lambda: ours.verified(ours.fresh(changed)), effort.repeats)
    except (NotDone, MemoryError):
        return None


class _Sampled:
    """One loop over a sample of states, held against the engine, and its time for all."""

    def __init__(
        self, answers: ours.Answers, make: Callable[[Netlist], Loop], rng: random.Random, repeats: int
    ) -> None:
        self.answers, self.rng, self.repeats = answers, rng, repeats
        self.loops = {side: make(netlist(answers.circuit(side))) for side in ours.SIDES}
        self.agreed: Counter[Held] = Counter()

    def power_up(self, count: int) -> float:
        """Both units settled from all out under every setting: seconds."""
        indexes = [self.answers.drawn(self.rng) for _ in range(count)]
        rows = [(side, i, self.answers.inputs(side, i)) for i in indexes for side in ours.SIDES]

        def run() -> list[Ended]:
            return [settled(self.loops[side], inputs) for side, _, inputs in rows]

        for (side, i, inputs), end in zip(rows, run(), strict=True):
            shown = self.answers.shown(side, i, power_up=True)
            self.agreed[held(self.loops[side], end, shown, inputs, None, any_of=False)] += 1
        return seconds(run, self.repeats) / count * self.answers.settings

    def moves(self, count: int) -> float:
        """Each unit settled after each move from each of its states: seconds."""
        drawn = [self.answers.drawn_state(self.rng) for _ in range(count)] + self.answers.telling()[:count]
        return sum(
            self._moves_of(side, drawn) / len(drawn) * self.answers.states(side) for side in ours.SIDES
        )

    def _moves_of(self, side: Side, drawn: list[tuple[int, dict[Side, list[Stood]]]]) -> float:
        """One unit settled after each move from its first state in each of these: seconds."""
        loop, relays = self.loops[side], len(self.answers.circuit(side).relays)
        rows: list[tuple[int, Bits, Bits]] = []
        for i, stood in drawn:
            starts = [s.coils or (False,) * relays for s in stood[side][:1] if s.kind != "chatter"]
            moves = self.answers.moves(i)
            rows += [(k, self.answers.inputs(side, k), start) for k in moves for start in starts]

        def run() -> list[Ended]:
            return [settled(loop, inputs, start) for _, inputs, start in rows]

        for (k, inputs, start), end in zip(rows, run(), strict=True):
            shown = self.answers.shown(side, k, power_up=False)
            self.agreed[held(loop, end, shown, inputs, start, any_of=True)] += 1
        return seconds(run, self.repeats)


@dataclass
class Sweep:
    """Faults of one unit. one: seconds of a verification; each: of every fault; left: why some have none.

    A verification: every load of the unit compared with those of the same unit with a conductor's end moved
    within its net.
    """

    one: float
    each: list[float]
    left: list[str]


def sweep(folder: Path, wires: int, seed: int, effort: Effort, count: int | None) -> Sweep:
    """Every conductor open, every contact stuck open and stuck closed; `count` of them drawn, or all."""
    changed = ours.load(job(folder, wires, seed, "moved"))
    faults = list(ours.faults(changed.before))
    if count is not None:
        faults = random.Random(seed).sample(faults, count)  # noqa: S311 - drawn again from its seed
    with within(effort.limit):
        one = seconds(lambda: ours.compared(ours.fresh(changed)), effort.repeats)
    found, faulty = Sweep(one, [], []), ours.Faulty(changed.before)
    for fault in faults:
        try:
            with within(effort.limit):
                found.each.append(seconds(partial(faulty.differing, fault)))
        except STOPS as why:
            found.left.append(f"{fault.name}: {reason(why)}")
    return found


def proof(folder: Path, seed: int, effort: Effort) -> float:
    """40 free inputs, ten contacts rewritten: the proof in compile times. Raises what is in STOPS."""
    changed = ours.load(job(folder, 2000, seed, "rewritten"))
    with within(effort.limit):
        took = seconds(lambda: ours.proved(ours.fresh(changed)))
        return took / seconds(lambda: ours.compiled(ours.fresh(changed)), effort.repeats)


def all_timed(
    folder: Path, wires: int, effort: Effort, loops: Iterable[str]
) -> tuple[list[Timed], list[str]]:
    """Every seed and kind of change of one size; what could not be done, with why."""
    found, left = [], []
    for seed in effort.seeds:
        for kind in KINDS:
            say(f"{wires} {kind} {seed}")
            try:
                found.append(timed(folder, wires, seed, kind, effort, loops))
            except STOPS as why:
                left.append(f"{wires} {kind} {seed}: {reason(why)}")
    return found, left


def reason(why: BaseException) -> str:
    """What stopped a measurement, in words."""
    return f"not done in {GIGABYTES:g} GB" if isinstance(why, MemoryError) else str(why)
