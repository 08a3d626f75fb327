"""A change carried out on a unit: every step in order, the circuits before and after."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from wirecheck.circuit import steps as plain
from wirecheck.circuit.assemble import assemble, cuts_of
from wirecheck.circuit.follow import said_after
from wirecheck.circuit.graph import Changed
from wirecheck.circuit.poles import hertz_of, poles_of
from wirecheck.circuit.reading import circuit_of, read, resolve_all, texts_of
from wirecheck.circuit.terms import bind_terms
from wirecheck.design import load
from wirecheck.design.cross import check_pair
from wirecheck.problem import BadInput, Problem

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design import models
    from wirecheck.design.resolved import ResolvedDevice


def load_change_pair(unit_path: str | Path, change_path: str | Path) -> Changed:
    """The unit at one path with the change at the other. Raises BadInput with the problems of both."""
    unit, change = load.read_pair(unit_path, change_path)
    return apply(unit, cast("models.ChangeFile", change))


def apply(unit: models.UnitFile, change: models.ChangeFile) -> Changed:
    """The change carried out. Raises BadInput with every problem of unit, change and steps."""
    problems: list[Problem] = []
    wiring = read(unit, problems)
    unread = bool(problems)
    before = circuit_of(unit, wiring, problems)
    brought = _brought(unit, change, problems)
    if unread:  # steps on wiring that could not be read would only repeat what is wrong with it
        raise BadInput(dict.fromkeys(problems), texts_of(unit, change))
    work = plain.carry_out(_merged(unit, change, wiring, brought, problems), brought, change, problems)
    after = assemble(work.wiring, said_after(unit, change, before, work, problems), problems)
    terms = bind_terms(change, before, after, problems)
    if problems:
        raise BadInput(dict.fromkeys(problems), texts_of(unit, change))
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
    )


def _brought(
    unit: models.UnitFile, change: models.ChangeFile, problems: list[Problem]
) -> dict[str, ResolvedDevice]:
    """The devices of the change; one with the tag of a unit's device must replace that one."""
    problems += check_pair(unit, change)
    redefined = {
        s.replace.with_ for s in change.steps if s.replace is not None and s.replace.with_ == s.replace.device
    }
    for tag in change.devices:
        if tag in unit.devices and tag not in redefined:
            message = f"{tag} is a device of the unit; to put another in its place, replace {tag} with {tag}."
            others = ((unit.key_place("devices", tag), "in the unit"),)
            problems.append(Problem("name-twice", message, change.key_place("devices", tag), others))
    known = {**unit.types, **change.types}, {**unit.conditions, **change.conditions}
    return resolve_all(change.devices, *known, problems)


def _merged(
    unit: models.UnitFile,
    change: models.ChangeFile,
    wiring: Wiring,
    brought: dict[str, ResolvedDevice],
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
        broken=frozenset(change.devices) - frozenset(brought),
    )


def _taken(change: models.ChangeFile, what: str, taken: dict[str, str], problems: list[Problem]) -> None:
    for name in getattr(change, what):
        if name in taken:
            message = f"{name} is the name of {taken[name]} already; terminals would be confused."
            problems.append(Problem("name-twice", message, change.key_place(what, name)))
