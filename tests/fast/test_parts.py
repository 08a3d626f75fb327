"""Parts of the fast evaluator by themselves: formulas, vectors, the walk that is held against it."""

from __future__ import annotations

import random
from itertools import product
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from tests.battery.reader import cases
from tests.fast.compare import InOrder, Whole, shown, sides
from wirecheck.circuit.apply import load_change_pair
from wirecheck.circuit.build import load_circuit
from wirecheck.engine.answers import TooMany
from wirecheck.engine.ask import Asked
from wirecheck.engine.fast import replay
from wirecheck.engine.fast.limits import NotHere
from wirecheck.engine.fast.pair import FastPair, differing
from wirecheck.engine.fast.replay import Disagreement
from wirecheck.engine.fast.table import FALSE, TRUE, InputBit, Table
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from wirecheck.circuit.graph import Circuit

VARIABLES = 4


def formulas(seed: int) -> list[tuple[Table, int, set[tuple[bool, ...]]]]:
    """Formulas drawn at random, each with the rows of its truth table in which it holds."""
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    table, every = Table(), set(product((False, True), repeat=VARIABLES))
    known: list[tuple[int, set[tuple[bool, ...]]]] = [(FALSE, set()), (TRUE, every)]
    known += [(table.variable(InputBit(k)), {row for row in every if row[k]}) for k in range(VARIABLES)]
    for _ in range(60):
        (x, where), (y, there) = rng.choice(known), rng.choice(known)
        known += [
            (table.both(x, y), where & there),
            (table.either(x, y), where | there),
            (table.negate(x), every - where),
        ]
    return [(table, node, where) for node, where in known]


@pytest.mark.parametrize("seed", range(4))
def test_never_is_never(seed: int) -> None:
    for table, node, where in formulas(seed):
        assert table.never(node) == (not where)


def test_never_where_no_simplification_shows_it() -> None:
    table = Table()
    x, y, z = (table.variable(InputBit(k)) for k in range(3))
    neither, apart = table.negate(table.either(x, y)), table.either(x, table.negate(y))
    never = table.both(table.both(x, y), neither)
    assert never > TRUE
    assert table.never(never)
    assert table.never(table.both(table.both(table.negate(x), y), apart))
    assert not table.never(table.both(table.both(x, y), apart))
    assert not table.never(table.both(neither, z))


def test_constants_are_negated_to_constants() -> None:
    table = Table()
    assert (table.negate(TRUE), table.negate(FALSE)) == (FALSE, TRUE)


@pytest.mark.parametrize(
    ("each", "where", "expected"),
    [
        ([{"on": 0b0011, "off": 0b1100}, {"on": 0b0101, "off": 0b1010}], 0b1111, 0b0110),
        ([{"on": 0b0011, "off": 0b1100}, {"on": 0b0101, "off": 0b1010}], 0b0100, 0b0100),
        ([{"on": 0b1111}, {"on": 0b1111}, {"on": 0b1111}], 0b1111, 0),
    ],
)
def test_where_words_differ(each: list[dict[str, int]], where: int, expected: int) -> None:
    assert differing(each, where) == expected


def pairs(tmp_path: Path, words: tuple[str, ...]) -> list[tuple[str, Circuit, Circuit | None]]:
    """The circuits of the cases of the battery whose name has one of some words in it."""
    found: list[tuple[str, Circuit, Circuit | None]] = []
    for case in cases():
        if case.error or not any(w in case.name for w in words):
            continue
        unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
        unit.write_text(case.unit, encoding="utf-8")
        if case.change:
            change.write_text(case.change, encoding="utf-8")
            changed = load_change_pair(unit, change)
            found.append((case.name, changed.after, changed.before))
        else:
            found.append((case.name, load_circuit(unit), None))
    return found


