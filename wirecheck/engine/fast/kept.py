"""What frames keep that can be worked out again, and when it is let go of."""

from __future__ import annotations

from typing import Protocol

from wirecheck.engine.fast.limits import KEPT_BYTES, held_by


class Keeper(Protocol):
    """A frame, as far as it keeps vectors."""

    def forget(self) -> None: ...


class Kept:
    """Counts the vectors that the frames of one settler keep. size: settings of a vector."""

    def __init__(self, size: int) -> None:
        self.size = size
        self._count = 0
        self._frames: dict[int, Keeper] = {}  # those that keep any, by id

    def add(self, frame: Keeper, count: int) -> None:
        """A frame keeps so many more."""
        self._count += count
        self._frames[id(frame)] = frame

    def spare(self) -> None:
        """Let go of them all, where they have grown large."""
        if held_by(self._count, self.size) > KEPT_BYTES:
            for frame in self._frames.values():
                frame.forget()
            self._count = 0
            self._frames.clear()
