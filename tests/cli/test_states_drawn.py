"""`draw` with a state, as a picture and as a page."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tests.cli.conftest import Result, wirecheck

if TYPE_CHECKING:
    from collections.abc import Callable

    import pytest

DEMO = Path(__file__).parents[2] / "examples/tidewater-playhouse"
FILES = (DEMO / "unit.yaml", DEMO / "change.yaml")


def levels(svg: str, name: str) -> set[str]:
    return set(re.findall(rf'data-id="{re.escape(name)}" data-level="(\w+)"', svg))


def test_a_state_before_and_after(tmp_path: Path) -> None:
    out = tmp_path / "state.svg"
    assert wirecheck("draw", *FILES, "--when", "TH.cool closed, PS open", "-o", out).code == 0
    svg = out.read_text(encoding="utf-8")
    before, after = svg.split('data-panel="after"')
    assert (levels(before, "FAN"), levels(after, "FAN")) == ({"current"}, {"voltage"})
    assert levels(after, "W21") == levels(after, "PS") == {"voltage"}
    assert 'data-is="FAN" data-does="works"' in before
    assert 'data-contact="PS.switch" data-shut="0"' in after
    assert "In this state: " in svg


def test_a_load_that_hums_has_its_word(tmp_path: Path) -> None:
    out = tmp_path / "state.svg"
    wrong = DEMO / "change-main-lead.yaml"
    assert wirecheck("draw", FILES[0], wrong, "--when", "TH.cool closed, PS open", "-o", out).code == 0
    after = out.read_text(encoding="utf-8").split('data-panel="after"')[1]
    assert re.search(r'data-does-of="FAN">stalls<', after)


def test_relays_and_delays_may_be_held(tmp_path: Path) -> None:
    lockout = DEMO.parent / "lockout"
    out = tmp_path / "locked.svg"
    held = ("--when", "LR in, HP closed, TH.cool closed")
    assert wirecheck("draw", lockout / "unit.yaml", lockout / "change.yaml", *held, "-o", out).code == 0
    after = out.read_text(encoding="utf-8").split('data-panel="after"')[1]
    assert 'data-is="COMP" data-does="still"' in after
    assert 'data-is="LR" data-does="works"' in after


def test_the_connection_diagram_in_a_state(tmp_path: Path) -> None:
    out = tmp_path / "c.svg"
    done = wirecheck("draw", *FILES, "--only", "connections", "--when", "TH.cool closed", "-o", out)
    assert done.code == 0
    assert levels(out.read_text(encoding="utf-8"), "W5") == {"current"}


def test_what_cannot_be_shown_is_bad_input(tmp_path: Path) -> None:
    for held, code in (("TH.cold closed", "unknown-name"), ("HP open, PS open", "cannot-be-together")):
        done = wirecheck("draw", *FILES, "--when", held, "-o", tmp_path / "x.svg")
        assert done.code == 2
        assert done.err.startswith("--when:1:")
        assert code in done.err
    assert list(tmp_path.iterdir()) == []


def test_png(tmp_path: Path) -> None:
    out = tmp_path / "unit.png"
    assert wirecheck("draw", FILES[0], "-o", out).code == 0
    assert out.read_bytes().startswith(b"\x89PNG\r\n")


def test_png_without_the_extra_says_what_to_install(
    tmp_path: Path, here: Callable[..., Result], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)  # importing it fails as if it were not installed
    done = here("draw", FILES[0], "-o", tmp_path / "unit.png")
    assert done.code == 2
    assert "no-png-renderer" in done.err
    assert "pip install" in done.err
    assert list(tmp_path.iterdir()) == []


def test_page(tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    done = wirecheck("draw", *FILES, "--when", "TH.cool open", "-o", out)
    assert done.code == 0
    text = out.read_text(encoding="utf-8")
    assert 'data-load="FAN" data-side="before">off<' in text
    assert text.startswith("<!doctype html>")


def test_a_page_opens_in_the_state_that_is_asked_for(tmp_path: Path) -> None:
    lockout = DEMO.parent / "lockout"
    out = tmp_path / "page.html"
    files = (lockout / "unit.yaml", lockout / "change.yaml")
    for held, word in (("LR in, HP closed, TH.cool closed", "off"), ("LR out, TH.cool closed", "runs")):
        assert wirecheck("draw", *files, "--when", held, "-o", out).code == 0
        assert f'data-load="COMP" data-side="after">{word}<' in out.read_text(encoding="utf-8")


def test_options_that_say_nothing_here_are_refused(tmp_path: Path) -> None:
    for options in (("--only", "ladder", "-o", "x.html"), ("--when", "DS open", "-o", "x.dot")):
        assert wirecheck("draw", *FILES, *options, cwd=tmp_path).code == 2
    assert list(tmp_path.iterdir()) == []
