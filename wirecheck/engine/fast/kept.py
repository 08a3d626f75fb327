"""What frames keep that can be worked out again, and when it is let go of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

from wirecheck.engine.fast.limits import held_by

if TYPE_CHECKING:
    from collections.abc import Callable

Keeper = TypeVar("Keeper")


class Kept(Generic[Keeper]):
    """Counts the vectors of one kind that frames keep. size: settings of a vector; most: bytes in all."""

    def __init__(self, size: int, most: int, forget: Callable[[Keeper], None]) -> None:
        self.size, self.most, self.forget = size, most, forget
        self._count = 0
        self._keepers: dict[int, Keeper] = {}  # by id

    def add(self, keeper: Keeper, count: int) -> None:
        """One keeps so many more."""
        self._count += count
        self._keepers[id(keeper)] = keeper

    def spare(self) -> None:
        """Let go of them all, where they have grown large."""
        if held_by(self._count, self.size) > self.most:
            for keeper in self._keepers.values():
                self.forget(keeper)
            self._count = 0
            self._keepers.clear()
