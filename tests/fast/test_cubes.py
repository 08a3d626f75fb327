"""The tree in which positions of a part are found again: against trying every one of them."""

from __future__ import annotations

import random

import pytest

from wirecheck.engine.fast.cubes import Cube, Cubes

VARIABLES = 6
ONES = (1 << (1 << VARIABLES)) - 1
ROWS = range(1 << VARIABLES)


def value(node: int) -> int:
    """Node 2 k: the rows in which variable k is true; 2 k + 1: those in which it is not."""
    true = sum(1 << row for row in ROWS if row >> (node // 2) & 1)
    return true ^ ONES if node % 2 else true


def cube(conditions: tuple[int, ...]) -> Cube:
    return Cube(conditions, (), ((), frozenset()), {})


def apart(rng: random.Random) -> list[Cube]:
    """Cubes of which no two hold at once: the paths through a tree that branches as it likes."""
    found: list[Cube] = []
    open_paths: list[tuple[tuple[int, ...], list[int]]] = [((), [*range(VARIABLES)])]
    while open_paths:
        path, free = open_paths.pop()
        if path and (not free or rng.random() < 0.3):
            found.append(cube(tuple(sorted(path))))
            continue
        k = rng.choice(free)
        rest = [f for f in free if f != k]
        open_paths += [((*path, 2 * k + sense), rest) for sense in (0, 1)]
    rng.shuffle(found)
    return found


def true_in(c: Cube, where: int) -> int:
    """The rows of `where` in which all conditions of a cube are true."""
    return sum(1 << r for r in ROWS if where >> r & 1 and all(value(n) >> r & 1 for n in c.conditions))


@pytest.mark.parametrize("seed", range(20))
def test_each_is_found_where_it_holds_and_nowhere_else(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    cubes, tree = apart(rng)[::2], Cubes()
    for c in cubes:
        tree.add(c)
    where = rng.getrandbits(1 << VARIABLES)
    expected = {c.conditions: there for c in cubes if (there := true_in(c, where))}
    assert {c.conditions: there for c, there in tree.within(where, value)} == expected
    assert tree.count == len(cubes)


@pytest.mark.parametrize("seed", range(20))
def test_of_those_that_overlap_one_is_found_wherever_any_holds(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - drawn again from its number
    drawn = [rng.sample(range(VARIABLES), rng.randint(0, 4)) for _ in range(12)]
    cubes = [cube(tuple(sorted(2 * k + rng.randint(0, 1) for k in ks))) for ks in drawn]
    tree, where = Cubes(), rng.getrandbits(1 << VARIABLES)
    for c in cubes[1:] if seed % 2 else cubes:
        tree.add(c)
    found, any_holds = 0, 0
    for c, there in tree.within(where, value):
        assert there
        assert there & true_in(c, where) == there
        found |= there
    for c in cubes[1:] if seed % 2 else cubes:
        any_holds |= true_in(c, where)
    assert found == any_holds
