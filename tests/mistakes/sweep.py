"""Every mistake of every right change, and what `verify` says of it.

The label of a mistake comes by a stated rule (wirecheck.questions.mistakes.judge) from the plain evaluator,
beside the right circuit and without a look at what the change declares: harmful where some state shows a
difference that matters; equal where none does; not in this model where only what the file does not describe
is joined otherwise.

    python -m tests.mistakes.sweep [--everywhere] [EXAMPLE ...]

sweeps whole examples, which takes minutes, and prints what is otherwise than in `table.yaml`. With
--everywhere each end is also landed on one terminal of every net of the unit, and what verify passes beside
the table is printed.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from wirecheck.circuit.apply import load_change_pair
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.questions.mistakes.generate import generate
from wirecheck.questions.mistakes.judge import NOTHING, beside, does
from wirecheck.questions.mistakes.mistake import with_mistake
from wirecheck.questions.mistakes.same import signature
from wirecheck.questions.mistakes.trial import tried
from wirecheck.questions.verify import verify

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.mistakes.judge import Does
    from wirecheck.questions.mistakes.mistake import Mistake

EXAMPLES = Path(__file__).parents[2] / "examples"
TABLE = Path(__file__).with_name("table.yaml")
LABELS = {"never seen": "equal", "not in this model": "not in this model"}


@dataclass
class Swept:
    """counts: "label, verdict" -> how many. passed: not equal, and passed. refused: equal, and not passed.

    Both by the mistake's id: what it does, or the reason why it is passed.
    """

    counts: Counter[str] = field(default_factory=Counter)
    passed: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)

    def add(self, mistake: Mistake, what: Does, verdict: str) -> None:
        label = LABELS.get(what.severity, "harmful")
        self.counts[f"{label}, {verdict}"] += 1
        if label == "equal" and verdict != "pass":
            self.refused[mistake.id] = verdict
        if label != "equal" and verdict == "pass":
            self.passed[mistake.id] = what.severity


def change_of(name: str) -> Changed:
    """NAME is an example's folder, or FOLDER/CHANGE."""
    folder, _, change = name.partition("/")
    return load_change_pair(EXAMPLES / folder / "unit.yaml", EXAMPLES / folder / (change or "change.yaml"))


def judged(changed: Changed, everywhere: bool) -> Iterator[tuple[Mistake, Does, str]]:
    """Each mistake, what it does beside the right circuit, and the whole verdict of `verify` on it."""
    right, own = Plain(changed.after), signature(changed.after)
    known: dict[object, tuple[Does, str]] = {}
    for mistake in generate(changed, everywhere):
        joined = signature(mistake.after)
        wires = tuple((w.id, w.a, w.b) for w in mistake.after.conductors.values()) if joined == own else ()
        key = joined, mistake.after.loose, wires
        if key not in known:
            alike = joined == own and not mistake.after.loose
            trial = (
                None if alike else tried(beside(changed.after, mistake.after), right, Plain(mistake.after))
            )
            what = NOTHING if trial is None else does(trial)
            known[key] = what, verify(with_mistake(changed, mistake.after), noted=False).verdict
        yield mistake, *known[key]


def sweep(name: str, everywhere: bool = False) -> Swept:
    """Every mistake of one right change."""
    swept = Swept()
    for mistake, what, verdict in judged(change_of(name), everywhere):
        swept.add(mistake, what, verdict)
    return swept


def told(swept: Swept) -> Swept:
    """What was swept, the reason in place of what a passed mistake does."""
    because = {i: reason for rows in table().values() for i, reason in rows.passed.items()}
    return Swept(swept.counts, {i: because.get(i, "no reason given") for i in swept.passed}, swept.refused)


def table() -> dict[str, Swept]:
    """What the sweep of each example gives; a mistake that is passed with the reason."""
    found = {}
    for name, rows in _read()["examples"].items():
        passed = {i: reason for reason, ids in rows["passed"].items() for i in ids}
        found[name] = Swept(Counter(rows["counts"]), passed)
    return found


def reasons() -> dict[str, str]:
    """Why no check sees a mistake: reason -> its sentence."""
    return dict(_read()["reasons"])


def _read() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
    return found


def main(names: list[str]) -> int:
    """Sweep, and print what differs from the table; with --everywhere what verify passes."""
    everywhere, differ = "--everywhere" in names, 0
    for name in [n for n in names if n != "--everywhere"] or list(table()):
        swept = sweep(name, everywhere)
        print(name, dict(swept.counts))
        known = table().get(name, Swept())
        for mistake, what in {**swept.passed, **swept.refused}.items():
            if mistake not in known.passed:
                print(f"  {what}: {mistake}")
        if told(swept) != known and not everywhere:
            print("  differs from the table")
            differ = 1
    return differ


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
