"""Every AC solution that a test makes the engine work out is weighed: currents at nodes, power in and out.

Kirchhoff's laws and Tellegen's theorem (any circuits textbook) hold whatever way a network is solved, so they
are checked from the solution alone: the node equations are not written down a second time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.engine import feeds, figures, solved
from wirecheck.engine.solve import fixed_volts, solve

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pytest

    from wirecheck.circuit.elements import Impedance, Transformer
    from wirecheck.engine.network import Part
    from wirecheck.engine.solve import Solution

SHARE = 1e-6  # of all that flows: rounding, and the engine's own slack in an ideal transformer
NOTHING = 1e-7  # A, V·A: below this nothing flows


def weigh_all(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Put the balance in front of every solution; the list counts them."""
    weighed = [0]

    def balanced(
        part: Part,
        impedances: Mapping[str, Impedance],
        transformers: Mapping[str, Transformer],
        hertz: float,
        scenario: Mapping[str, int],
    ) -> Solution:
        found = solve(part, impedances, transformers, hertz, scenario)
        weigh(part, transformers, scenario, found)
        weighed[0] += 1
        return found

    monkeypatch.setattr(solved, "solve", balanced)
    monkeypatch.setattr(feeds, "solve", balanced)
    return weighed


def weigh(
    part: Part, transformers: Mapping[str, Transformer], scenario: Mapping[str, int], found: Solution
) -> None:
    """Raise where currents, volts, ratios or power do not balance. A shorted part has no solution to
    weigh.
    """
    if found.shorted is not None:
        return
    known = fixed_volts(part, scenario)
    assert all(close(found.volts[n], v, abs(v)) for n, v in known.items()), "a pole stands at its own phasor"
    leaving, flow = currents(part, found)
    for n in range(part.size):
        if n not in known:
            assert close(leaving[n], 0, flow), f"node {n}: {leaving[n]} A of {flow} A"
    for core, windings in part.cores:
        volts = [found.volts[a] - found.volts[b] for a, b in windings]
        ratios(transformers[core], volts, found.winding_amps[core])
    kept = sum(core_va(transformers[core], found, core, windings) for core, windings in part.cores)
    powers(part, known, found, leaving, kept)


def core_va(
    transformer: Transformer, found: Solution, core: str, windings: tuple[tuple[int, int], ...]
) -> float:
    """What the engine lets a core take, VA: MAGNETISING_VA and SERIES_SHARE of figures.py."""
    per_turn = [
        abs(found.volts[a] - found.volts[b]) / turns
        for (a, b), (_, _, turns) in zip(windings, transformer.windings, strict=True)
    ]
    amp_turns = [
        abs(turns * i)
        for (_, _, turns), i in zip(transformer.windings, found.winding_amps[core], strict=True)
    ]
    lost = figures.SERIES_SHARE * sum(at**2 for at in amp_turns)
    return 2 * (figures.MAGNETISING_VA * max(per_turn) ** 2 + lost)


def currents(part: Part, found: Solution) -> tuple[list[complex], float]:
    """The current that leaves each node into the network, and how much flows in all, A."""
    leaving = [0j] * part.size
    flow = 0.0
    for (a, b), i in streams(part, found):
        leaving[a] += i
        leaving[b] -= i
        flow += abs(i)
    return leaving, flow


def streams(part: Part, found: Solution) -> list[tuple[tuple[int, int], complex]]:
    """Each way that carries current: its two nodes and the amperes from the first to the second."""
    ways = []
    for name, a, b, _ in part.branches:
        assert close(found.across[name], found.volts[a] - found.volts[b], abs(found.across[name]))
        ways.append(((a, b), found.amps[name]))
    for core, windings in part.cores:
        ways += list(zip(windings, found.winding_amps[core], strict=True))
    return ways


def ratios(transformer: Transformer, volts: list[complex], amps: tuple[complex, ...]) -> None:
    """Every winding has the same volts per turn, but for the share that parallel secondaries are given
    in series.
    """
    turns = [t for _, _, t in transformer.windings]
    each = [v / t for v, t in zip(volts, turns, strict=True)]
    lost = 2 * figures.SERIES_SHARE * sum(t * abs(i) for t, i in zip(turns, amps, strict=True))
    slack = SHARE * max(map(abs, each)) + NOTHING + lost
    assert all(abs(e - each[0]) <= slack for e in each), f"volts per turn: {each}"


def powers(
    part: Part, known: Mapping[int, complex], found: Solution, leaving: list[complex], kept: float
) -> None:
    """What the poles give is what the impedances take; an ideal transformer takes nothing but `kept`."""
    given = sum((v * leaving[n].conjugate() for n, v in known.items()), 0j)
    taken = sum((found.across[i] * found.amps[i].conjugate() for i, *_ in part.branches), 0j)
    apparent = sum(abs(found.across[i] * found.amps[i]) for i, *_ in part.branches)
    assert abs(given - taken) <= SHARE * apparent + NOTHING + kept, f"{given} VA in, {taken} VA out"
    real = sum((found.across[i] * found.amps[i].conjugate()).real for i, *_ in part.branches)
    assert real > -SHARE * apparent - NOTHING, "impedances give power"


def close(one: complex, other: complex, whole: float) -> bool:
    return abs(one - other) <= SHARE * whole + NOTHING
