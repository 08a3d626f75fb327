"""Where nets are joined, as a program, against networkx; and that parts are told by what is joined alone."""

from __future__ import annotations

import random
from pathlib import Path

import networkx as nx
import pytest

from wirecheck.circuit.build import load_circuit
from wirecheck.engine.fast.eliminate import Elimination
from wirecheck.engine.fast.pair import FastPair
from wirecheck.engine.fast.table import InputBit, Table
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.world import World

SWITCHES = 5
FOLDER = Path(__file__).parent


def true(table: Table, node: int, row: int) -> bool:
    """Is a node true with variable k at bit k of a row?"""
    values = [False, True]
    for n in range(2, node + 1):
        op, a, b = table.op[n], table.a[n], table.b[n]
        each = (False, bool(row >> a & 1), not values[a], values[a] and values[b], values[a] or values[b])
        values.append(each[op])
    return values[node]


@pytest.mark.parametrize("seed", range(30))
def test_joined_is_what_networkx_says(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    table, count = Table(), rng.randint(3, 9)
    literals = [table.variable(InputBit(k)) for k in range(SWITCHES)]
    literals += [table.negate(n) for n in literals]
    pairs = [tuple(sorted(rng.sample(range(count), 2))) for _ in range(rng.randint(2, 2 * count))]
    edges = {(a, b): rng.choice(literals) for a, b in pairs}
    terminals = rng.sample(range(count), rng.randint(0, count - 1))
    ways = Elimination(table, range(count), edges, terminals)
    asked = [(a, b) for a in range(count) for b in range(count)]
    rng.shuffle(asked)
    for a, b in asked:
        node = ways.joined(a, b)
        for row in range(1 << SWITCHES):
            graph: nx.Graph[int] = nx.Graph()
            graph.add_nodes_from(range(count))
            graph.add_edges_from(pair for pair, n in edges.items() if true(table, n, row))
            assert true(table, node, row) == nx.has_path(graph, a, b), (a, b, row)


def test_whichever_contacts_join_it_a_part_is_solved_once() -> None:
    circuit = load_circuit(FOLDER / "side-by-side.yaml")
    plain, pair = Plain(circuit), FastPair.of(Plain(circuit), None, World(circuit))
    (only,) = pair.classes
    found = {n: only.word("after", n) for n in circuit.loads}
    for index in range(pair.space.size):
        inputs = pair.world.inputs(True, pair.setting(index))
        (end,) = plain.settle(inputs, plain.cold())
        at = {n: next(w for w, where in each.items() if where >> index & 1) for n, each in found.items()}
        assert at == plain.words(inputs, end).loads, index
    assert sum(where.bit_count() for where in found["R2"].values()) == 1 << 7
    # R1 with R2, with R3, with both; R2 and R3 with R1 or with both. However many switches join them.
    positions = {n: pair.settlers["after"].asker.cubes[f"{n}.heater"].count for n in ("R1", "R2", "R3")}
    assert positions == {"R1": 3, "R2": 2, "R3": 2}


def test_a_terminal_is_told_by_the_node_that_it_lies_on() -> None:
    circuit = load_circuit(FOLDER / "throws-over.yaml")
    pair = FastPair.of(Plain(circuit), None, World(circuit))
    (only,) = pair.classes
    (stand,) = only.stands("after")
    # 240 V over 57.6, 57.6 and 1 ohm: 121 V above the second heater, 2 V above the third (10 V is live).
    assert [pair.setting(k).bits for k in range(2) if stand.live("S.C") >> k & 1] == [(False,)]
    assert (stand.live("R1.2"), stand.live("R2.2")) == (pair.space.ones, 0)
