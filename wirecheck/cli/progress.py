"""Progress of work that takes more than two seconds, on standard error where that is a terminal."""

from __future__ import annotations

import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from wirecheck.progress import showing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.progress import Progress, TaskID

PATIENCE = 2.0  # seconds before anything is shown


@contextmanager
def shown() -> Iterator[None]:
    """Show how far the work within is; nothing where standard error is no terminal."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield
        return
    bar = _Bar()
    try:
        with showing(bar.step):
            yield
    finally:
        bar.close()


class _Bar:
    def __init__(self) -> None:
        self.began = time.monotonic()
        self.progress: Progress | None = None
        self.tasks: dict[str, TaskID] = {}

    def step(self, what: str, done: int, total: int) -> None:
        """One more step; the first that comes late brings the bar."""
        if self.progress is None:
            if time.monotonic() - self.began < PATIENCE:
                return
            self.progress = self._started()
        if what not in self.tasks:
            self.tasks[what] = self.progress.add_task(what, total=total)
        self.progress.update(self.tasks[what], completed=done, total=total)

    def _started(self) -> Progress:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        progress = Progress(*columns, console=Console(stderr=True), transient=True)
        progress.start()
        return progress

    def close(self) -> None:
        """Wipe it away."""
        if self.progress is not None:
            self.progress.stop()
