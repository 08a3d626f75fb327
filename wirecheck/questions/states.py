"""`states`: every reachable settled state of a unit, as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.source import Source
from wirecheck.engine import figures
from wirecheck.engine.answers import UNKNOWN, TooMany
from wirecheck.engine.ask import ask
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.checks.case import Told
    from wirecheck.circuit.elements import Estimate
    from wirecheck.circuit.graph import Circuit

Words = tuple[tuple[str, str], ...]


class Row(Struct, frozen=True):
    """One state: inputs and delays, loads, relays, as words. short: the terminals from pole to pole."""

    inputs: dict[str, str]
    loads: dict[str, str]
    relays: dict[str, str]
    power_up: bool
    short: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()


class States(Struct, frozen=True):
    """The answer of `states`. inputs: the names of the listed inputs and delays, in the order of the file."""

    inputs: tuple[str, ...]
    rows: tuple[Row, ...]


def states(circuit: Circuit, held: Mapping[str, bool] | None = None, plain: bool = False) -> States:
    """Every reachable settled state; rows that differ only in a quantity's value are one.

    held: inputs held at a position (moved?). plain: ask the plain evaluator alone. Raises TooMany. Unknown
    words name the fields that decide them.
    """

    def run(scenario: Mapping[str, int]) -> tuple[list[Row], list[Estimate]]:
        source = Source(World(circuit, held=held), Plain(circuit, scenario), None, plain)
        if source.count > figures.STATE_LIMIT:
            free = tuple(v.name for v in source.world.variables if v.held is None)
            raise TooMany(source.count, free)
        return table(source), list(source.sensitive.values())

    asked = ask(run)
    rows = alike(list(asked.answers.values()), asked.fields)
    world = World(circuit, held=held)
    names = tuple(v.name for v in world.variables if v.listed) + tuple(circuit.delays)
    return States(names, tuple(rows))


def table(source: Source) -> list[Row]:
    """The rows of one scenario, nearest to ordinary operation first."""
    found: dict[tuple[object, ...], Row] = {}
    for state in source.told():
        row = row_of(source.world, state)
        known = found.get(told(row))
        if known is None or (row.power_up and not known.power_up):
            found[told(row)] = row
    return list(found.values())


def told(row: Row) -> tuple[object, ...]:
    """What a row says of a state, but for how it is reached."""
    return tuple(row.inputs.items()), tuple(row.loads.items()), tuple(row.relays.items()), row.short


def row_of(world: World, state: Told) -> Row:
    """One reachable state in words, with the fields that would decide its unknown ones."""
    words = state.words
    delays = {d: "moved" if m else "rest" for d, m in words.delays.items()}
    why = tuple(dict.fromkeys(f for fields in words.why.values() for f in fields))
    inputs = world.words(state.setting) | delays
    return Row(inputs, words.loads, words.relays, state.power_up, state.short, why)


def alike(tables: list[list[Row]], fields: tuple[str, ...]) -> list[Row]:
    """The rows of all ends of the estimates as one table, the nominal ones first.

    A row that every end has stands as it is; one that some end lacks has `unknown` where they differ.
    """
    kept = [{told(r) for r in table} for table in tables]
    found: dict[tuple[object, ...], Row] = {}
    for row in (r for table in tables for r in table):
        whole = row if all(told(row) in known for known in kept) else merged(row, tables, fields)
        found.setdefault(told(whole), whole)
    return list(found.values())


def merged(row: Row, tables: list[list[Row]], fields: tuple[str, ...]) -> Row:
    """A row with `unknown` where another end of the estimates says another word."""
    matches = [counterpart(row, t) for t in tables]

    def word(kind: str, name: str) -> str:
        words = {UNKNOWN if m is None else getattr(m, kind)[name] for m in matches}
        return words.pop() if len(words) == 1 else UNKNOWN

    loads = {n: word("loads", n) for n in row.loads}
    relays = {n: word("relays", n) for n in row.relays}
    doubtful = UNKNOWN in loads.values() or UNKNOWN in relays.values()
    return Row(row.inputs, loads, relays, row.power_up, row.short, fields if doubtful else row.fields)


def counterpart(row: Row, table: list[Row]) -> Row | None:
    """The row of another scenario with the same inputs: with the same relays where there is one."""
    same = [r for r in table if r.inputs == row.inputs]
    alike = [r for r in same if r.relays == row.relays and r.power_up == row.power_up]
    alike = alike or [r for r in same if r.power_up == row.power_up] or same
    return alike[0] if alike else None