def test_only_the_same_state_is_taken_for_the_same(tmp_path: Path) -> None:
    """Of the states of the plain evaluator in one setting, none that shows otherwise fits a class."""
    several = 0
    for name, after, before in pairs(tmp_path, ("race", "lock each other", "order", "chatter", "short")):
        if before is not None:
            continue
        world = World(after)
        pair, explorer = FastPair(after, None, world), Whole(world, InOrder(after)).run()
        for c in pair.classes:
            shows = sides(c.stands("after")[0])
            for joint in explorer.came:
                k = pair.index_of(joint.setting) - c.first
                if not 0 <= k < pair.space.size or not c.reached >> k & 1:
                    continue
                words = explorer.words(True, joint.setting, joint.after)
                there = shown(words, joint.after.short is not None)
                same = there == next(s for s, where in shows if where >> k & 1)
                assert same or not replay.alike(pair, c.key, c.first + k, joint), name
                several += not same
    assert several > 5


def test_delays_are_told_by_setting(tmp_path: Path) -> None:
    told = 0
    for name, after, _ in pairs(tmp_path, ("delay",)):
        if not after.delays:
            continue
        pair = FastPair(after, None, World(after))
        for c in pair.classes:
            for delay in after.delays:
                moved = c.key.after.members[0][1][list(after.delays).index(delay)]
                assert c.delay("after", delay) == (c.reached if moved else 0), name
                told += c.reached.bit_count() > 1
    assert told > 3


def test_a_walk_that_does_not_arrive_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _, after, _ = pairs(tmp_path, ("own NC contact chatters",))[0]
    pair = FastPair(after, None, World(after))
    c = pair.classes[0]
    index = next(c.first + k for k in range(pair.space.size) if c.reached >> k & 1)
    assert replay.replay(pair, c.key, index)
    monkeypatch.setattr(replay, "alike", lambda *_: False)
    with pytest.raises(Disagreement, match="power comes on"):
        replay.replay(pair, c.key, index)


ENDS = list(product((-1, 1), repeat=2))


@pytest.mark.parametrize(
    ("answer", "fields"),
    [
        (lambda a, _: a > 0, ("a",)),
        (lambda _, b: b > 0, ("b",)),
        (lambda a, b: (a, b), ("a", "b")),
        (lambda *_: 1, ()),
    ],
)
def test_the_fields_that_decide(answer: Callable[[int, int], object], fields: tuple[str, ...]) -> None:
    asked = Asked(("a", "b"), {(0, 0): answer(0, 0), **{ends: answer(*ends) for ends in ENDS}})
    assert asked.deciding(lambda found: found) == fields


def test_too_many_says_what_to_hold() -> None:
    assert str(TooMany(5, ("S1", "S2"))) == "5 combinations of inputs; hold some with --when or given: S1, S2"


PARALLEL = "secondaries of unlike volts in parallel"


def test_a_forced_winding_is_worked_out_of_one_supply_alone(tmp_path: Path) -> None:
    """Both transformers stand driven in a part that is solved, whatever S does."""
    case = next(c for c in cases() if PARALLEL in c.name)
    unit = tmp_path / "unit.yaml"
    unit.write_text(case.unit, encoding="utf-8")
    circuit = load_circuit(unit)
    forced = FastPair(circuit, None, World(circuit)).settlers["after"].unit.forced
    assert forced == {"X1.core": TRUE, "X2.core": TRUE}
    unit.write_text(
        case.unit.replace("{MAINS:", "{B: {kind: single-phase, volts: 120}, MAINS:"), encoding="utf-8"
    )
    circuit = load_circuit(unit)
    with pytest.raises(NotHere, match="a forced winding"):
        FastPair(circuit, None, World(circuit))


def test_a_short_is_not_taken_for_the_rest_of_the_same_relays(tmp_path: Path) -> None:
    _, after, _ = next(p for p in pairs(tmp_path, (PARALLEL,)))
    world = World(after)
    pair, explorer = FastPair(after, None, world), Whole(world, InOrder(after)).run()
    joint = next(j for j in explorer.came if j.after.kind == "rest")
    c = next(c for c in pair.classes if c.key.after.kind == "rest")
    index = pair.index_of(joint.setting)
    assert replay.alike(pair, c.key, index, joint)
    shorted = replace(joint, after=replace(joint.after, kind="short"))
    assert not replay.alike(pair, c.key, index, shorted)
