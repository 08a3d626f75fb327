"""The change as it lies on the bench: the right unit after it, and what mistakes are made of."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.questions.mistakes import places
from wirecheck.questions.mistakes.mistake import Mistake, Put, made

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.circuit.nets import Joined
    from wirecheck.questions.mistakes.places import End, Lifted


class Bench(Struct, frozen=True, dict=True):
    """A change, the ends that it touches, and the nets of the unit as it should be after it."""

    changed: Changed

    @property
    def right(self) -> Circuit:
        return self.changed.after

    @cached_property
    def ends(self) -> tuple[End, ...]:
        return places.touched(self.changed)

    @cached_property
    def lifted(self) -> tuple[Lifted, ...]:
        return places.lifted(self.changed)

    @cached_property
    def nets(self) -> Joined:
        return places.circuit_nets(self.right)

    @cached_property
    def brought(self) -> tuple[str, ...]:
        """The devices that the change brings and that stand in the unit after it."""
        return tuple(t for t in self.right.devices if t in self.changed.brought)

    def alike(self, one: str, other: str) -> bool:
        """Are two nodes one net of the right unit?"""
        return self.nets.root(one) == self.nets.root(other)

    def make(self, kind: str, name: str, step: int, words: str, put: Put) -> Mistake | None:
        """The mistake; None where a conductor would end twice in one place."""
        after = made(self.right, put)
        if any(w.a == w.b for w in after.conductors.values()):
            return None
        return Mistake(f"{kind}: {name}", kind, step, words, after)
