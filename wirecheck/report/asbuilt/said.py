"""What becomes of devices and what they rest on, of sentences, of what is held and of what cannot be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wirecheck.circuit.bind import names_in
from wirecheck.circuit.follow import Renames, plain
from wirecheck.condition import And, Atom, Condition, Not, Or, parse_condition, parse_sentence
from wirecheck.design.edits import Edit, flow, line_end, line_start, one_line, scalar
from wirecheck.design.tree import Table
from wirecheck.report.asbuilt.section import Altered, Gone, Kept, New, Planned
from wirecheck.report.asbuilt.wires import listed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Changed


@dataclass
class Saying:
    """The plans of all sections but those of the conductors."""

    unit: Table
    change: Table
    changed: Changed

    def __post_init__(self) -> None:
        self.by = one_line(self.changed.name)
        self.rename = Renames(self.changed.replaced)

    def brought(self, section: str) -> list[Planned]:
        """`supplies`, `conditions`, `types`: the unit's, and those that only the change has."""
        own, more = table(self.unit, section), table(self.change, section)
        return [*map(Kept, own), *(self._new(section, name) for name in more if name not in own)]

    def _new(self, section: str, name: str) -> New:
        return New(written(self.change[section], name), f"brought by: {self.by}")

    def devices(self) -> list[Planned]:
        """What replaces a device stands where that did; what is fitted stands at the end."""
        stay, brought = self.changed.after.devices, self.changed.brought
        plan: list[Planned] = []
        placed: set[str] = set()
        for tag in table(self.unit, "devices"):
            if tag in stay and tag not in brought:
                plan.append(Kept(tag))
                continue
            now = self._followed(tag)
            plan.append(Gone(tag, f"{'replaced' if now else 'taken out'} by: {self.by}"))
            plan += [self._new("devices", now)] if now and now not in placed else []
            placed.add(now)
        fitted = [tag for tag in stay if tag in brought and tag not in placed]
        return [*plan, *(self._new("devices", tag) for tag in fitted)]

    def _followed(self, tag: str) -> str:
        """The device that stands in the place of one that was replaced, once or more; "" where none does."""
        now = tag
        for step in self.changed.replaced:
            now = step.new if now == step.old else now
        return now if now in self.changed.after.devices and now in self.changed.brought else ""

    def expects(self) -> list[Planned]:
        """The unit's sentences, with the names that things have now, but those dropped; then the change's."""
        dropped = {plain(text) for text in self.changed.terms.drops}
        own = listed(self.unit, "expects")
        plan = [
            Gone(k, f"retired by: {self.by}")
            if plain(text) in dropped
            else self._line("expects", k, renamed_sentence(text, self.rename))
            for k, text in enumerate(own)
        ]
        return [*plan, *self._more("expects", own, dropped)]

    def impossible(self) -> list[Planned]:
        """The same; a combination that names a device that is gone goes with it."""
        own = listed(self.unit, "impossible")
        plan = [
            self._line("impossible", k, renamed_condition(text, self.rename))
            if self._stands(text)
            else Gone(k, f"its device was taken out by: {self.by}")
            for k, text in enumerate(own)
        ]
        return [*plan, *self._more("impossible", own, set())]

    def _stands(self, text: str) -> bool:
        names = names_in(parse_condition(text))
        return all(self.rename(name).partition(".")[0] in self.changed.after.devices for name in names)

    def _line(self, section: str, key: int, now: str) -> Planned:
        items = self.unit[section]
        if now == items[key]:
            return Kept(key)
        stretch = items.stretches[key]
        edit = Edit(stretch.start, stretch.end, scalar(now))
        return Altered(key, (edit,), now, why=f"names follow what was replaced by: {self.by}")

    def _more(self, section: str, own: list[str], gone: set[str]) -> Iterator[New]:
        known = {plain(text) for text in own} - gone
        for text in listed(self.change, section):
            if plain(text) not in known:
                known.add(plain(text))
                yield New((scalar(text),), f"brought by: {self.by}")

    def given(self) -> list[Planned]:
        """What is held, under the names that things have now."""
        own, more = table(self.unit, "given"), table(self.change, "given")
        plan: list[Planned] = []
        for name in own:
            now = self.rename(name)
            if now.partition(".")[0] not in self.changed.after.devices:
                plan.append(Gone(name, f"its device was taken out by: {self.by}"))
            elif now == name:
                plan.append(Kept(name))
            else:
                start = own.key_starts[name]
                edit = Edit(start, start + own.keys_at[name].width, scalar(now))
                why = f"follows what was replaced by: {self.by}"
                plan.append(Altered(name, (edit,), own[name], now, why))
        held = {self.rename(name) for name in own}
        return [*plan, *(self._new("given", name) for name in more if name not in held)]


def table(root: Table, section: str) -> Table:
    """The entries of a section; none where there is no such section."""
    found = root.get(section)
    return found if isinstance(found, Table) else Table(root.place, root.source)


def written(section: Table, name: str) -> tuple[str, ...]:
    """An entry as its author wrote it, without indent, with the comments on it where they can be told."""
    text, start = section.source.text, section.key_starts[name]
    first, end = line_start(text, start), line_end(text, section.stretches[name].end)
    indent = text[first:start]
    lines = text[first:end].splitlines()
    deeper = all(not line.strip() or line.startswith(indent) for line in lines)
    if section.flow or indent.strip() or not deeper:
        return (f"{scalar(name)}: {flow(section[name])}",)
    return tuple(line.removeprefix(indent).rstrip() for line in lines)


def renamed_sentence(text: str, rename: Renames) -> str:
    """A sentence with the names that things have now."""
    said = parse_sentence(text)
    parts = (said.condition,) if said.until is None else (said.condition, said.until)
    found = [(said.subject_column, said.subject)] if said.subject is not None else []
    return _renamed(text, [*found, *(spot for part in parts for spot in _spots(part))], rename)


def renamed_condition(text: str, rename: Renames) -> str:
    """A combination with the names that things have now."""
    return _renamed(text, [*_spots(parse_condition(text))], rename)


def _spots(part: Condition) -> Iterator[tuple[int, str]]:
    """Column and name of every atom but quantities."""
    match part:
        case Atom(name=name, column=column):
            yield column, name
        case Not(part=inner):
            yield from _spots(inner)
        case And(parts=parts) | Or(parts=parts):
            for inner in parts:
                yield from _spots(inner)


def _renamed(text: str, spots: list[tuple[int, Any]], rename: Renames) -> str:
    for column, name in sorted(spots, reverse=True):
        start = column - 1
        text = text[:start] + rename(name) + text[start + len(name) :]
    return text
