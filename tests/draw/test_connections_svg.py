"""Connection diagrams as SVG: well formed, named, levelled, the same bytes, whatever the names are."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.draw.circuits import Bench, cabinet, change_of, unit
from tests.draw.connecting import faults_of, overlaps, runs
from tests.draw.test_pair import fan_cycling
from tests.draw.test_svg import HOSTILE
from wirecheck.circuit.graph import Changed, PlainStep
from wirecheck.draw import connections
from wirecheck.draw.connections.pieces import Body, Terminal
from wirecheck.draw.pieces import Label, Plate

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"


def parsed(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)  # noqa: S314 our own output


def ids(root: ElementTree.Element, kind: str) -> Counter[str]:
    return Counter(e.get("data-id", "") for e in root.iter(f"{SVG}g") if e.get("class") == kind)


def shown(root: ElementTree.Element) -> set[str]:
    return {(e.text or "") for e in root.iter(f"{SVG}text")}


def test_every_piece_is_in_the_file_under_its_name() -> None:
    for both in connections.before_after(change_of(cabinet(40, seed=2), seed=2)):
        for sheet in (both.before, both.after):
            root = parsed(connections.svg(sheet))
            pieces = sheet.pieces
            assert ids(root, "wire") == Counter(run.key for run in runs(sheet))
            assert ids(root, "terminal") == Counter(p.key for p in pieces if isinstance(p, Terminal))
            bodies = (p.key for p in pieces if isinstance(p, Body) and p.look != "space")
            assert ids(root, "device") == Counter(bodies)
            assert {p.text for p in pieces if isinstance(p, Label | Plate)} <= shown(root)
            assert len([e for e in root.iter(f"{SVG}path") if e.get("class") == "casing"]) == sum(
                run.changed for run in runs(sheet)
            )


def test_each_way_is_written_once_for_gap_edge_and_core() -> None:
    (sheet,) = connections.sheets(unit().circuit())
    root = parsed(connections.svg(sheet, prefix="x"))
    ways = [path.get("id") for path in root.iter(f"{SVG}path") if path.get("id")]
    assert len(ways) == len(set(ways)) == len(runs(sheet))
    uses = Counter(use.get("href") for use in root.iter(f"{SVG}use"))
    assert uses == {f"#{way}": 2 for way in ways}
    assert all(str(way).startswith("x") for way in ways)


def test_levels_stand_where_they_are_known_and_nowhere_at_rest() -> None:
    (sheet,) = connections.sheets(unit().circuit())
    assert "data-level=" not in connections.svg(sheet).partition("</style>")[2]
    levels = {"A.1": "current", "K1.13": "voltage", "MAINS.N": "none", "K1": "voltage"}
    root = parsed(connections.svg(sheet, levels))
    level = {
        (e.get("class"), e.get("data-id")): e.get("data-level")
        for e in root.iter(f"{SVG}g")
        if e.get("data-id")
    }
    assert level["wire", "A.1"] == "current"
    assert level["terminal", "K1.13"] == "voltage"
    assert level["terminal", "MAINS.N"] == "none"
    assert level["device", "K1"] == "voltage"
    assert level["wire", "A.2"] == "unknown"
    assert level["device", "DS"] is None
    asked = [e for e in root.iter(f"{SVG}text") if e.get("class") == "q"]
    assert len(asked) == 2 * len(runs(sheet))


def test_each_side_of_a_change_has_its_own_levels() -> None:
    levels = {"before": {"C.1": "current"}, "after": {"C.1": "voltage"}}
    root = parsed(connections.whole(fan_cycling(), levels, "In this state: PS open"))
    found = [
        (side.get("data-side"), wire.get("data-level"))
        for side in root.iter(f"{SVG}g")
        for wire in side
        if wire.get("data-id") == "C.1" and wire.get("class") == "wire"
    ]
    at_rest = [(None, None)] * 2  # close-ups: at K1.14 before, at S1 after
    assert found == [("before", "current"), ("after", "voltage"), *at_rest]
    assert "In this state: PS open" in shown(root)


@pytest.mark.parametrize(
    ("colour", "strokes"),
    [("white/brown", ["#fff", "#7a4a1e"]), ("green-yellow", ["#1e8c3a", "#ffd500"]), ("blue", ["#1457c8"])],
)
def test_cores_have_the_colours_of_the_insulation(colour: str, strokes: list[str]) -> None:
    bench = Bench()
    bench.supply(L=120, N=0)
    bench.heater("H")
    bench.wire("W1", "MAINS.L", "H.1", colour)
    (sheet,) = connections.sheets(bench.circuit())
    uses = [use for use in parsed(connections.svg(sheet)).iter(f"{SVG}use") if use.get("stroke")]
    assert [use.get("stroke") for use in uses] == strokes


@pytest.mark.parametrize("colour", [None, "puce"])
def test_a_core_of_no_known_colour_is_dotted(colour: str | None) -> None:
    bench = Bench()
    bench.heater("H")
    bench.wire("W1", "S1", "H.1", colour)
    (sheet,) = connections.sheets(bench.circuit())
    uses = [use.get("class") for use in parsed(connections.svg(sheet)).iter(f"{SVG}use")]
    assert uses == ["edge", "core dots"]
    assert any(text.startswith(colour or "?") for text in shown(parsed(connections.svg(sheet))))


def test_the_same_bytes_in_another_process_with_another_hash_seed() -> None:
    code = (
        "from tests.draw.circuits import cabinet, change_of\n"
        "from wirecheck.draw import connections\n"
        "import sys\n"
        "changed = change_of(cabinet(40, 5), 5)\n"
        "sys.stdout.buffer.write(connections.whole(changed).encode())"
    )
    made = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            cwd=ROOT,
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert len(made[0]) > 50_000
    assert made[0] == made[1]


def test_names_are_text_and_nothing_else() -> None:
    bench = Bench()
    bench.supply(L=120, N=0, PE=0)
    for tag in (HOSTILE, "x" * 10_000, "🔥 oven", "a rather long name of a device", "]]><svg onload=x>"):
        bench.heater(tag)
        bench.wire(f"W {tag}", "MAINS.L", f"{tag}.1", HOSTILE, HOSTILE)
        bench.wire(f"V {tag}", f"{tag}.2", "S & <b>", "black", "18 AWG")
    before = bench.circuit(HOSTILE)
    bench.wire("new", f"{HOSTILE}.2", "MAINS.N")
    step = PlainStep(1, "run", HOSTILE, ("new",), (), (f"{HOSTILE}.2", "MAINS.N"))
    changed = Changed(HOSTILE, before, bench.circuit(HOSTILE), (step,))
    text = connections.whole(changed)
    root = parsed(text)
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    assert not [name for e in root.iter() for name in e.keys() if name.startswith("on")]  # noqa: SIM118
    assert {e.tag.removeprefix(SVG) for e in root.iter()} <= {
        "svg", "title", "desc", "style", "rect", "g", "path", "circle", "use", "text",
    }  # fmt: skip
    assert "\u202e" not in text
    for side in ("before", "after"):
        sheets = [getattr(both, side) for both in connections.before_after(changed)]
        assert faults_of(sheets, getattr(changed, side)) == []
    for terminal in connections.touched(changed):
        assert overlaps(connections.closeup(changed, terminal)) == []


def test_the_file_asks_for_nothing_from_outside() -> None:
    text = connections.whole(fan_cycling())
    assert text.count("http") == text.count("http://www.w3.org/")
    assert text.count("url(") == 2
    assert "url(data:font/woff2;base64," in text


def test_a_drawing_for_a_page_brings_no_style_and_no_font() -> None:
    (both,) = connections.before_after(fan_cycling())
    text = connections.svg(both.after, bare=True, prefix="c1a")
    assert text.startswith('<svg class="connections" viewBox="-10 -10 380 ')
    assert "<style" not in text
    assert all(rule.startswith(".connections ") for rule in connections.STYLE.splitlines())


def test_the_whole_file_holds_every_sheet_step_and_closeup() -> None:
    changed = change_of(cabinet(40, seed=2), seed=2)
    text = shown(parsed(connections.whole(changed)))
    count = len(connections.before_after(changed))
    assert count > 1
    for number in range(1, count + 1):
        assert {f"Before, sheet {number} of {count}", f"After, sheet {number} of {count}"} <= text
    assert {f"Δ{step.number} {step.words}".strip() for step in changed.steps} <= text
    assert set(connections.touched(changed)) <= text
    alone = shown(parsed(connections.whole(unit().circuit())))
    assert {"Connections", "Conductors"} <= alone


def test_a_renderer_draws_it() -> None:
    resvg_py = pytest.importorskip("resvg_py")
    text = connections.whole(fan_cycling(), {"after": {"A.1": "current"}})
    assert bytes(resvg_py.svg_to_bytes(svg_string=text, skip_system_fonts=True))[:4] == b"\x89PNG"


def test_a_large_drawing_stays_small() -> None:
    sheets = connections.sheets(cabinet(150, seed=1).circuit())
    size = sum(len(connections.svg(sheet, {}, bare=True, prefix=f"c{sheet.number}")) for sheet in sheets)
    assert size < 1_250 * 150
