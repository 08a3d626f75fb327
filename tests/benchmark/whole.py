"""The realistic unit against a numpy solve of every state, and what a process costs: memory, start-up."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tests.benchmark import ours, realistic
from tests.benchmark.agree import Differs
from tests.benchmark.generator import job
from tests.benchmark.logic import whole_verify
from tests.benchmark.measure import NotDone, seconds, within
from tests.benchmark.nodal import Nodal

if TYPE_CHECKING:
    from tests.benchmark.agree import Held
    from tests.benchmark.logic import Effort
    from tests.benchmark.ours import Stood
    from wirecheck.engine.fast.pair import Side

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "tidewater-playhouse"
IMPORTS = "import networkx, pydantic, yaml, typer"


@dataclass
class Solved:
    """One realistic unit and change: seconds of each side; the loop's scaled to every state of both units."""

    name: str
    compared: float
    verified: float | None
    solved: float
    states: int
    agreed: Counter[Held]


def solved(folder: Path, seed: int, kind: realistic.Kind, effort: Effort) -> Solved:
    """Equality first, then the times. Raises what is in STOPS, and Differs."""
    changed = ours.load(realistic.job(folder, seed, kind))
    with within(effort.limit):
        answers = ours.Answers(changed)
        compared = seconds(lambda: ours.compared(ours.fresh(changed)), effort.repeats)
    rng = random.Random(f"{seed}/{kind}")  # noqa: S311 - drawn again from its seed
    agreed: Counter[Held] = Counter()
    total = 0.0
    drawn = [answers.drawn_state(rng) for _ in range(effort.solved)] + answers.telling()
    for side in ours.SIDES:
        loop = Nodal(answers.circuit(side))
        rows = [(i, s) for i, stood in drawn for s in stood[side] if s.kind == "rest"]
        agreed["chatters"] += sum(s.kind == "chatter" for _, stood in drawn for s in stood[side])
        agreed["shorted"] += sum(s.kind == "short" for _, stood in drawn for s in stood[side])
        took = _held(loop, answers, side, rows, effort.repeats)
        agreed["same"] += len(rows)
        total += took / len(rows) * answers.states(side)
    verified = whole_verify(changed, effort)
    return Solved(f"{kind} {seed}", compared, verified, total, answers.joint_states, agreed)


def _held(
    loop: Nodal, answers: ours.Answers, side: Side, rows: list[tuple[int, Stood]], repeats: int
) -> float:
    """Each state solved once: seconds. Raises Differs where coils do not rest or a word is another."""
    asked = [(answers.inputs(side, i), loop.coils_in(s.coils, s.words), s.delays) for i, s in rows]

    def run() -> list[tuple[bool, tuple[str, ...]]]:
        return [loop.shows(*state) for state in asked]

    for (rests, words), (i, s) in zip(run(), rows, strict=True):
        if not rests or words != s.words:
            raise Differs(f"{side}, setting {i}: {words} here, resting: {rests}; {s} there")
    return seconds(run, repeats)


def memory(folder: Path, seed: int, effort: Effort) -> float:
    """Megabytes above what is held once the files are read, of the comparison at 500 conductors, 2^20.

    Raises NotDone with what the process says where it has no answer.
    """
    at = job(folder, 500, seed, "moved")
    command = [sys.executable, "-m", "tests.benchmark.peak", str(at.unit), str(at.change)]
    try:
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=effort.limit)
    except subprocess.TimeoutExpired:
        raise NotDone(f"not done in {effort.limit:.0f} s") from None
    if done.returncode:
        raise NotDone(done.stderr.strip().splitlines()[-1])
    return float(done.stdout)


def start_up(runs: int) -> list[float]:
    """The demo's `verify` as a process over one that only imports, one after the other: a ratio each.

    Raises NotDone with what the process says where it gives no pass.
    """
    verify = ["-m", "wirecheck", "verify", str(EXAMPLE / "unit.yaml"), str(EXAMPLE / "change.yaml")]
    pairs = [(_process(verify), _process(["-c", IMPORTS])) for _ in range(runs + 1)]
    return [ours_took / imports for ours_took, imports in pairs[1:]]  # the first warms the files


def _process(arguments: list[str]) -> float:
    # A user's Python keeps what it has compiled; some machines of developers tell theirs not to.
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    began = time.perf_counter()
    done = subprocess.run([sys.executable, *arguments], cwd=ROOT, env=kept, capture_output=True, text=True)
    took = time.perf_counter() - began
    if done.returncode:
        raise NotDone(f"exit {done.returncode}: {' '.join(done.stderr.split())}")
    return took
