"""Names that a file defines, but wrongly: a problem that speaks of one of them is an echo, and not said.

A name hides what it is a part of: W7 also W7.a, K1 also K1.cool. Beside plain names there are four kinds of
words that no name of a file can be, as they hold a blank or a bracket.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.problem import Place, Problem

LOOKS = "(looks)"  # of some conductor: what can be seen of it
SPLICES = "(splices)"  # some splice that a step makes
MOVED = "(moved)"  # some conductor that a step moves: where its ends are


def section(name: str) -> str:
    """Whatever a section defines: it could not be read, so any name may be one of its."""
    return f"({name})"


NODES = (section("devices"), section("supplies"))
CONDUCTORS = (section("wires"), section("rungs"))


def inside_of(tag: str) -> tuple[str, str]:
    """A device, and which terminals and positions it has."""
    return tag, f"inside {tag}"


def room(node: str) -> str:
    """How many conductors a terminal has."""
    return f"room at {node}"


def at(node: str) -> tuple[str, str]:
    """Which conductors end at a node, and so at its device."""
    return f"at {node}", seen_at(node.partition(".")[0])


def seen_at(end: str) -> str:
    """Which conductors end at a node, or at a whole device, as it is said of what can be seen."""
    return f"at {end}" if "." in end else f"at all of {end}"


class Broken(Struct, frozen=True):
    """Names that nothing is said about."""

    names: frozenset[str] = frozenset()

    def also(self, names: Iterable[str]) -> Broken:
        """These names too."""
        return Broken(self.names.union(names))

    def hides(self, about: Iterable[str]) -> bool:
        """Is one of the names, or what it is a part of, broken?"""
        return any(part in self.names for name in about for part in _parts(name))

    def left(self, problems: Iterable[Problem]) -> list[Problem]:
        """Those that are no echoes."""
        return [problem for problem in problems if not self.hides(problem.about)]


def _parts(name: str) -> Iterator[str]:
    """W7.a -> W7, W7.a."""
    for i, letter in enumerate(name):
        if letter == ".":
            yield name[:i]
    yield name


class LostStep(Struct, frozen=True):
    """A step that cannot be read: what it would have done is unknown from its place on.

    key: its first key, perhaps the thing to do. names: every text in it.
    """

    place: Place
    key: str
    names: tuple[str, ...]
