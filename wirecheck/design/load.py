"""A unit file and a change file, read and validated; all problems of both at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

from pydantic import ValidationError

from wirecheck.design.cross import check_pair
from wirecheck.design.fields import name_fault
from wirecheck.design.models import ChangeFile, Device, DeviceType, Quantity, UnitFile
from wirecheck.design.reader import read_tree
from wirecheck.design.tree import Table
from wirecheck.design.typecheck import check_type
from wirecheck.design.types import Types, built_in_names, resolve
from wirecheck.design.words import problems_of
from wirecheck.limits import PROBLEMS
from wirecheck.problem import BadInput, Problem, meant

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from pydantic import BaseModel

    from wirecheck.design.base import Model

Made = TypeVar("Made", bound="Model")


def load_unit(path: str | Path) -> UnitFile:
    """The unit file at `path`. Raises BadInput with every problem of it."""
    return read_pair(path, None)[0]


def read_pair(unit_path: str | Path, change_path: str | Path | None) -> tuple[UnitFile, ChangeFile | None]:
    """Unit and change. Raises BadInput with every problem of both."""
    unit_draft, problems, texts = _drafted(unit_path, Known())
    unit = unit_draft.file(UnitFile) if unit_draft else None
    known = unit_draft.known if unit_draft else None
    change = None
    drafts = [unit_draft]
    if change_path is not None:
        draft, more, other_texts = _drafted(change_path, known or Known())
        problems, texts = [*problems, *more], texts | other_texts
        # Without the unit's types and conditions, every use of one would be an echo of the one fault.
        change = draft.file(ChangeFile) if draft and known else None
        drafts.append(draft if known else None)
    if unit is not None and change is not None:
        problems += check_pair(unit, change)
    found = [*(p for d in drafts if d for p in d.problems), *problems]
    if unit is None or found:
        _stop(found, [d for d in drafts if d], texts)
    return unit, change


def _drafted(path: str | Path, known: Known) -> tuple[Draft | None, list[Problem], dict[str, str]]:
    try:
        tree, problems = read_tree(path)
        if problems:
            raise BadInput(problems, {tree.source.file: tree.source.text})
        return Draft(tree, known), [], {}
    except BadInput as bad:
        return None, list(bad.problems), bad.texts


def _stop(
    problems: Iterable[Problem], drafts: Iterable[Draft], texts: Mapping[str, str] | None = None
) -> NoReturn:
    """Raise what was found; at most as many as can be read."""
    found = sorted(set(problems), key=lambda p: (p.place, p.code, p.message))
    if len(found) > PROBLEMS:
        more = f"{len(found) - PROBLEMS} more problems are not shown; mend these first."
        found = [*found[:PROBLEMS], Problem("too-many-problems", more, found[PROBLEMS].place)]
    sources = [draft.tree.source for draft in drafts]
    raise BadInput(found, {**(texts or {}), **{s.file: s.text for s in sources}})


@dataclass
class Known:
    """What other files define. broken: names that are defined, but wrongly: not to be echoed."""

    types: dict[str, DeviceType] = field(default_factory=dict)
    conditions: dict[str, Quantity] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)


class Draft:
    """One file on the way from tree to model; problems gather, and what is sound goes on."""

    def __init__(self, tree: Table, known: Known) -> None:
        self.tree = tree
        self.problems: list[Problem] = []
        self.known = Known(dict(known.types), dict(known.conditions), set(known.broken))
        self.sound: dict[str, Table] = {}
        self._types()
        self._section("conditions", Quantity, self.known.conditions)
        self._devices()

    def file(self, model: type[Made]) -> Made | None:
        """The whole file; None where there are problems."""
        tree = self.tree.replaced(**self.sound)
        made = self._made(model, tree, self.tree, ())
        if made is not None and isinstance(made, UnitFile | ChangeFile):
            made._tree = self.tree
        return made if not self.problems else None

    def _made(self, model: type[Made], data: Any, tree: Table, at: tuple[str, ...]) -> Made | None:
        try:
            return model.model_validate(data, by_alias=True, by_name=False)
        except ValidationError as error:
            self.problems += problems_of(error, tree, model, at)
            return None

    def _entries(self, section: str) -> dict[str, Any]:
        entries = self.tree.get(section)
        return entries if isinstance(entries, Table) else {}

    def _section(self, section: str, model: type[Made], into: dict[str, Made]) -> None:
        """Each entry of a section by itself, so that one fault hides no other."""
        sound: dict[str, Any] = {}
        for name, entry in self._entries(section).items():
            self._check_name(section, name)
            made = self._made(model, entry, self.tree, (section, name))
            if made is None:
                self.known.broken.add(name)
            else:
                sound[name] = into[name] = made
        self._keep(section, sound)

    def _check_name(self, section: str, name: str) -> None:
        """Said here too, since an entry with another fault does not reach the whole file's model."""
        if (bad := name_fault(name)) is not None:
            self.problems.append(Problem("bad-name", bad, self._key(section, name)))

    def _keep(self, section: str, sound: Mapping[str, BaseModel]) -> None:
        entries = self.tree.get(section)
        if isinstance(entries, Table):
            table = Table(entries.place, entries.source)
            for name, made in sound.items():
                table.put(name, made, entries.keys_at[name], entries.places[name])
            self.sound[section] = table

    def _types(self) -> None:
        before = len(self.problems)
        self._section("types", DeviceType, self.known.types)
        for name in self._entries("types"):
            kind = self.known.types.get(name)
            if name in built_in_names():
                message = f"{name} is a built-in type; give yours another name."
                self.problems.append(Problem("type-is-built-in", message, self._key("types", name)))
            elif kind is not None and name not in self.known.broken:
                faults = [*check_type(name, kind)]
                self.problems += faults or self._defaults(name, kind)
                if len(self.problems) > before:
                    self.known.broken.add(name)
            before = len(self.problems)

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
        sound: dict[str, Device] = {}
        types = Types(self.known.types)
        for tag, entry in self._entries("devices").items():
            self._check_name("devices", tag)
            model = self._model_of(tag, entry, types)
            made = self._made(model, entry, self.tree, ("devices", tag)) if model else None
            if made is not None:
                sound[tag] = made
                self._resolved(tag, made, types)
        self._keep("devices", sound)

    def _model_of(self, tag: str, entry: Any, types: Types) -> type[Device] | None:
        """The model of a device by its type; None where the type is unknown (a problem) or broken."""
        name = entry.get("type") if isinstance(entry, Table) else None
        if not isinstance(name, str) or not name.strip():
            if isinstance(entry, Table) and "type" not in entry:
                self._typeless(tag)
                return None
            return Device
        if name in self.known.broken:
            return None
        if name in types:
            return types.fields(name)
        message = f"{tag}: no device type is called {name}.{meant(name, types)}"
        self.problems.append(Problem("unknown-type", message, entry.places["type"]))
        return None

    def _typeless(self, tag: str) -> None:
        message = f"{tag} has no `type`, such as pressure-switch or contactor-1p."
        self.problems.append(Problem("missing-key", message, self._key("devices", tag)))

    def _key(self, section: str, name: str) -> Any:
        return self.tree[section].keys_at[name]

    def _resolved(self, tag: str, device: Device, types: Types) -> None:
        """Set points and rest positions; nothing is said of a quantity that is itself wrong."""
        try:
            resolve(tag, device, types, self.known.conditions)
        except BadInput as bad:
            broken = self.known.broken
            self.problems += [
                p for p in bad.problems
                if p.code != "unknown-condition" or not any(f"senses {name}," in p.message for name in broken)
            ]  # fmt: skip
