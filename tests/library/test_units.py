"""Every unit of the library: complete, sound by itself, does what the trade knows it to do, is drawn well."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.design.test_schemas import plain, validator
from tests.draw.test_ladder import faults, ladder_of
from tests.library.shelf import KINDS, NOTHING, USUAL, expectations, words
from wirecheck import api
from wirecheck.circuit.build import load_circuit, read_unit
from wirecheck.design.library import modifications

if TYPE_CHECKING:
    from pathlib import Path

    from wirecheck.design.library import UnitKind
    from wirecheck.design.models import Wire
    from wirecheck.questions.states import Row

each_kind = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)


def at_work(row: Row) -> frozenset[str]:
    """The loads that are not off and the relays that are in."""
    loads = {f"{name} {word}" for name, word in row.loads.items() if word != "off"}
    return frozenset(loads | {f"{name} {word}" for name, word in row.relays.items() if word != "out"})


def position(text: str) -> dict[str, str]:
    """`TH.cool closed, HP open` as inputs."""
    return {} if text == USUAL else dict(part.split(" ") for part in text.split(", "))


@each_kind
def test_states(kind: UnitKind) -> None:
    """Whatever is not named stands as in ordinary operation, and what is not named there is off or out."""
    rows = api.states(str(kind.path))[1].rows
    usual = rows[0].inputs
    wrong = []
    for at, are in expectations(kind)["states"].items():
        moved = position(at)
        assert moved.keys() <= usual.keys(), at
        found = {at_work(row) for row in rows if row.inputs == usual | moved}
        if found != {words(text) for text in are.split(" or ")}:
            wrong.append(f"{at}: {[sorted(f) for f in found]}")
    assert wrong == []


@each_kind
def test_every_load_and_relay_of_the_table_works_somewhere(kind: UnitKind) -> None:
    """So that the table is no table of a part of the unit."""
    row = api.states(str(kind.path))[1].rows[0]
    texts = expectations(kind)["states"].values()
    told = {word.split()[0] for text in texts for part in text.split(" or ") for word in words(part)}
    assert NOTHING in expectations(kind)["states"].values()
    assert {*row.loads, *row.relays} - told == NOT_CALLED.get(kind.name, set())


NOT_CALLED = {"walk-in-freezer": {"LT"}}
"""The light: its switch is held open."""


@each_kind
def test_no_change_fails_nothing(kind: UnitKind, tmp_path: Path) -> None:
    nothing = tmp_path / "nothing.yaml"
    nothing.write_text("change: {name: nothing}\n", encoding="utf-8")
    answer = api.verify(str(kind.path), str(nothing))[1]
    assert answer.verdict == "pass"
    assert [f for f in answer.findings if f.verdict in ("fail", "unknown")] == []
    assert any(f.check == "loose-ends" and f.verdict == "pass" for f in answer.findings)


@each_kind
def test_every_conductor_is_told_in_full(kind: UnitKind) -> None:
    unit = read_unit(kind.path)[0]
    assert unit.wires
    assert unit.rungs == ()
    bare = [w.id for w in unit.wires if not (w.color and w.gauge and w.route and w.length)]
    assert bare == []
    earth = {w.id for w in unit.wires if w.color == "green" and _earth(w)}
    assert {w.id for w in unit.wires if w.insulation is None} == earth


def _earth(wire: Wire) -> bool:
    return any(end.startswith(("GND.", "MAINS.PE")) for end in (wire.from_, wire.to))


@each_kind
def test_it_has_what_the_trade_demands(kind: UnitKind) -> None:
    """Sentences, a way to make it dead, a fuse in the control circuit, every frame on the earth bar."""
    unit = read_unit(kind.path)[0]
    assert len(unit.expects) >= 3
    assert kind.title
    assert kind.about
    kinds_of_device = {device.type for device in unit.devices.values()}
    assert {"fuse", "earth-bar", "terminal-strip"} <= kinds_of_device
    assert any(name.startswith("disconnect") for name in kinds_of_device)
    frames = {end for w in unit.wires for end in (w.from_, w.to) if end.startswith("FRAMES.")}
    strip = unit.devices["FRAMES"].figures["terminals"]
    assert frames == {f"FRAMES.{n}" for n in range(1, strip + 1)}


@each_kind
def test_ladder(kind: UnitKind) -> None:
    circuit = load_circuit(kind.path)
    assert faults(ladder_of(circuit), circuit) == []


@each_kind
def test_an_editor_takes_unit_and_changes(kind: UnitKind) -> None:
    paths = [(kind.path, "unit"), *((m.path, "change") for m in modifications(kind))]
    for path, schema in paths:
        errors = validator(schema).iter_errors(plain(path.read_text(encoding="utf-8")))
        assert [f"{path.name} {e.json_path}: {e.message}" for e in errors] == []
