"""The inputs of a unit, or of a unit before and after a change, as variables: which are the same switch.

An input of the unit after is paired with that of the unit before by its tag, or by what it replaces. Both are
one variable where the same set points, or the same hand, decide both; else each has its own (twins).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from wirecheck.circuit.elements import Input, SetPoints
    from wirecheck.circuit.graph import Circuit, Replacement


class Variable(Struct, frozen=True):
    """One input, of either unit or of both. `before`, `after`: its name there; flip: stands the other way."""

    name: str
    words: tuple[str, str]
    before: str | None = None
    after: str | None = None
    flip_before: bool = False
    set_points: SetPoints | None = None
    latch: bool | None = None  # reset by hand: the position that it does not leave by itself
    normal: bool = False
    held: bool | None = None
    listed: bool = True
    by_motor: bool = False
    twin: str | None = None  # the variable of the same switch with other set points
    opened_only_by_name: bool = False

    @property
    def senses(self) -> SetPoints:
        """The set points of a switch that a quantity moves. Raises ValueError of one that a hand moves."""
        if self.set_points is None:
            raise ValueError(f"{self.name} is moved by no quantity")
        return self.set_points

    def word(self, moved: bool) -> str:
        return self.words[moved]


def variable(i: Input, held: bool | None, *, before: str | None, after: str | None, name: str) -> Variable:
    """The variable of an input. before, after: its name in each unit; held: where it is held."""
    return Variable(
        name=name,
        words=i.words,
        before=before,
        after=after,
        set_points=i.set_points,
        latch=latch(i),
        normal=i.normal if held is None else held,
        held=held,
        listed=i.listed,
        by_motor=i.by_motor,
        opened_only_by_name=i.opened_only_by_name,
    )


def latch(i: Input) -> bool | None:
    """The position that a switch reset by hand keeps: its tripped side, else moved.

    None: resets by itself.
    """
    if not i.hand_reset:
        return None
    return True if i.tripped is None else i.tripped


def same_place(one: Input, other: Input) -> bool:
    """Is the position of both decided by the same thing: the same set points, or the same hand?"""
    a, b = one.set_points, other.set_points
    if a is None or b is None:
        return a is b
    same = (a.quantity, a.low, a.high, a.above_moved) == (b.quantity, b.low, b.high, b.above_moved)
    return same and latch(one) == latch(other)


def pairs_of_inputs(before: Circuit, after: Circuit, replaced: Iterable[Replacement]) -> dict[str, str]:
    """After's input -> before's input of the same switch: the same tag, or the one it replaces."""
    renamed: dict[str, str] = {}
    for r in replaced:
        for old in (i for i in before.inputs.values() if i.device == r.old):
            position = old.name.removeprefix(r.old).removeprefix(".")
            moved_to = r.positions.get(position, position)
            name = f"{r.new}.{moved_to}" if moved_to and f"{r.new}.{moved_to}" in after.inputs else r.new
            if name in after.inputs:
                renamed[name] = old.name
    replaced_tags = {r.new for r in replaced}
    same = {n: n for n, i in after.inputs.items() if n in before.inputs and i.device not in replaced_tags}
    return same | renamed


class Pairing:
    """The variables of two units side by side (before None: of one). holding: where an input is held."""

    def __init__(
        self,
        after: Circuit,
        before: Circuit | None,
        replaced: Iterable[Replacement],
        holding: Callable[[Input], bool | None],
    ) -> None:
        self.after, self.before, self.holding = after, before, holding
        self.pairs = pairs_of_inputs(before, after, replaced) if before is not None else {}

    def variables(self) -> list[Variable]:
        """Those of the unit after in its order, then those that only the unit before has."""
        return [*self._of_after(), *self._of_before()]

    def _of_after(self) -> Iterator[Variable]:
        for i in self.after.inputs.values():
            held = self.holding(i)
            old = self._paired(i)
            if old is None:
                yield variable(i, held, before=None, after=i.name, name=i.name)
            elif same_place(i, old):
                yield self._shared(i, old, held)
            else:
                twin = f"{i.name} (before)"
                one = variable(i, held, before=None, after=i.name, name=i.name)
                yield replace(one, twin=twin)
                yield replace(
                    variable(old, self.holding(old), before=old.name, after=None, name=twin), twin=i.name
                )

    def _paired(self, i: Input) -> Input | None:
        """The input before of the same switch."""
        if self.before is None or i.name not in self.pairs:
            return None
        return self.before.inputs[self.pairs[i.name]]

    def _shared(self, i: Input, old: Input, held: bool | None) -> Variable:
        """One input for both units; levers show the same word, all else stands at rest or moved alike."""
        flip = i.set_points is None and i.lever and old.lever and i.words != old.words
        if held is None:
            held = self.holding(old)
            held = held != flip if held is not None else None
        one = variable(i, held, before=old.name, after=i.name, name=i.name)
        return replace(one, flip_before=flip, listed=i.listed or old.listed)

    def _of_before(self) -> Iterator[Variable]:
        if self.before is None:
            return
        paired = set(self.pairs.values())
        for i in self.before.inputs.values():
            if i.name not in paired:
                name = i.name if i.name not in self.after.inputs else f"{i.name} (before)"
                yield variable(i, self.holding(i), before=i.name, after=None, name=name)
