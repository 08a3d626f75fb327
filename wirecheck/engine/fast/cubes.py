"""Positions of a part that have been solved, found again by the conditions that make them.

A tree: cubes that begin with the same conditions, in the order of their nodes, share a branch. Where none of
a branch can be, all of it is passed by at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from wirecheck.engine.answers import Bits

Answer = tuple[Any, ...]
Thing = tuple[str, str]  # what is asked, and of what: ("load", "FAN")


class Cube(Struct, frozen=True):
    """One position: conditions under which it surely holds, one state of it, and what was answered there.

    conditions: nodes of the program, each once, in order. of: what it is a position of. stands: the contacts
    that are closed and the coils that are in, in that state.
    """

    conditions: tuple[int, ...]
    of: tuple[Thing | str, ...]
    stands: tuple[Bits, frozenset[str]]
    answers: dict[Thing, Answer]


class Cubes:
    """Cubes by their conditions. Where two hold at once they are one position: its answers are the same."""

    def __init__(self) -> None:
        self.count = 0
        self._whole: Cube | None = None  # whose conditions end here: whatever else is so, it holds
        self._children: dict[int, Cubes | Cube] = {}  # the next condition -> what begins so

    def add(self, cube: Cube) -> None:
        """Put it where its conditions end, or where no other begins with so many of them."""
        self.count += 1
        at, depth = self, 0
        while depth < len(cube.conditions):
            condition = cube.conditions[depth]
            child = at._children.get(condition)
            if child is None:
                at._children[condition] = cube
                return
            depth += 1
            if isinstance(child, Cube):
                fork = at._children[condition] = Cubes()
                fork._begin(child, depth)
                child = fork
            at = child
        at._whole = cube

    def _begin(self, cube: Cube, depth: int) -> None:
        """The first one below a branch of so many conditions."""
        if depth == len(cube.conditions):
            self._whole = cube
        else:
            self._children[cube.conditions[depth]] = cube

    def within(self, where: int, value: Callable[[int], int]) -> Iterator[tuple[Cube, int]]:
        """Cubes that hold somewhere in `where`, with where: each place in which one holds is in one of them.

        value: where a node is true.
        """
        stack: list[tuple[Cubes | Cube, int, int]] = [(self, 0, where)]
        while stack:
            at, depth, here = stack.pop()
            if isinstance(at, Cube):
                for condition in at.conditions[depth:]:
                    here &= value(condition)
                    if not here:
                        break
                else:
                    yield at, here
            elif at._whole is not None:
                yield at._whole, here
            else:
                for condition, child in at._children.items():
                    if inside := here & value(condition):
                        stack.append((child, depth + 1, inside))
