"""One section of a unit file and what becomes of each entry, as edits of the text or as text of its own."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.design.edits import ODD_BREAK, Edit, flow, line_end, line_start, scalar
from wirecheck.design.tree import Items, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

INDENT = "  "
AFTER_VALUE = re.compile(r"[ \t]*(#.*)?\r?$")


class Kept(Struct, frozen=True):
    """An entry that stays as it is. key: its name, or its number in a list."""

    key: Any


class Altered(Struct, frozen=True):
    """An entry of which some texts change. name, value: what it is then."""

    key: Any
    edits: tuple[Edit, ...]
    value: Any
    name: str = ""
    why: str = ""


class Gone(Struct, frozen=True):
    """An entry that goes; its text stays as a comment."""

    key: Any
    why: str


class New(Struct, frozen=True):
    """An entry that comes, as lines without indent: `name: value` or the value of a list."""

    lines: tuple[str, ...]
    why: str


Planned = Kept | Altered | Gone | New


@dataclass
class Section:
    """A section of the file `root`, what is planned for it, and what could not be kept."""

    root: Table
    name: str
    plan: list[Planned] = field(default_factory=list)

    @property
    def node(self) -> Table | Items | None:
        found = self.root.get(self.name)
        return found if isinstance(found, Table | Items) else None

    @property
    def text(self) -> str:
        return self.root.source.text

    @property
    def changes(self) -> bool:
        """Is anything planned but to keep?"""
        return any(not isinstance(entry, Kept) for entry in self.plan)

    @property
    def is_list(self) -> bool:
        return self.name in ("wires", "rungs", "expects", "impossible")

    @property
    def tidy(self) -> bool:
        """Does each entry stand on lines of its own, so that they can be edited one by one?"""
        node, text = self.node, self.text
        if self.root.flow or node is None or node.flow or not len(node) or ODD_BREAK.search(text):
            return False
        at = 0
        for key in keys(node):
            start, end = self.lines_of(key)
            before = text[start : self._starts(key)].replace(" ", "")
            after = text[node_stretch(node, key)[1] : end]
            if start < at or before != ("-" if self.is_list else "") or not AFTER_VALUE.fullmatch(after):
                return False
            at = end
        return True

    def _starts(self, key: Any) -> int:
        node = self.node
        return node.key_starts[key] if isinstance(node, Table) else node_stretch(node, key)[0]

    def lines_of(self, key: Any) -> tuple[int, int]:
        """The characters of an entry's lines, the last line break left out."""
        return line_start(self.text, self._starts(key)), line_end(self.text, node_stretch(self.node, key)[1])

    def edits(self) -> Iterator[Edit]:
        """The plan as edits of a tidy section."""
        first = keys(self.node)[0]
        start = self.lines_of(first)[0]
        indent = self.text[start : start + re.match(r" *", self.text[start:]).end()]  # type: ignore[union-attr]
        at, said = None, ""
        if not any(not isinstance(entry, Gone) for entry in self.plan):
            yield self._emptied()
        for entry in self.plan:
            if isinstance(entry, New):
                lines = [f"{indent}# {entry.why}"] if entry.why != said else []
                yield self._put([*lines, *(indent + line for line in self._written(entry.lines))], at)
            else:
                yield from () if isinstance(entry, Kept) else self._changed(entry, indent)
                at = entry.key
            said = entry.why if isinstance(entry, New) else ""

    def _put(self, lines: list[str], after: Any) -> Edit:
        """New lines after an entry, or before the first."""
        end = newline(self.text)
        if after is not None:
            at = self.lines_of(after)[1]
            return Edit(at, at, "".join(end + line for line in lines))
        at = self.lines_of(keys(self.node)[0])[0]
        return Edit(at, at, "".join(line + end for line in lines))

    def _written(self, lines: tuple[str, ...]) -> list[str]:
        if not self.is_list:
            return [*lines]
        return [("- " if k == 0 else "  ") + line for k, line in enumerate(lines)]

    def _changed(self, entry: Altered | Gone, indent: str) -> Iterator[Edit]:
        start, end = self.lines_of(entry.key)
        told = f"{indent}# {entry.why}{newline(self.text)}" if entry.why else ""
        if isinstance(entry, Altered):
            yield Edit(start, start, told)
            yield from entry.edits
        else:
            lines = [line.removeprefix(indent) for line in self.text[start:end].splitlines()]
            yield Edit(start, end, told + newline(self.text).join(f"{indent}# {line}" for line in lines))

    def _emptied(self) -> Edit:
        at = self.text.index(":", self.root.key_starts[self.name]) + 1
        return Edit(at, at, " []" if self.is_list else " {}")

    def whole(self) -> list[str]:
        """The plan as lines of its own, of a section that is new or written in braces."""
        lines, said = [], ""
        for entry in self.plan:
            why = "" if isinstance(entry, Kept) else entry.why
            lines += [f"{INDENT}# {why}"] if why and not (isinstance(entry, New) and why == said) else []
            said = why if isinstance(entry, New) else ""
            mark = "# " if isinstance(entry, Gone) else ""
            lines += [f"{INDENT}{mark}{line}" for line in self._written(self._as_lines(entry))]
        left = any(not isinstance(entry, Gone) for entry in self.plan)
        return [f"{self.name}:" + ("" if left else " []" if self.is_list else " {}"), *lines]

    def _as_lines(self, entry: Planned) -> tuple[str, ...]:
        if isinstance(entry, New):
            return entry.lines
        value = entry.value if isinstance(entry, Altered) else self.root[self.name][entry.key]
        name = (isinstance(entry, Altered) and entry.name) or entry.key
        return (flow(value),) if self.is_list else (f"{scalar(name)}: {flow(value)}",)


def keys(node: Table | Items | None) -> list[Any]:
    """The names of a table's entries, or the numbers of a list's."""
    return [*node] if isinstance(node, Table) else [*range(len(node or ()))]


def node_stretch(node: Table | Items | None, key: Any) -> tuple[int, int]:
    """Where the value of an entry stands."""
    if node is None:
        return 0, 0
    found = node.stretches[key]
    return found.start, found.end


def newline(text: str) -> str:
    """The line break that a text uses."""
    return "\r\n" if "\r\n" in text else "\n"
