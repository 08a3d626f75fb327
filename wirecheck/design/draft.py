"""One file on the way from tree to model: problems gather, what is sound goes on, echoes are left out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pydantic import ValidationError

from wirecheck.design.broken import Broken, LostStep, section
from wirecheck.design.fields import name_fault
from wirecheck.design.models import Device, DeviceType, Quantity
from wirecheck.design.prune import HEADS, UNNAMED, pruned
from wirecheck.design.tree import Items, Source, Table
from wirecheck.design.typecheck import check_type
from wirecheck.design.types import Types, built_in_names, resolve
from wirecheck.design.words import problems_of, unknown_key
from wirecheck.problem import BadInput, Place, Problem, meant, near

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from pydantic import BaseModel

    from wirecheck.design.base import Model

Made = TypeVar("Made", bound="Model")
Other = TypeVar("Other", bound="Model")

BY_NAME = ("types", "conditions", "devices")  # sections read entry by entry
SURELY = 0.8  # likeness from which on a section is read as the one meant; `notes` and `types` have 0.67
LISTS = ("wires", "rungs", "expects", "steps")
SECTIONS = (*BY_NAME, "supplies", *LISTS)
TELLS_TERMINALS = ("type", "terminals", "leads")
# What says nothing of terminals, positions and set points: without it the rest can be judged.
ASIDE = ("about", "label", "external", "isolates", "stacks", "contact")


@dataclass
class Known:
    """What this file and those before it define. broken: names that they define, but wrongly."""

    types: dict[str, DeviceType] = field(default_factory=dict)
    conditions: dict[str, Quantity] = field(default_factory=dict)
    broken: Broken = field(default_factory=Broken)


class Draft(Generic[Made]):
    """One file. made: what is sound of it, its wrong devices as their types alone. lost: steps left out.

    declared: where each device stands, wrong ones too.
    """

    def __init__(
        self, tree: Table, model: type[Made], head: str, known: Known, problems: Iterable[Problem]
    ) -> None:
        self.texts = {tree.source.file: tree.source.text}
        self.known = Known(dict(known.types), dict(known.conditions), known.broken)
        self.problems = list(problems)
        self.refused = {p.place for p in self.problems if p.code in ("alias", "key-not-text")}
        self.nowhere: set[str] = set()
        self.lost: tuple[LostStep, ...] = ()
        self.sound: dict[str, Table] = {}
        self.tree = self._as_meant(tree, head, [*model.model_fields])
        self._break(map(section, self.tree.twice))
        self._types()
        self._section("conditions", Quantity, self.known.conditions)
        self._devices()
        self.made = self._file(model, head)
        self.problems = self.known.broken.left(self.problems)
        self._break(self.nowhere)

    @classmethod
    def unread(cls, model: type[Made], head: str, known: Known, bad: BadInput) -> Draft[Made]:
        """In place of a file that cannot be read: an empty one, which may define any name."""
        file = next((p.place.file for p in bad.problems), "")
        name = Table(Place(file), Source(file, ""))
        name.put("name", UNNAMED, name.place, name.place)
        tree = Table(Place(file), Source(file, ""))
        tree.put(head, name, tree.place, tree.place)
        draft = cls(tree, model, head, known, bad.problems)
        draft.texts = dict(bad.texts)
        draft._break(map(section, SECTIONS))
        return draft

    def _as_meant(self, tree: Table, head: str, keys: list[str]) -> Table:
        """The tree with misspelt sections under the names that were meant; each is a problem."""
        found = Table(tree.place, tree.source)
        found.twice = tree.twice
        for key, value in tree.items():
            name = key
            if key not in keys:
                self._note([unknown_key("the file", key, keys, tree.keys_at[key])])
                headed = key not in HEADS and isinstance(value, Table) and "name" in value
                likely = [head] if headed else near(key, keys, SURELY)
                name = next((k for k in likely if k not in tree and k not in found), "")
            if name:
                found.put(name, value, tree.keys_at[key], tree.places[key])
            else:
                self._break(_strange(value))
        return found

    def _note(self, problems: Iterable[Problem]) -> None:
        """What stands at an alias, or under no name, has been refused already; there is nothing to judge."""
        self.problems += [p for p in problems if p.place not in self.refused]

    def _once(self, problems: Iterable[Problem]) -> None:
        """A type or quantity that is nowhere is one problem, not one of every device that names it."""
        for problem in problems:
            name = problem.about[0] if problem.code in ("unknown-type", "unknown-condition") else None
            if name is None or name not in self.nowhere:
                self._note([problem])
            self.nowhere.update([name] if name else [])

    def _break(self, names: Iterable[str]) -> None:
        self.known.broken = self.known.broken.also(names)

    def _file(self, model: type[Made], head: str) -> Made:
        """The whole file, what errors lie in left out."""
        if head not in self.tree:  # perhaps another kind of file
            self._break(map(section, SECTIONS))
        tree = self.tree
        while True:
            try:
                made = model.model_validate(tree.replaced(**self.sound), by_alias=True, by_name=False)
            except ValidationError as error:
                self._note(problems_of(error, tree, model))
                left = pruned(tree, error, head)
                self._break(left.names)
                self.lost += left.steps
                tree = left.tree
                continue
            made._tree = tree
            return made

    def _tried(self, model: type[Other], data: Any, at: tuple[str, ...]) -> tuple[Other | None, set[str]]:
        """What stands at a place, and the keys of it in which errors lie; the errors are noted."""
        try:
            return model.model_validate(data, by_alias=True, by_name=False), set()
        except ValidationError as error:
            self._note(problems_of(error, self.tree, model, at))
            return None, {str(key) for details in error.errors() for key in details["loc"][:1]}

    def _entries(self, where: str) -> Table | dict[str, Any]:
        entries = self.tree.get(where)
        return entries if isinstance(entries, Table) else {}

    def _well_named(self, where: str, name: str) -> bool:
        """Is this the name of one entry?"""
        entries = self.tree[where]
        bad = name_fault(name)
        if bad is not None:
            self._note([Problem("bad-name", bad, entries.keys_at[name])])
        elif not name:
            message = f"{where}: nothing is given; write the name, or leave the entry out."
            self._note([Problem("empty-value", message, entries.keys_at[name])])
        if bad is not None or not name:
            self._break([section(where)])  # what is called Heater 1 here may be H1 elsewhere
        if name in entries.twice:
            self._break([name])
        return bad is None and name not in ("", *entries.twice)

    def _section(self, where: str, model: type[Other], into: dict[str, Other]) -> None:
        """Each entry of a section by itself, so that one fault hides no other."""
        sound: dict[str, Any] = {}
        for name, entry in self._entries(where).items():
            named = self._well_named(where, name)
            if not named and not isinstance(entry, Table):
                continue  # `F1 {type: fuse}` without its colon is one mistake, of the name
            made, _ = self._tried(model, entry, (where, name))
            if made is None:
                self._break([name])
            elif named:
                sound[name] = into[name] = made
        self._keep(where, sound)

    def _keep(self, where: str, sound: Mapping[str, BaseModel]) -> None:
        entries = self.tree.get(where)
        if isinstance(entries, Table):
            table = Table(entries.place, entries.source)
            for name, made in sound.items():
                table.put(name, made, entries.keys_at[name], entries.places[name])
            self.sound[where] = table

    def _types(self) -> None:
        self._section("types", DeviceType, self.known.types)
        for name in self._entries("types"):
            kind = self.known.types.get(name)
            place = self.tree["types"].keys_at[name]
            if name in built_in_names():
                message = f"{name} is a built-in type; give yours another name."
                self._note([Problem("type-is-built-in", message, place)])
            elif kind is not None and not self.known.broken.hides([name]):
                faults = [*check_type(name, kind)] or self._defaults(name, kind)
                self._note(faults)
                if faults:
                    self._break([name])

    def _defaults(self, name: str, kind: DeviceType) -> list[Problem]:
        if not kind.defaults:
            return []
        model = Types({name: kind}).fields(name)
        at = ("types", name, "defaults")
        try:
            model.model_validate({"type": name, **kind.defaults}, by_alias=True, by_name=False)
        except ValidationError as error:
            return list(problems_of(error, self.tree, model, at))
        return []

    def _devices(self) -> None:
        """Each device; of one that is wrong, what its type alone says is kept, for its terminals."""
        sound: dict[str, Device] = {}
        types = Types(self.known.types)
        entries = self._entries("devices")
        self.declared = {tag: self.tree["devices"].keys_at[tag] for tag in entries}
        for tag, entry in entries.items():
            named = self._well_named("devices", tag)
            model = self._model_of(tag, entry, types) if named or isinstance(entry, Table) else None
            made = None if model is None else self._device(tag, entry, model, types)
            if model is not None and made is None:
                made = _bare(tag, entry, model, types)
            if made is not None and named:
                sound[tag] = made
        self._keep("devices", sound)

    def _device(self, tag: str, entry: Any, model: type[Device], types: Types) -> Device | None:
        """A device that is sound but for what lies aside; None where it is not, and its name is broken."""
        made, faulty = self._tried(model, entry, ("devices", tag))
        if faulty and isinstance(entry, Table) and all(_aside(key, model) for key in faulty):
            made = model.model_validate(_without(entry, faulty), by_alias=True, by_name=False)
        elif made is None:
            self._break([tag])
        try:
            if made is not None:
                resolve(tag, made, types, self.known.conditions)
        except BadInput as bad:
            self._once(bad.problems)
            self._break([tag])
            return None
        return made

    def _model_of(self, tag: str, entry: Any, types: Types) -> type[Device] | None:
        """The model of a device by its type; None where that is unknown (a problem) or broken."""
        name = entry.get("type") if isinstance(entry, Table) else None
        if isinstance(name, str) and name in types and not self.known.broken.hides([name]):
            return types.fields(name)
        self._break([tag])
        if not isinstance(entry, Table):
            self._tried(Device, entry, ("devices", tag))
        elif "type" not in entry and "" not in entry:
            self._typeless(tag, entry)
        elif "type" not in entry:
            return None
        elif not isinstance(name, str) or not name.strip():
            self._tried(Device, _only(entry, ("type",)), ("devices", tag))
        else:
            message = f"{tag}: no device type is called {name}.{meant(name, types)}"
            about = (name, section("types"))
            self._once([Problem("unknown-type", message, entry.places["type"], about=about)])
        return None

    def _typeless(self, tag: str, entry: Table) -> None:
        misspelt = next((key for key in entry if near(key, ["type"])), None)
        if misspelt is not None:
            known = [*Device.model_fields]
            self._note([unknown_key(tag, misspelt, known, entry.keys_at[misspelt])])
            return
        message = f"{tag} has no `type`, such as pressure-switch or contactor-1p."
        self._note([Problem("missing-key", message, self.tree["devices"].keys_at[tag])])


def _strange(value: Any) -> Iterator[str]:
    """The names that a section of no known name may define."""
    if isinstance(value, Table):
        yield from value
    elif isinstance(value, Items):
        yield from map(section, LISTS)


def _aside(key: str, model: type[Device]) -> bool:
    """Is a key, or the one that was probably meant by it, one of those that lie aside?"""
    known = [info.alias or name for name, info in model.model_fields.items()]
    likely = (key,) if key in known else near(key, known)[:1]
    return any(name in ASIDE for name in likely)


def _only(entry: Table, keys: Iterable[str]) -> Table:
    return _without(entry, set(entry).difference(keys))


def _without(entry: Table, keys: set[str]) -> Table:
    table = Table(entry.place, entry.source)
    for key, value in entry.items():
        if key not in keys:
            table.put(key, value, entry.keys_at[key], entry.places[key])
    return table


def _bare(tag: str, entry: Any, model: type[Device], types: Types) -> Device | None:
    """A device with nothing but what tells its terminals, as far as that is sound."""
    for keys in ((*TELLS_TERMINALS, "stacks"), TELLS_TERMINALS):
        try:
            made = model.model_validate(_only(entry, keys), by_alias=True, by_name=False)
            resolve(tag, made, types, {})
        except (ValidationError, BadInput):
            continue
        return made
    return None
