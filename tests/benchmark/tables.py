"""The rows of the table, and the lines below it that say what stands behind them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from tests.benchmark import realistic, whole
from tests.benchmark.logic import LOOPS, STOPS, all_timed, proof, reason, sweep
from tests.benchmark.measure import Row, say, shown

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from pathlib import Path

    from tests.benchmark.agree import Held
    from tests.benchmark.logic import Effort, Timed

A, ONE, B = LOOPS
Found = tuple[list[Row], list[str]]


@dataclass(frozen=True)
class Against:
    """A row against a loop over states."""

    wires: int
    bits: int
    loop: str
    target: float
    floor: float


# Targets and floors here and below: those of the issue that asked for the fast evaluator.
AGAINST = (
    Against(60, 8, A, 100, 30),
    Against(150, 16, A, 15_000, 5_000),
    Against(150, 16, B, 1_000, 400),
    Against(500, 20, A, 100_000, 30_000),
)


def loops(effort: Effort, folder: Path) -> Found:
    """The rows against loops, and what each size took."""
    rows: list[Row] = []
    notes: list[str] = []
    for wires in effort.sampled:
        found, left = all_timed(folder, wires, effort, (A,) if wires == 500 else LOOPS)
        notes += _size(found, wires)
        for against in (x for x in AGAINST if x.wires == wires):
            rows += _ratios(against, found, left)
    return rows, notes


def _ratios(against: Against, found: list[Timed], left: list[str]) -> list[Row]:
    """A loop that only powers up under each setting, and one that searches every move as the engine does."""
    work = f"{against.wires} conductors, 2^{against.bits}, against {against.loop}"
    rows = [
        Row(work + what, against.target, against.floor, "×", "more", not_done=list(left))
        for what in (", at power-up alone", ", with every move from every state")
    ]
    rows[0].figures = [t.powered[against.loop] / t.compared for t in found]
    rows[1].figures = [t.searched[against.loop] / t.compared for t in found]
    return rows


def _size(found: list[Timed], wires: int) -> list[str]:
    if not found:
        return []
    read, compared = (_middle(times) for times in ((t.read for t in found), (t.compared for t in found)))
    states, settings = (shown(median(n)) for n in ((t.states for t in found), (t.settings for t in found)))
    verified = _middle(t.verified for t in found)
    took = f"files read {read}, every load compared {compared}, all checks {verified}"
    lines = [
        f"* {wires} conductors, {len(found)} pairs, {settings} settings, {states} states: {took}",
        f"  * answers of the loops held against ours: {_counted(t.agreed for t in found)}",
    ]
    for loop in found[0].powered:
        at_power_up = _middle(t.powered[loop] for t in found)
        lines.append(f"  * {loop}: {at_power_up}; with every move {_middle(t.searched[loop] for t in found)}")
    return lines


def _middle(times: Iterable[float | None]) -> str:
    """The median of some seconds, and how many were not done."""
    every = list(times)
    done = [t for t in every if t is not None]
    if not done:
        return "not done in time"
    middle = median(done)
    text = f"{shown(middle)} s" if middle >= 1 else f"{shown(1000 * middle)} ms"
    return text if len(done) == len(every) else f"{text} ({len(every) - len(done)} not done in time)"


def _counted(each: Iterable[Mapping[Held, int]]) -> str:
    total: Counter[Held] = Counter()
    for counter in each:
        total.update(counter)
    return ", ".join(f"{count} {what}" for what, count in total.most_common())


def each_seed(row: Row, seeds: Sequence[int], one: Callable[[int], float]) -> Row:
    """A row of one figure for each seed."""
    for seed in seeds:
        say(f"{row.work}, {seed}")
        try:
            row.figures.append(one(seed))
        except STOPS as why:
            row.not_done.append(f"{row.work}, {seed}: {reason(why)}")
    return row


def sweeps(effort: Effort, folder: Path) -> Found:
    """Every conductor open and every contact stuck, in verifications."""
    rows = [
        Row("60 conductors: every one open, every contact stuck", 4, 8, "verifications", "less"),
        Row("150 conductors, 2^16: the same, each fault", 0.1, 0.2, "verifications", "less"),
    ]
    notes = []
    for wires, row in zip((60, 150), rows, strict=True):
        found = []
        for seed in effort.seeds:
            say(f"{row.work}, {seed}")
            try:
                found.append(sweep(folder, wires, seed, effort, None if wires == 60 else effort.faults))
            except STOPS as why:
                row.not_done.append(f"{row.work}, {seed}: {reason(why)}")
        for s in found:
            took = sum(s.each) if wires == 60 else sum(s.each) / max(len(s.each), 1)
            row.figures.append(took / s.one)
            row.not_done += [f"{row.work}: {left}" for left in s.left]
        faults = [t for s in found for t in s.each]
        notes.append(f"* a fault of {wires} conductors: {_middle(faults)}, {len(faults)} made")
    return rows, notes


def proofs(effort: Effort, folder: Path) -> Found:
    """More inputs than can be enumerated."""
    row = Row("40 free inputs, ten contacts rewritten, proved", 15, 40, "compile times", "less")
    return [each_seed(row, effort.seeds, lambda seed: proof(folder, seed, effort))], []


def cabinets(effort: Effort, folder: Path) -> Found:
    """The realistic units against a numpy solve of every state."""
    row = Row("realistic unit, 13 inputs, against numpy in every state", 50, 20, "×", "more")
    found = []
    for seed in effort.seeds:
        for kind in realistic.KINDS:
            say(f"realistic {kind} {seed}")
            try:
                found.append(whole.solved(folder, seed, kind, effort))
                row.figures.append(found[-1].solved / found[-1].compared)
            except STOPS as why:
                row.not_done.append(f"{kind} {seed}: {reason(why)}")
    if not found:
        return [row], []
    compared, verified, solved = (
        _middle(times)
        for times in ((s.compared for s in found), (s.verified for s in found), (s.solved for s in found))
    )
    took = f"every load compared {compared}, all checks {verified}, numpy {solved}"
    return [row], [
        f"* realistic unit, {len(found)} pairs, {shown(median(s.states for s in found))} states: {took}",
        f"  * states solved held against ours: {_counted(s.agreed for s in found)}",
    ]


def processes(effort: Effort, folder: Path) -> Found:
    """What a process costs."""
    memory = Row("memory above start, 500 conductors, 2^20", 50, 150, "MB", "less")
    each_seed(memory, effort.seeds, lambda seed: whole.memory(folder, seed, effort))
    started = Row("the demo's `verify`, against importing its libraries", 1.5, 1.8, "×", "less")
    say(started.work)
    try:
        started.figures = whole.start_up(2 * effort.repeats + 1)
    except STOPS as why:
        started.not_done.append(f"{started.work}: {reason(why)}")
    return [memory, started], []
