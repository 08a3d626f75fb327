"""SVG: well formed, the same bytes every time, whatever the names are."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.draw.circuits import Bench, unit
from tests.draw.test_ladder import faults, ladder_of
from tests.draw.test_pair import fan_cycling
from wirecheck.draw.ladder import whole
from wirecheck.draw.pair import before_after
from wirecheck.draw.pieces import Label, Symbol
from wirecheck.draw.shapes import SHAPES
from wirecheck.draw.svg import svg
from wirecheck.draw.text import colour_letters, fitted_terminal, gauge_number, plain, short, width, wrapped

ROOT = Path(__file__).parents[2]
HOSTILE = '<script>alert("1")</script>&\u202e]]>\x07'


def parsed(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)  # noqa: S314


def shown(root: ElementTree.Element) -> set[str]:
    return {"".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")}


def test_every_label_and_symbol_of_the_pieces_is_in_the_file() -> None:
    sheet = before_after(fan_cycling())
    root = parsed(svg(sheet))
    pieces = [piece for panel in sheet.panels for piece in panel.pieces]
    assert {p.text for p in pieces if isinstance(p, Label)} <= shown(root)
    keys = [e.get("data-key") for e in root.iter() if e.get("data-key")]
    assert sorted(keys) == sorted(p.key for p in pieces if isinstance(p, Symbol))
    assert root.get("viewBox") == f"-10 -10 {sheet.width + 20:g} {sheet.height + 20:g}"


def test_the_same_bytes_in_another_process_with_another_hash_seed() -> None:
    code = (
        "from tests.draw.test_pair import fan_cycling\n"
        "from wirecheck.draw.overview import dot\n"
        "from wirecheck.draw.pair import before_after\n"
        "from wirecheck.draw.svg import svg\n"
        "import sys\n"
        "sys.stdout.buffer.write((svg(before_after(fan_cycling())) + dot(fan_cycling())).encode())"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            cwd=ROOT,
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert len(runs[0]) > 10_000
    assert runs[0] == runs[1]


def test_names_are_text_and_nothing_else() -> None:
    bench = Bench()
    bench.supply(L=120, N=0, PE=0)
    tag = HOSTILE
    bench.heater(tag)
    bench.wire(HOSTILE, "MAINS.L", f"{tag}.1", HOSTILE, HOSTILE)
    bench.wire("W2", f"{tag}.2", "MAINS.N")
    circuit = bench.circuit(HOSTILE)
    text = svg(whole(circuit))
    root = parsed(text)
    assert not list(root.iter("{http://www.w3.org/2000/svg}script"))
    assert "\u202e" not in text
    assert "U+202E" in text
    assert faults(ladder_of(circuit), circuit) == []


def test_long_names_are_cut_in_the_picture_and_whole_in_the_file() -> None:
    bench = unit()
    name = "the compressor on the north side of the roof"
    bench.heater(name)
    bench.line("Z", "MAINS.L1", f"{name}.1", f"{name}.2", "MAINS.L2")
    circuit = bench.circuit()
    assert faults(ladder_of(circuit), circuit) == []
    assert name in svg(whole(circuit))


def test_the_file_asks_for_nothing_from_outside() -> None:
    text = svg(before_after(fan_cycling()))
    assert text.count("http") == text.count("http://www.w3.org/")
    assert "url(data:font/woff2;base64," in text
    assert text.count("url(") == 2


def test_every_symbol_can_be_drawn_within_its_box() -> None:
    for name, shape in SHAPES.items():
        assert parsed(f"<g>{shape.ink}</g>") is not None, name
        assert 0 < shape.half <= shape.side
        assert min(shape.top, shape.bottom) > 0


@pytest.mark.parametrize("picture", ["ladder", "pair"])
def test_a_renderer_draws_it(picture: str) -> None:
    resvg_py = pytest.importorskip("resvg_py")
    text = svg(whole(unit().circuit()) if picture == "ladder" else before_after(fan_cycling()))
    assert bytes(resvg_py.svg_to_bytes(svg_string=text, skip_system_fonts=True))[:4] == b"\x89PNG"


def test_widths_come_from_the_font() -> None:
    # Roboto 2.138, advances of A and W in units of 2048 to the em: 1336 and 1817 (its hmtx table).
    assert width("A", 2048) == 1336
    assert width("AW", 11) == pytest.approx((1336 + 1817) / 2048 * 11)
    assert width("A", 11, bold=True) > width("A", 11)
    assert width("漢", 11) == 11


def test_texts_are_cut_broken_and_cleaned() -> None:
    assert short("x" * 30) == "x" * 23 + "…"
    assert plain("a\u202eb\nc") == "aU+202EbU+000Ac"
    assert wrapped("one two three", width("one two", 11), 11) == ("one two", "three")
    assert fitted_terminal("K1.T2", 100, 11) == "K1.T2"
    cut = fitted_terminal("a-very-long-device-name-7.T2", 80, 11)
    assert cut.endswith("7.T2")
    assert width(cut, 11) <= 80


@pytest.mark.parametrize(
    ("colour", "letters"),
    [
        ("yellow", "YE"),
        ("white/brown", "WHBN"),
        ("Green-Yellow", "GNYE"),
        (None, "?"),
        ("puce", "puce"),
        ("purple", "VT"),
    ],
)
def test_colours_have_the_letters_of_the_standard(colour: str | None, letters: str) -> None:
    # IEC 60757 (from memory: check).
    assert colour_letters(colour) == letters


@pytest.mark.parametrize(
    ("gauge", "number"), [("18 AWG", "18"), ("1.5 mm2", "1.5mm2"), (None, ""), ("2/0 AWG", "2/0")]
)
def test_a_bare_gauge_is_awg(gauge: str | None, number: str) -> None:
    assert gauge_number(gauge) == number
