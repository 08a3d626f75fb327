"""Ohms between terminals, by `meter --ohms` and by the AC solution, against networkx's resistance distance.

Source: networkx, `resistance_distance`: Klein, Randić, Resistance Distance, J. of Math. Chem. 12 (1993) 81.
Tolerance 1e-6: both solve the same linear equations in double precision.
"""

from __future__ import annotations

import random

import networkx as nx
import pytest

from tests.outside.looked import circuit, look
from wirecheck.questions.ohms import ohms

SERIES = 100.0  # ohms ahead of the network where it is fed


def network(seed: int) -> nx.MultiGraph:
    """Five to nine nodes, some pairs joined by more than one resistor, some not joined to the rest."""
    rng = random.Random(seed)  # noqa: S311 - the same networks on every run
    graph: nx.MultiGraph = nx.MultiGraph()
    graph.add_nodes_from(range(1, rng.randint(5, 9) + 1))
    for _ in range(rng.randint(6, 18)):
        a, b = rng.sample(sorted(graph), 2)
        graph.add_edge(a, b, ohms=rng.choice([0.4, 1.2, 8, 26, 144, 576, 1440, 5000]))
    return graph


def written(graph: nx.MultiGraph, fed: bool) -> str:
    """A strip with a terminal for each node, resistors between them; fed: 120 V through SERIES at
    terminal 1.
    """
    devices = [f"  R{k}: {{type: resistor, ohms: {d['ohms']}}}" for k, (_, _, d) in each(graph)]
    wires = [
        f"  - {{id: W{k}{end}, from: TS.{n}, to: R{k}.{end}}}"
        for k, (a, b, _) in each(graph)
        for end, n in ((1, a), (2, b))
    ]
    if fed:
        devices.append(f"  RS: {{type: resistor, ohms: {SERIES}}}")
        wires += ["  - {id: WA, from: MAINS.L, to: RS.1}", "  - {id: WB, from: RS.2, to: TS.1}"]
        wires.append("  - {id: WC, from: TS.2, to: MAINS.N}")
    lines = ["unit: {name: resistors}", "supplies: {MAINS: {kind: single-phase, volts: 120}}", "devices:"]
    lines += [f"  TS: {{type: terminal-strip, terminals: {len(graph)}}}", *devices, "wires:", *wires]
    return "\n".join(lines) + "\n"


def each(graph: nx.MultiGraph) -> list[tuple[int, tuple[int, int, dict[str, float]]]]:
    return list(enumerate(graph.edges(data=True), 1))


def distance(graph: nx.MultiGraph, a: int, b: int) -> float | None:
    """Ohms by networkx; None where nothing joins the two."""
    whole = graph.subgraph(nx.node_connected_component(graph, a))
    return float(nx.resistance_distance(whole, a, b, weight="ohms")) if b in whole else None


@pytest.mark.parametrize("seed", range(12))
def test_ohmmeter(seed: int) -> None:
    graph = network(seed)
    of = circuit(written(graph, fed=False))
    for a, b in ((1, 2), (1, len(graph)), (2, 3), (3, 5)):
        found, expected = ohms(of, f"TS.{a}", f"TS.{b}"), distance(graph, a, b)
        if expected is None:
            assert (found.reads, found.ohms) == ("open", None)
        else:
            assert found.reads == "value"
            assert found.ohms == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_voltage_divider(seed: int) -> None:
    """R across terminals 1 and 2 shows as 120 R / (R + SERIES) volts."""
    graph = network(seed)
    expected = distance(graph, 1, 2)
    volts = look(written(graph, fed=True)).volts("TS.1", "TS.2")
    share = 1.0 if expected is None else expected / (expected + SERIES)
    assert volts == pytest.approx(120 * share, rel=1e-6)
