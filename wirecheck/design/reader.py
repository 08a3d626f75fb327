"""Text to tree: YAML 1.2 with every scalar as text, a place on each key and value.

One pass over the parser's events both refuses what is not allowed (aliases, anchors, tags, depth,
duplicate keys) and builds the tree. Nothing is typed by YAML: `NO` and `01` stay what they are.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import yaml
from yaml import events as ev

from wirecheck.design.tree import Items, Source, Stretch, Table
from wirecheck.design.yaml_words import around, plainly
from wirecheck.limits import DEPTH, FILE_BYTES
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

LONG = 100_000  # characters; the plain parser would take seconds for more
COMMENT = re.compile(r"(^|[ \t])#.*")
# The C parser is 10 times faster, where it is built.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
TEXTS: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


def read_tree(path: str | Path) -> tuple[Table, list[Problem]]:
    """The mapping that a file holds, and what is refused of it. Raises BadInput where there is no mapping."""
    return parse_all(read_text(path), str(path))


def read_text(path: str | Path, most: int = FILE_BYTES, wanted: str = "a unit or change file") -> str:
    """The text of a file, UTF-8, of at most so many bytes. wanted: what it should be. Raises BadInput."""
    file = str(path)
    try:
        if Path(path).is_dir():
            _stop("is-directory", f"this is a directory; {wanted} was expected.", Place(file))
        with Path(path).open("rb") as stream:
            data = stream.read(most + 1)
    except FileNotFoundError:
        _stop("no-such-file", f"there is no such file.{_beside(Path(path))}", Place(file))
    except OSError as error:
        _stop("cannot-read", f"the file cannot be read: {error.strerror}.", Place(file))
    except ValueError:  # a NUL in the name itself
        _stop("no-such-file", "this cannot be the name of a file.", Place(file.replace("\0", "?")))
    return _decoded(data, file, most)


def _beside(path: Path) -> str:
    from wirecheck.problem import meant

    try:
        names = [p.name for p in path.parent.iterdir() if p.suffix in (".yaml", ".yml")]
    except OSError:
        return ""
    return meant(path.name, names)


def _decoded(data: bytes, file: str, most: int) -> str:
    if len(data) > most:
        _stop("file-too-large", f"the file is longer than {most // 1_000_000} MB.", Place(file))
    nul = data.find(b"\0")
    if nul >= 0:
        _stop(
            "binary-file", "this is a binary file, not text (it has NUL bytes).", _place_at(data, nul, file)
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = f"the text is not UTF-8: byte 0x{data[error.start]:02X} found. Save the file as UTF-8."
        _stop("not-utf-8", message, _place_at(data, error.start, file))
    if not text.strip():
        _stop("empty-file", "the file is empty.", Place(file))
    return text


def _place_at(data: bytes, index: int, file: str) -> Place:
    line_start = data.rfind(b"\n", 0, index) + 1
    column = len(data[line_start:index].decode("utf-8-sig", "replace")) + 1
    return Place(file, data.count(b"\n", 0, index) + 1, column)


def parse(text: str, file: str) -> Table:
    """The mapping that a text holds; `file` names it in places. Raises BadInput with every problem."""
    root, problems = parse_all(text, file)
    if problems:
        raise BadInput(problems, {file: text})
    return root


def own(text: str) -> dict[str, Any]:
    """The mapping of a file of the library that nobody is told places of: every scalar as text."""
    found: dict[str, Any] = yaml.load(text, Loader=TEXTS)  # noqa: S506 - it makes text, lists, mappings only
    return found


def parse_all(text: str, file: str) -> tuple[Table, list[Problem]]:
    """The same as far as it can be read, and what is refused of it.

    Of a key that stands twice the first value counts that there is. An alias reads as nothing, and so does a
    key that is no text.
    """
    _refuse_tabs(text, file)
    builder = _Builder(text, file)
    try:
        root = builder.build(yaml.parse(text, Loader=LOADER))
    except yaml.YAMLError as error:
        raise BadInput([*builder.problems, _syntax(text, file, error)], {file: text}) from None
    if builder.problems and not isinstance(root, Table):
        raise BadInput(builder.problems, {file: text})
    if not isinstance(root, Table):
        found = "list" if isinstance(root, Items) else "text"
        message = f"the file holds a {found}; a mapping was expected: lines of the form `name: value`."
        _stop("not-a-mapping", message, builder.root_place, text)
    return root, builder.problems


def _refuse_tabs(text: str, file: str) -> None:
    """No tab outside comments: parsers differ on where one may stand, and none may in front of a line."""
    if "\t" not in text:
        return
    lines = text.split("\n")
    bad = [n for n, line in enumerate(lines) if "\t" in COMMENT.sub("", line)]
    if bad:
        more = f" ({len(bad)} lines have one)" if len(bad) > 1 else ""
        message = f'a tab{more}; put spaces there. A tab within a text is written "\\t".'
        _stop("tab", message, Place(file, bad[0] + 1, lines[bad[0]].index("\t") + 1), text)


def _syntax(text: str, file: str, error: yaml.YAMLError) -> Problem:
    """The problem of a text that is no YAML, in the words of the plain parser on every machine."""
    try:
        if len(text) < LONG:
            _Builder(text, file).build(yaml.parse(text, Loader=yaml.SafeLoader))
    except yaml.YAMLError as plain:
        error = plain
    except BadInput as deep:  # the C parser gives up on depth by itself
        return deep.problems[-1]
    if isinstance(error, yaml.MarkedYAMLError):
        mark = error.problem_mark or error.context_mark
        place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file)
        what = error.problem or "not understood"
        if "nesting depth" in what:  # of a text too long for the plain parser
            return Problem("too-deep", f"nested more than {DEPTH} deep.", place)
        return Problem("not-yaml", plainly(what), place, _context(error, file))
    position = getattr(error, "position", None)
    if isinstance(position, int):
        before = text[:position]
        place = Place(file, before.count("\n") + 1, position - before.rfind("\n"))
        return Problem("unprintable", f"an unprintable character, U+{ord(text[position]):04X}.", place)
    return Problem("not-yaml", "not understood as YAML.", Place(file))


def _context(error: yaml.MarkedYAMLError, file: str) -> tuple[tuple[Place, str], ...]:
    mark = error.context_mark
    if mark is None or error.context is None or mark == error.problem_mark:
        return ()
    return ((Place(file, mark.line + 1, mark.column + 1), around(error.context)),)


def _stop(code: str, message: str, place: Place, text: str = "") -> NoReturn:
    raise BadInput([Problem(code, message, place)], {place.file: text})


class _Builder:
    """Events to tree. What is refused is noted, and reading goes on where it can."""

    def __init__(self, text: str, file: str) -> None:
        self.source = Source(file, text)
        self.lines = text.split("\n")
        self.problems: list[Problem] = []
        self.root_place = Place(file)
        self.end = 0  # of the last scalar or closing brace: where the value before ends, comments left out

    def build(self, events: Iterator[ev.Event]) -> Any:
        """The first document's tree; a second document is a problem."""
        root: Any = None
        documents = 0
        for event in events:
            if isinstance(event, ev.DocumentStartEvent):
                documents += 1
                self._document(event, documents)
                if documents > 1:
                    return root
            elif isinstance(event, ev.NodeEvent):
                root = self._node(event, events, 1)
                self.root_place = self._place(event)
        if documents == 0:
            self._note("empty-file", "the file holds nothing but comments.", self.root_place)
        return root

    def _document(self, event: ev.DocumentStartEvent, number: int) -> None:
        if number > 1:
            self._note(
                "two-documents", "a second document begins here; a file holds one.", self._place(event)
            )
        if event.tags:
            self._note("tag", "a %TAG line; tags are not allowed here.", self._place(event))

    def _node(self, event: ev.Event, events: Iterator[ev.Event], depth: int) -> Any:
        place = self._place(event)
        if depth > DEPTH:
            self._note("too-deep", f"nested more than {DEPTH} deep.", place)
            raise BadInput(self.problems, {self.source.file: self.source.text})
        self._refuse(event, place)
        if isinstance(event, ev.MappingStartEvent):
            return self._table(event, events, depth)
        if isinstance(event, ev.SequenceStartEvent):
            items = Items(place)
            while not isinstance(child := next(events), ev.SequenceEndEvent):
                items.put(self._node(child, events, depth + 1), self._place(child))
                items.stretches.append(self._stretch(child))
            items.flow = self._closed(event, child)
            return items
        self._ended(event)
        return event.value if isinstance(event, ev.ScalarEvent) else ""

    def _ended(self, event: ev.Event) -> None:
        """A text in lines of its own (`|`, `>`) ends with its last word."""
        start, end = event.start_mark, event.end_mark
        if start is not None and end is not None:
            self.end = start.index + len(self.source.text[start.index : end.index].rstrip())

    def _closed(self, event: ev.CollectionStartEvent, end: ev.Event) -> bool:
        """Is it written in braces? Then it ends with the closing one."""
        if event.flow_style and end.end_mark is not None:
            self.end = end.end_mark.index
        return bool(event.flow_style)

    def _stretch(self, event: ev.Event) -> Stretch:
        """From an event to the end of what was read last."""
        start = self.end if event.start_mark is None else event.start_mark.index
        return Stretch(start, max(start, self.end))

    def _table(self, event: ev.MappingStartEvent, events: Iterator[ev.Event], depth: int) -> Table:
        table = Table(self._place(event), self.source)
        while not isinstance(first := next(events), ev.MappingEndEvent):
            key_at = self._place(first)
            key = self._node(first, events, depth + 1)
            second = next(events)
            at, value = self._place(second), self._node(second, events, depth + 1)
            name = key if isinstance(key, str) else ""
            if not isinstance(key, str):
                self._note("key-not-text", "a key is a text, not a list or a mapping.", key_at)
            elif key in table:
                also = ((table.keys_at[key], "first here"),)
                self._note("duplicate-key", f"`{key}` stands twice in one mapping.", key_at, also)
                table.twice.add(key)
            if name not in table or table[name] == "":
                table.put(name, value, key_at, at)
                table.stretches[name] = self._stretch(second)
                table.key_starts[name] = 0 if first.start_mark is None else first.start_mark.index
        table.flow = self._closed(event, first)
        return table

    def _refuse(self, event: ev.Event, place: Place) -> None:
        anchor = getattr(event, "anchor", None)
        if isinstance(event, ev.AliasEvent):
            self._note("alias", f"*{anchor} is an alias; write out what it stands for.", place)
        elif anchor is not None:
            self._note("anchor", f"&{anchor} is an anchor; aliases are not allowed, so it has no use.", place)
        tag = getattr(event, "tag", None)
        if tag is not None:
            self._note("tag", f"the tag {_short(tag)}; every value is plain text here.", place)

    def _place(self, event: ev.Event) -> Place:
        start, end = event.start_mark, event.end_mark
        if start is None or end is None:
            return self.root_place
        width = end.column - start.column if end.line == start.line else 0
        nothing = isinstance(event, ev.ScalarEvent) and start.index == end.index
        if width < 1 and not nothing:  # what begins here: to the end of the line
            width = len(self.lines[start.line].rstrip()) - start.column if start.line < len(self.lines) else 1
        return Place(self.source.file, start.line + 1, start.column + 1, max(width, 1))

    def _note(
        self, code: str, message: str, place: Place, others: tuple[tuple[Place, str], ...] = ()
    ) -> None:
        self.problems.append(Problem(code, message, place, others))


def _short(tag: str) -> str:
    return tag.replace("tag:yaml.org,2002:", "!!")
