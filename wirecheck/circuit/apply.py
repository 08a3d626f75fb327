"""A change carried out on a unit: every step in order, the circuits before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from msgspec.structs import replace

from wirecheck.circuit import steps as plain
from wirecheck.circuit.assemble import assemble, cuts_of
from wirecheck.circuit.follow import said_after
from wirecheck.circuit.graph import Changed
from wirecheck.circuit.poles import hertz_of, poles_of
from wirecheck.circuit.reading import bound, resolve_all
from wirecheck.circuit.terms import bind_terms
from wirecheck.design import load
from wirecheck.design.broken import section
from wirecheck.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design import models


def load_change_pair(unit_path: str | Path, change_path: str | Path) -> Changed:
    """The unit at one path with the change at the other. Raises BadInput with the problems of both."""
    return read_change(unit_path, change_path)[2]


def read_change(
    unit_path: str | Path, change_path: str | Path
) -> tuple[models.UnitFile, models.ChangeFile, Changed]:
    """The files at two paths, and the change carried out. Raises BadInput with the problems of both."""
    drafted = load.draft_pair(unit_path, change_path)
    change = cast("models.ChangeFile", drafted.change)
    return drafted.unit, change, _applied(drafted, change)


def _applied(drafted: load.Drafted, change: models.ChangeFile) -> Changed:
    """The change carried out. Raises BadInput with every problem of unit, change and steps."""
    unit = drafted.unit
    problems: list[Problem] = []
    wiring, before = bound(drafted, problems)
    brought = resolve_all(
        change.devices, {**unit.types, **change.types}, {**unit.conditions, **change.conditions}
    )
    found = [*_tags_twice(change, drafted)]
    merged = _merged(unit, change, wiring, drafted, found)
    work = plain.carry_out(merged, brought, change, drafted.lost, problems)
    after = assemble(work.wiring, said_after(unit, change, before, work, found), found)
    terms = bind_terms(change, before, after, found)
    drafted.stop_if([*problems, *work.doubt.left(found)])
    cuts = cuts_of(before, after)
    return Changed(
        name=change.change.name,
        before=replace(before, cuts=cuts),
        after=replace(after, cuts=cuts),
        steps=work.steps,
        terms=terms,
        brought=frozenset(brought),
        removed=frozenset(work.removed),
        replaced=tuple(work.replaced),
        reason=change.change.reason or "",
        stages=work.stages,
    )


def _tags_twice(change: models.ChangeFile, drafted: load.Drafted) -> Iterator[Problem]:
    """A device of the change with the tag of a unit's device must replace that one."""
    replaces = [step.replace for step in change.steps if step.replace is not None]
    redefined = {r.with_ for r in replaces if r.with_ == r.device}
    # A step that names no such device is a problem itself, and may have meant this one.
    redefined |= {r.device for r in replaces if r.with_ not in change.devices}
    redefined |= {r.with_ for r in replaces if r.device not in drafted.declared}
    redefined |= {name for step in drafted.lost for name in step.names}
    for tag in change.devices:
        if tag in drafted.declared and tag not in redefined:
            message = f"{tag} is a device of the unit; to put another in its place, replace {tag} with {tag}."
            others = ((drafted.declared[tag], "in the unit"),)
            about = (section("steps"),)
            yield Problem("name-twice", message, change.key_place("devices", tag), others, about=about)


def _merged(
    unit: models.UnitFile,
    change: models.ChangeFile,
    wiring: Wiring,
    drafted: load.Drafted,
    problems: list[Problem],
) -> Wiring:
    """The unit's wiring with the supplies and quantities that the change adds."""
    supplies = {**unit.supplies, **change.supplies}
    taken = {**dict.fromkeys(unit.devices, "a device"), **dict.fromkeys(wiring.splices, "a splice")}
    _taken(change, "supplies", {**taken, **dict.fromkeys(change.devices, "a device")}, problems)
    taken = {**dict.fromkeys(wiring.splices, "a splice"), **dict.fromkeys(unit.supplies, "a supply")}
    _taken(change, "devices", taken, problems)
    return replace(
        wiring,
        hertz=hertz_of(supplies, problems),
        poles=poles_of(supplies, problems),
        conditions={**unit.conditions, **change.conditions},
        broken=wiring.broken.also(drafted.all_broken.names),
    )


def _taken(change: models.ChangeFile, what: str, taken: dict[str, str], problems: list[Problem]) -> None:
    for name in getattr(change, what):
        if name in taken:
            message = f"{name} is the name of {taken[name]} already; terminals would be confused."
            problems.append(Problem("name-twice", message, change.key_place(what, name)))
