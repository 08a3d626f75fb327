"""Every AC solution that a test makes the engine work out is weighed: currents at nodes, power in and out.

Kirchhoff's laws and Tellegen's theorem (any circuits textbook) hold whatever way a network is solved, so they
are checked from the solution alone: the node equations are not written down a second time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wirecheck.checks import feeds
from wirecheck.engine.plain import evaluator
from wirecheck.engine.plain.solve import fixed_volts, solve

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import pytest

    from wirecheck.circuit.elements import Impedance, Transformer
    from wirecheck.engine.plain.network import Part
    from wirecheck.engine.plain.solve import Solution

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

    monkeypatch.setattr(evaluator, "solve", balanced)
    monkeypatch.setattr(feeds, "solve", balanced)
    return weighed


def weigh(
    part: Part, transformers: Mapping[str, Transformer], scenario: Mapping[str, int], found: Solution
) -> None:
    """Raise where currents, volts, ratios or power do not balance. A shorted part has no solution to weigh."""
    if found.shorted is not None:
        return
    known = fixed_volts(part, scenario)
    assert all(close(found.volts[n], v, abs(v)) for n, v in known.items()), "a pole stands at its own phasor"
    leaving, flow = currents(part, found)
    for n in range(part.size):
        if n not in known:
            assert close(leaving[n], 0, flow), f"node {n}: {leaving[n]} A of {flow} A"
    for core, windings in part.cores:
        ratios(transformers[core], [found.volts[a] - found.volts[b] for a, b in windings])
    powers(part, known, found, leaving)


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


def ratios(transformer: Transformer, volts: list[complex]) -> None:
    """Every winding has the same volts per turn."""
    each = [v / turns for v, (_, _, turns) in zip(volts, transformer.windings, strict=True)]
    assert all(close(e, each[0], max(map(abs, each)) * 100) for e in each), f"volts per turn: {each}"


def powers(part: Part, known: Mapping[int, complex], found: Solution, leaving: list[complex]) -> None:
    """What the poles give is what the impedances take; an ideal transformer takes nothing."""
    given = sum((v * leaving[n].conjugate() for n, v in known.items()), 0j)
    taken = sum((found.across[i] * found.amps[i].conjugate() for i, *_ in part.branches), 0j)
    apparent = sum(abs(found.across[i] * found.amps[i]) for i, *_ in part.branches)
    assert close(given, taken, apparent), f"{given} VA in, {taken} VA out"
    real = sum((found.across[i] * found.amps[i].conjugate()).real for i, *_ in part.branches)
    assert real > -SHARE * apparent - NOTHING, "impedances give power"


def close(one: complex, other: complex, whole: float) -> bool:
    return abs(one - other) <= SHARE * whole + NOTHING


def counted(monkeypatch: Any, run: Callable[[], object]) -> int:
    """How many solutions a run weighed."""
    weighed = weigh_all(monkeypatch)
    run()
    return weighed[0]
