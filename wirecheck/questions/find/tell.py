"""What to look at or measure next: the test that is expected to leave the fewest faults.

Each test sorts the faults that still fit by what it would show. Left over, on the average, are the squares of
the shares added up; the least is best, then what takes the least doing. A fault of which the reading is not
known for certain counts with every reading.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.circuit.elements import Transformer
from wirecheck.questions.find.bench import volts_so
from wirecheck.questions.lookalikes import apart, isolated
from wirecheck.questions.mistakes import meters
from wirecheck.questions.mistakes.looks import ANY
from wirecheck.questions.mistakes.places import used, ways

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.world import Setting
    from wirecheck.questions.find.bench import Bench
    from wirecheck.questions.find.fault import Fault
    from wirecheck.questions.mistakes.looks import Look
    from wirecheck.questions.ohms import Ohms

Kind = Literal["look", "volts", "ohms"]
Points = tuple[str, str]
# How much doing a test takes: a look costs nothing, a switch set by hand little; a reading on live parts more
# at line volts than on control; for ohms the power is off and proved dead first. Project rules.
LOOK, FLIP, LOW_VOLTS, LINE_VOLTS, OHMS = 0.0, 0.5, 1.0, 2.0, 3.0
LOW = 50.0  # volts
MEASURED_IN = 3  # of the states that the unit stood in, the last ones
WELL = 0.6  # a test that leaves no more than this share on the average tells faults well. Project rule.
# What a step of doing is worth, in shares of the faults still open. Project rule.
WORTH = 0.04


class Shows(Struct, frozen=True):
    """One thing that a test may show, and the faults that show it. value: volts or ohms, None: open."""

    words: str
    faults: tuple[str, ...]
    look: tuple[tuple[str, frozenset[str]], ...] = ()
    value: float | None = None


class Test(Struct, frozen=True):
    """A look at loads and relays, or a meter between two points, in a state. left: faults on the average."""

    kind: Kind
    setting: Setting
    points: Points | None
    names: tuple[str, ...]
    shows: tuple[Shows, ...]
    left: float
    doing: float


def best(bench: Bench, left: Sequence[Fault], places: Sequence[Setting], done: frozenset[str]) -> Test | None:
    """The test that tells the faults apart best; None where none tells any apart.

    places: the states that the unit stood in, the first is where it stands. done: as `key` of tests made.
    Ohms are tried where no look and no voltmeter tells them well.
    """
    found = least(with_power(bench, left, places), left, done)
    if found is not None and found.left <= WELL * len(left):
        return found
    return least(filter(None, (found, *without_power(bench, left, places[0]))), left, done)


def least(tried: Iterable[Test], left: Sequence[Fault], done: frozenset[str]) -> Test | None:
    """The test that leaves least, what it takes to do it counted in."""
    rank: tuple[float, float, int] | None = None
    found: Test | None = None
    for number, test in enumerate(tried):
        its = test.left / len(left) + WORTH * test.doing, test.left, number
        if len(test.shows) > 1 and key(test) not in done and (rank is None or its < rank):
            rank, found = its, test
    return found


def key(test: Test) -> str:
    """Names a test."""
    return f"{test.kind} {test.setting} {test.points}"


def with_power(bench: Bench, left: Sequence[Fault], places: Sequence[Setting]) -> Iterator[Test]:
    """Looks where the unit stood and a switch away from where it stands; volts there."""
    here = places[0]
    for setting in dict.fromkeys(places):
        yield look(bench, left, setting, LOOK)
    for setting in flipped(bench, here):
        yield look(bench, left, setting, FLIP, here)
    for setting in list(dict.fromkeys(places))[:MEASURED_IN]:
        for pair in unlike(bench, left):
            yield volts(bench, left, setting, pair)


def without_power(bench: Bench, left: Sequence[Fault], here: Setting) -> Iterator[Test]:
    """Ohms, where a disconnect makes the unit dead; with one more switch set, which may part a way around."""
    off = (dead(bench, start) for start in (here, *flipped(bench, here)))
    for number, setting in enumerate(dict.fromkeys(s for s in off if s is not None)):
        for pair in unlike(bench, left):
            yield ohms(bench, left, setting, pair, OHMS + FLIP * bool(number))


def unlike(bench: Bench, left: Sequence[Fault]) -> Iterator[Points]:
    """The pairs of points, but those that in every faulty unit are joined by conductors to a pair before."""
    seen: set[tuple[frozenset[int], ...]] = set()
    nets = [bench.plain(f).nets.of for f in left]
    for pair in points(bench.right):
        at = tuple(frozenset(of.get(t, -1) for t in pair) for of in nets)
        if at not in seen:
            seen.add(at)
            yield pair


def flipped(bench: Bench, here: Setting) -> Iterator[Setting]:
    """The states one switch away that a hand can bring about: no protection is tripped, no fuse is pulled."""
    world, circuit = bench.scene.world, bench.right
    for k, v in enumerate(world.variables):
        switch = circuit.inputs[v.name]
        by_hand = v.set_points is None and switch.tripped is None and not v.by_motor and v.held is None
        if by_hand and not circuit.devices[switch.device].fuse:
            bits = tuple(b != (j == k) for j, b in enumerate(here.bits))
            to = here._replace(bits=bits)
            if world.possible(to):
                yield to


def dead(bench: Bench, here: Setting) -> Setting | None:
    """Where the unit stands with every disconnect open; None where nothing isolates it."""
    open_at, world = isolated(bench.right), bench.scene.world
    if not open_at:
        return None
    bits = tuple(open_at.get(v.name, b) for v, b in zip(world.variables, here.bits, strict=True))
    return here._replace(bits=bits)


def points(right: Circuit) -> Iterator[Points]:
    """Where a meter is put: across each part, along each conductor, and from each terminal to a return."""
    there = used(right)
    found: dict[Points, None] = {}
    for tag in right.devices:
        found |= dict.fromkeys(p for p in ways(right, tag) if set(p) <= there)
    found |= dict.fromkeys((w.a, w.b) for w in right.conductors.values())
    for back in returns(right):
        found |= dict.fromkeys((t, back) for t in right.terminals if t in there and t != back)
    return iter(found)


def returns(right: Circuit) -> Iterator[str]:
    """The second end of each secondary, and earth."""
    for element in right.elements.values():
        if isinstance(element, Transformer) and set(element.secondary) <= used(right):
            yield element.secondary[1]
    yield from (p for p in right.poles if p in right.earth and p in used(right))


# --- what each would show -----------------------------------------------------------------------------


def look(
    bench: Bench, left: Sequence[Fault], setting: Setting, doing: float, moved_from: Setting | None = None
) -> Test:
    """All loads and relays looked at in a state, come to from another one where that is told."""
    may = [(f, bench.looks(bench.plain(f), f, setting, moved_from)) for f in left]
    names = _differ(x for _, each in may for x in each)
    sorts: dict[tuple[tuple[str, frozenset[str]], ...], list[str]] = {}
    for _, each in may:
        for x in each:
            if all(x[n] != ANY for n in names):
                sorts.setdefault(tuple((n, x[n]) for n in names), [])
    for f, each in may:
        for sort, ids in sorts.items():
            if any(all(x[n] == ANY or x[n] & how for n, how in sort) for x in each):
                ids.append(f.id)
    shows = tuple(Shows(_look_words(s), tuple(ids), s) for s, ids in sorts.items())
    return Test("look", setting, None, names, shows, _left(shows, left), doing)


def _differ(found: Iterable[Look]) -> tuple[str, ...]:
    """The names of which some look differs, those that nobody can tell left out."""
    seen: dict[str, set[frozenset[str]]] = {}
    for x in found:
        for n, how in x.items():
            seen.setdefault(n, set()).add(how)
    return tuple(n for n, hows in seen.items() if len(hows - {ANY}) > 1)


def _look_words(sort: Iterable[tuple[str, frozenset[str]]]) -> str:
    return ", ".join(f"{n} {' or '.join(sorted(how))}" for n, how in sort)


def volts(bench: Bench, left: Sequence[Fault], setting: Setting, pair: Points) -> Test:
    """A voltmeter between two points."""
    may = [(f, bench.volts(bench.plain(f), setting, pair)) for f in left]
    sure = sorted({r.volts or 0.0 for _, each in may for r in each if r.reads in ("value", "floating")})
    values = _apart(sure, lambda a, b: b - a >= meters.APART_VOLTS and b - a >= meters.APART_SHARE * b)
    shows = tuple(
        Shows(f"{v:.0f} V", tuple(f.id for f, each in may if any(volts_so(r, v) for r in each)), (), v)
        for v in values
    )
    doing = LINE_VOLTS if max(sure, default=0.0) > LOW else LOW_VOLTS
    return Test("volts", setting, pair, (), shows, _left(shows, left), doing)


def _apart(values: Sequence[float], tells: Callable[[float, float], bool]) -> list[float]:
    """The first of each group of readings that a meter does not tell from the one before it."""
    found: list[float] = []
    last: float | None = None
    for v in values:
        if last is None or tells(last, v):
            found.append(v)
        last = v
    return found


def ohms(bench: Bench, left: Sequence[Fault], setting: Setting, pair: Points, doing: float = OHMS) -> Test:
    """An ohmmeter between two points, the power off.

    Where some way leads through a winding whose ohms the file does not give, all that it tells is whether
    there is a way.
    """
    may = [(f, _ohms(bench, f, setting, pair)) for f in left]
    if any(r.reads == "unknown" for _, each in may for r in each):
        shows = _a_way(may)
    else:
        sure = {r.ohms for _, each in may for r in each}
        values: list[float | None] = [*_apart(sorted(v for v in sure if v is not None), apart)]
        values += [None] if None in sure else []
        shows = tuple(
            Shows("open" if v is None else f"{v:.3g} Ω", tuple(_fit_ohms(may, v)), (), v) for v in values
        )
    return Test("ohms", setting, pair, (), shows, _left(shows, left), doing)


def _a_way(may: list[tuple[Fault, list[Ohms]]]) -> tuple[Shows, ...]:
    """The faults by whether direct current finds a way between the points."""
    some = tuple(f.id for f, each in may if not each or any(r.reads != "open" for r in each))
    none = tuple(f.id for f, each in may if not each or any(r.reads == "open" for r in each))
    told = Shows("continuity, whatever ohms", some), Shows("open", none)
    return tuple(s for s in told if s.faults)


def _ohms(bench: Bench, fault: Fault, setting: Setting, pair: Points) -> list[Ohms]:
    return bench.ohms(bench.plain(fault), setting, pair)


def _fit_ohms(may: list[tuple[Fault, list[Ohms]]], value: float | None) -> Iterator[str]:
    for f, each in may:
        if not each or any(not apart(r.ohms, value) for r in each):
            yield f.id


def _left(shows: Sequence[Shows], left: Sequence[Fault]) -> float:
    """How many faults a test leaves on the average."""
    counts = [len(s.faults) for s in shows if s.faults]
    total = sum(counts)
    return sum(c * c for c in counts) / total if total else float(len(left))
