"""The overview: each pair of devices once, with its number of conductors; names inert; no square lines."""

from __future__ import annotations

import re
import sys
from xml.etree import ElementTree

import pytest

from tests.draw.circuits import Bench, unit
from tests.draw.test_pair import fan_cycling
from wirecheck.draw import overview


def lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines()]


def test_each_pair_is_one_line_with_its_number_of_conductors() -> None:
    text = overview.dot(unit().circuit())
    assert "nDS -- nK1 [label=2]" in lines(text)
    assert "nK1 -- nCOMP [label=2]" in lines(text)
    drawn = [line for line in lines(text) if " -- " in line]
    pairs = [line.partition(" [")[0] for line in drawn]
    assert len(pairs) == len(set(pairs))
    total = sum(int(line.partition("label=")[2].rstrip("]")) for line in drawn)
    assert total == len(unit().conductors)


def test_of_a_change_new_and_gone_bear_the_steps_numbers() -> None:
    text = overview.dot(fan_cycling())
    assert 'nPS [label="PS Δ1 new" penwidth=2.4 shape=box style=dashed]' in lines(text)
    fan = next(line for line in lines(text) if line.startswith("nK1 -- nFAN"))
    assert r'label="1\nC.1 Δ2 lifted"' in fan
    assert any(r'"1\nW20 Δ4 new"' in line for line in lines(text))


def test_no_ports_and_no_orthogonal_lines() -> None:
    text = overview.dot(fan_cycling())
    assert "splines" not in text
    assert not re.search(r"\bn\w*:", text)


def test_the_program_from_the_registry_draws_every_device() -> None:
    circuit = unit().circuit()
    root = ElementTree.fromstring(overview.svg(circuit))  # noqa: S314
    texts = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert set(circuit.devices) | {"MAINS", "bench"} <= texts


def test_hostile_names_are_text() -> None:
    bench = Bench()
    bench.supply(L=120, N=0, PE=0)
    tag = '<b>x</b>\\n"\\N:port\u202e'
    bench.heater(tag)
    bench.wire("W1", "MAINS.L", f"{tag}.1")
    root = ElementTree.fromstring(overview.svg(bench.circuit('"]; x [label=y')))  # noqa: S314
    texts = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert '<b>x</b>\\n"\\N:portU+202E' in texts
    assert '"]; x [label=y' in texts
    assert (
        len(list(root.iter("{http://www.w3.org/2000/svg}title"))) == 1 + 2 + 1
    )  # graph, two devices, one line


def test_a_program_that_is_not_there_or_fails_is_said_so() -> None:
    with pytest.raises(overview.NoDot, match="there is no program no-such-dot"):
        overview.svg(unit().circuit(), dot_program="no-such-dot")
    with pytest.raises(overview.NoDot, match="failed, code"):
        overview.svg(unit().circuit(), dot_program=sys.executable)


def test_the_setting_of_the_library_is_put_back() -> None:
    from graphviz.backend import dot_command

    usual = dot_command.DOT_BINARY
    overview.svg(unit().circuit())
    assert usual == dot_command.DOT_BINARY
