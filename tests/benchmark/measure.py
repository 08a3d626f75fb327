"""Times, ratios and rows: medians of several runs, both sides in this process."""

from __future__ import annotations

import gc
import resource
import signal
import sys
import textwrap
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from statistics import median
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

GIGABYTES = 3.0  # that one process may have
LONG = 2.0  # seconds; a run that takes longer is not repeated


class NotDone(Exception):
    """Something gave no answer, or not in time. Carries why."""


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raises NotDone in the block once the seconds are over."""

    def ring(*_: object) -> None:
        raise NotDone(f"not done in {seconds:.0f} s")

    old = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, old)


def hold_to(gigabytes: float) -> None:
    """Let this process have so much memory: beyond it comes MemoryError, not the end of the machine."""
    most = int(gigabytes * (1 << 30))
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def say(what: str) -> None:
    """What is being measured, for whoever waits."""
    print(what, file=sys.stderr, flush=True)


def seconds(run: Callable[[], object], repeats: int = 1) -> float:
    """The median time of some runs; what a run leaves behind is cleared away between them."""
    took: list[float] = []
    while len(took) < repeats and not (took and took[-1] > LONG):
        gc.collect()
        began = time.perf_counter()
        run()
        took.append(time.perf_counter() - began)
    return median(took)


@dataclass
class Row:
    """One line of the table. better: is a large figure good (a ratio against a loop) or a small one?"""

    work: str
    target: float
    floor: float
    unit: str
    better: Literal["more", "less"]
    figures: list[float] = field(default_factory=list)
    not_done: list[str] = field(default_factory=list)  # why, one for each that has no figure

    def standing(self) -> str:
        """Where the median stands against target and floor."""
        if not self.figures:
            return "not done"
        middle, sign = median(self.figures), 1 if self.better == "more" else -1
        if sign * middle >= sign * self.target:
            return "target met"
        return "floor met" if sign * middle >= sign * self.floor else "missed"


HEAD = "| work, end to end | target | floor | measured | from, to | |\n|---|---|---|---|---|---|"


def table(rows: list[Row]) -> str:
    """Rows as Markdown, with what could not be done below."""
    lines = [HEAD]
    for row in rows:
        spread = f"{shown(min(row.figures))}, {shown(max(row.figures))}" if row.figures else ""
        middle = f"{shown(median(row.figures))} {row.unit}" if row.figures else "–"
        said = f"{shown(row.target)} {row.unit} | {shown(row.floor)} {row.unit} | {middle} | {spread}"
        standing = row.standing()
        if row.figures and row.not_done:
            standing += f", {len(row.not_done)} not done"
        lines.append(f"| {row.work} | {said} | {standing} |")
    whys = dict.fromkeys(why for row in rows for why in row.not_done)
    lines += [f"\nNot done: {textwrap.shorten(why, 160)}" for why in whys]
    return "\n".join(lines)


def shown(figure: float) -> str:
    """Three figures that count, thousands set apart."""
    if figure >= 100:
        digits = len(str(int(figure)))
        return f"{round(figure, 3 - digits):,.0f}"
    return f"{figure:.3g}"
