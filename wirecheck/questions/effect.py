"""When does a load run? The shortest sum of products over the inputs (engine.md section 5).

Source: Quine, Amer. Math. Monthly 59 (1952) 521, and McCluskey, Bell Syst. Tech. J. 35 (1956) 1417, from
memory. Combinations that are not reachable are left free, so the words stay short.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Bits = tuple[bool, ...]
Cube = tuple[bool | None, ...]  # None: either position
EXACT_INPUTS = 10
HISTORY = "depends on what went before"


def shortest(names: Sequence[tuple[str, str, str]], on: Iterable[Bits], off: Iterable[Bits]) -> str:
    """The words of the shortest sum of products that is true on `on` and false on `off`.

    names: (input, word at rest, word moved). `always`, `never`, or HISTORY where the two overlap.
    """
    yes, no = set(on), set(off)
    if yes & no:
        return HISTORY
    if not yes:
        return "never"
    if not no:
        return "always"
    matter = support(len(names), yes, no)
    yes = {tuple(b[k] for k in matter) for b in yes}
    no = {tuple(b[k] for k in matter) for b in no}
    cubes = cover(yes, primes(yes, no))
    chosen = [names[k] for k in matter]
    return " or ".join(product_words(chosen, c, bracket=len(cubes) > 1) for c in cubes)


def product_words(names: Sequence[tuple[str, str, str]], cube: Cube, bracket: bool) -> str:
    """The words of one product; in brackets where it is one of several and has more than one factor."""
    parts = [
        f"{n} {moved if bit else rest}"
        for (n, rest, moved), bit in zip(names, cube, strict=True)
        if bit is not None
    ]
    words = " and ".join(parts)
    return f"({words})" if bracket and len(parts) > 1 else words


def support(count: int, yes: set[Bits], no: set[Bits]) -> list[int]:
    """The inputs needed to tell `yes` from `no`: each is left out in turn where the rest still do."""
    kept = list(range(count))
    for k in reversed(range(count)):
        rest = [i for i in kept if i != k]
        if not {tuple(b[i] for i in rest) for b in yes} & {tuple(b[i] for i in rest) for b in no}:
            kept = rest
    return kept


def primes(yes: set[Bits], no: set[Bits]) -> list[Cube]:
    """Cubes that cover some of `yes` and none of `no`, none of which can be widened."""
    if yes and len(next(iter(yes))) > EXACT_INPUTS:
        return list({widened(b, no, range(len(b))) for b in yes})
    found: set[Cube] = set()
    for b in yes:
        found |= wide_cubes(b, no)
    return sorted(found, key=lambda c: (size(c), c_key(c)))


def wide_cubes(b: Bits, no: set[Bits]) -> set[Cube]:
    """Every prime cube that holds b: the least sets of inputs in which b differs from each of `no`."""
    differ = [frozenset(k for k in range(len(b)) if b[k] != o[k]) for o in no]
    least = [d for d in set(differ) if not any(e < d for e in differ)]
    cubes: set[frozenset[int]] = {frozenset()}
    for d in sorted(least, key=len):
        cubes = {c if c & d else c | {k} for c in cubes for k in d}
        cubes = {c for c in cubes if not any(o < c for o in cubes)}
    return {tuple(b[k] if k in c else None for k in range(len(b))) for c in cubes}


def widened(b: Bits, no: set[Bits], order: Iterable[int]) -> Cube:
    """One prime cube that holds b."""
    cube: list[bool | None] = list(b)
    for k in order:
        keep, cube[k] = cube[k], None
        if any(inside(cube, o) for o in no):
            cube[k] = keep
    return tuple(cube)


def inside(cube: Sequence[bool | None], b: Bits) -> bool:
    """Does a cube hold this combination? Both over the same inputs."""
    return all(c is None or c == v for c, v in zip(cube, b, strict=True))


def size(cube: Cube) -> int:
    """How many inputs a cube names."""
    return sum(c is not None for c in cube)


def c_key(cube: Cube) -> tuple[int, ...]:
    """Sorts cubes by their first inputs: moved, at rest, not named."""
    return tuple(2 if c is None else int(not c) for c in cube)


def cover(yes: set[Bits], cubes: list[Cube]) -> list[Cube]:
    """The fewest cubes that cover `yes`, shortest first; beyond a small number, a greedy choice."""
    covers = {c: frozenset(b for b in yes if inside(c, b)) for c in cubes}
    must = {next(c for c in cubes if b in covers[c]) for b in yes if sum(b in covers[c] for c in cubes) == 1}
    left = frozenset(yes) - frozenset().union(*(covers[c] for c in must))
    others = [c for c in cubes if c not in must and covers[c] & left]
    return sorted([*must, *fewest(left, others, covers)], key=lambda c: (size(c), c_key(c)))


def fewest(left: frozenset[Bits], cubes: list[Cube], covers: dict[Cube, frozenset[Bits]]) -> list[Cube]:
    """The fewest of `cubes` that cover `left`, shortest first; by greed while more than 16 are open."""
    if not left:
        return []
    if len(cubes) <= 16:
        for n in range(1, len(cubes) + 1):
            picks = [p for p in combinations(cubes, n) if left <= frozenset().union(*(covers[c] for c in p))]
            if picks:
                return list(min(picks, key=lambda p: sum(size(c) for c in p)))
    best = max(cubes, key=lambda c: (len(covers[c] & left), -size(c)))
    return [best, *fewest(left - covers[best], [c for c in cubes if c != best], covers)]
