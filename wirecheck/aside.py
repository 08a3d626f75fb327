"""Records that are equal whatever stands in some of their fields."""

from __future__ import annotations

from typing import ClassVar

from msgspec import Struct


class Aside(Struct, frozen=True, eq=False):
    """A frozen record; two of one class are equal where all fields are but those named in `aside`."""

    aside: ClassVar[frozenset[str]] = frozenset()

    def _compared(self) -> tuple[object, ...]:
        return tuple(getattr(self, name) for name in self.__struct_fields__ if name not in self.aside)

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return self._compared() == other._compared()

    # A record of msgspec has its own `!=`, which does not ask `==`.
    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:
        return hash(self._compared())
