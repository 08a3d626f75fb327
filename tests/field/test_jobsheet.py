"""The job sheet: what is computed on it, against rules and facts of the project's list, worked by hand."""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest

from tests.field.conftest import EXAMPLES, PLAYHOUSE, ROOT
from wirecheck import api
from wirecheck.questions.job.carry import carry, greatest_volts
from wirecheck.questions.job.cautions import cautions
from wirecheck.questions.job.routes import remarks
from wirecheck.questions.job.wires import new_wires
from wirecheck.report.job import marked, page, sheet

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Browser

    from tests.cli.conftest import Result
    from wirecheck.circuit.graph import Changed
    from wirecheck.report.job.blocks import Sheet

UNIT, CHANGE = PLAYHOUSE


@cache
def made() -> Sheet:
    return sheet.sheet(api.jobsheet(str(UNIT), str(CHANGE)))


def text_of(section: str) -> str:
    found = marked.text(made())
    return found[found.index(f"## {section}") :].split("\n## ")[0]


def changed_at(unit: str) -> Changed:
    return api.pair_of(str(EXAMPLES / unit / "unit.yaml"), str(EXAMPLES / unit / "change.yaml"))


# --- take along ---


def test_length_with_slack(slack: tuple[Path, Path]) -> None:
    """Project rule, worked example W22: a way of 4 ft is 4 x 1.1 + 2 x 0.5 = 5.4, so 6 ft."""
    wires = {w.wire.id: w for w in new_wires(api.pair_of(*map(str, slack)))}
    assert wires["W20"].cut_to == "6 ft"


@pytest.mark.parametrize(
    ("length", "cut_to"), [("6", "8 ft"), ("10 ft", "12 ft"), ("18 in", "3 ft"), ("2 m", "2.6 m")]
)
def test_length_in_other_units(slack: tuple[Path, Path], length: str, cut_to: str) -> None:
    """10 x 1.1 + 1 = 12 exactly; 1.5 ft x 1.1 + 1 = 2.65; 2 m x 1.1 + 0.3048 = 2.505."""
    text = slack[1].read_text(encoding="utf-8")
    slack[1].write_text(text.replace("length: 4 ft", f"length: {length}"), encoding="utf-8")
    wires = {w.wire.id: w for w in new_wires(api.pair_of(*map(str, slack)))}
    assert wires["W20"].cut_to == cut_to


def test_what_is_missing_is_to_be_measured(slack: tuple[Path, Path]) -> None:
    """No length is guessed; the gauge is at least that of the conductor that is extended."""
    wires = {w.wire.id: w for w in new_wires(api.pair_of(*map(str, slack)))}
    assert wires["W21"].cut_to == "length: measure"
    assert wires["W21"].measure == ("length", "route", "gauge")
    assert "gauge: measure, at least 18 AWG as W7" in wires["W21"].looks


def test_splices_by_number_and_gauge() -> None:
    items = [i for i in carry(api.pair_of(str(UNIT), str(CHANGE))) if i.group == "splice"]
    assert [(i.many, i.about) for i in items] == [("1 and a spare", "S1: W7, W20")]
    assert "2 × 18 AWG copper" in items[0].what


def test_a_bushing_for_the_knockout_that_both_conductors_share() -> None:
    items = [i for i in carry(api.pair_of(str(UNIT), str(CHANGE))) if i.group == "bushing"]
    assert [(i.many, i.about) for i in items] == [("1", "knockout with bushing: W20, W21")]


@pytest.mark.parametrize(
    ("unit", "volts", "category"), [("tidewater-playhouse", 240, "300 V"), ("greenhouse-fan", 208, "300 V")]
)
def test_meter_category_by_volts(unit: str, volts: float, category: str) -> None:
    changed = changed_at(unit)
    assert greatest_volts(changed) == pytest.approx(volts, abs=0.5)
    meter = next(i for i in carry(changed) if i.group == "meter")
    assert f"category III, {category} or more" in meter.what


def test_the_device_with_its_ratings() -> None:
    item = next(i for i in carry(api.pair_of(str(UNIT), str(CHANGE))) if i.about == "PS")
    assert "closes above 375 psig, opens below 275 psig" in item.what
    assert "240 V, 6 A running, 36 A locked rotor" in item.what


# --- cautions, routes ---


def test_one_pole_contactor_is_told_and_a_two_pole_one_is_not() -> None:
    """Fact 1; behind a two-pole contactor nothing of the load stays live (fact 2)."""
    one = [c.says for c in cautions(api.pair_of(str(UNIT), str(CHANGE)))]
    assert any(t.startswith("K1 out is not dead: K1.T1 and K1.T2 120 V to earth") for t in one)
    two = [c.says for c in cautions(changed_at("lockout"))]
    assert not any("is not dead" in t for t in two)


def test_what_stays_live_with_the_disconnect_open() -> None:
    says = [c.says for c in cautions(api.pair_of(str(UNIT), str(CHANGE)))]
    assert "With DS open these stay live: DS.L1 and DS.L2 120 V." in says


def test_cautions_only_where_they_apply() -> None:
    """Refrigerant is opened for a pressure switch, not for a delay relay."""
    pressure = [c for c in cautions(api.pair_of(str(UNIT), str(CHANGE))) if "do not vent" in c.says]
    assert [(c.moment, c.step) for c in pressure] == [("step", 1)]
    assert not any("do not vent" in c.says for c in cautions(changed_at("anti-short-cycle")))


def test_remarks_on_routes(slack: tuple[Path, Path]) -> None:
    found = remarks(api.pair_of(*map(str, slack)))
    assert "W20 through 'knockout': no bushing is named; fit one before the wire goes in." in found
    assert "No route is given for W21: look for sheet metal, heat and power on the way." in found


@pytest.mark.parametrize(
    ("route", "found"),
    [("thermostat conduit", True), ("control panel side", False), ("fan conduit", False)],
)
def test_line_and_control_in_one_raceway(slack: tuple[Path, Path], route: str, found: bool) -> None:
    """W30 carries 24 V. Beside W20 it is in one raceway with the line, unless they lie in the open panel."""
    unit, change = slack
    for path, old in (
        (unit, "route: control panel side, length: 1 ft}\n  - {id: W31"),
        (change, "route: knockout,"),
    ):
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1
        new = old.replace("knockout", route) if path == change else old
        if route == "thermostat conduit" and path == unit:
            new = old.replace("control panel side", route)
        path.write_text(text.replace(old, new), encoding="utf-8")
    said = [t for t in remarks(api.pair_of(str(unit), str(change))) if "in one raceway" in t]
    assert bool(said) == found
    assert not found or said[0].startswith("W20 (line) and W30 (control, 30 V or less)")


def test_a_splice_where_a_conductor_is_cut_is_outside(slack: tuple[Path, Path]) -> None:
    unit, change = slack
    change.write_text(
        "change: {name: joint in the conduit}\n"
        "steps:\n  - cut: {wire: W7}\n  - splice: {name: S1, join: [W7.a, W7.b]}\n",
        encoding="utf-8",
    )
    said = remarks(api.pair_of(str(unit), str(change)))
    assert any(t.startswith("Splice S1 lies where W7 is cut, in its route, 'fan conduit'") for t in said)


# --- the whole sheet ---


def test_readings_before_power() -> None:
    """Open, PS has the fan's main (38 ohm) and the compressor's (1.1) across it; to earth nothing."""
    text = text_of("Readings before power")
    assert "| PS.1 and PS.2 (through PS, PS open) | 39.1 Ω |" in text
    assert "| PS.1 and PS.2 (through PS, PS closed) | 0.0 Ω |" in text
    assert "| K1.T2 and MAINS.PE (to earth) | open |" in text


def test_the_right_conductor_is_proved_by_ohms_at_its_lift() -> None:
    assert "from the loose end of W7 to CAP.C 38.0 Ω; found:" in text_of("Steps")
    assert "Not W6 beside it on the same terminal: yellow, 10 AWG" in text_of("Steps")


def test_readings_with_power_on() -> None:
    text = text_of("Power on")
    assert "| DS.T1 and DS.T2 (supply behind DS) | 240 V |" in text
    assert "| K1.T2 and MAINS.PE (to earth) | 120 V |" in text
    accepted = text_of("Acceptance")
    assert "| volts from PS.1 to PS.2 | 240 V |" in accepted
    assert "| volts from FAN.common to FAN.main | 240 V |" in accepted


def test_the_acceptance_list_says_how_the_power_comes_on() -> None:
    """Power comes on at the disconnect: nobody is told to set a unit dead whose disconnect stands closed."""
    first = text_of("Acceptance").replace("\\", "").split("\n**1. ")[1].split("\n")[0]
    assert first.startswith("Before power: ")
    off, on, closed = first.partition("; then power on; ")
    assert "DS open" in off
    assert (on, closed) == ("; then power on; ", "then DS closed.**")


def test_a_change_that_fails_has_no_steps(here: Callable[..., Result]) -> None:
    done = here("jobsheet", UNIT, CHANGE.with_name("change-main-lead.yaml"), "-o", "-")
    assert done.code == 1
    assert "do not carry it out" in done.out
    assert "Take along" not in done.out
    assert "## Steps" not in done.out


def test_exit_code_and_endings(here: Callable[..., Result], tmp_path: Path) -> None:
    near = ROOT / "tests/specimens/valid/drop-out-near-pick-up"
    done = here("jobsheet", near / "unit.yaml", near / "change.yaml", "-o", tmp_path / "a.md")
    assert done.code == 3
    assert "**not decided**" in (tmp_path / "a.md").read_text(encoding="utf-8")
    assert here("jobsheet", UNIT, CHANGE, "-o", tmp_path / "a.pdf").code == 2


class Reader(HTMLParser):
    """Every tag closed in order, and nothing that acts or is fetched."""

    VOID = ("meta", "br", "link", "path", "rect", "circle", "line", "use", "polyline", "polygon")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        assert not any(name.startswith("on") or name in ("src", "href") for name, _ in attrs)
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID:
            assert self.open.pop() == tag


def test_the_page_is_whole_and_fetches_nothing() -> None:
    html = page.page(made())
    reader = Reader()
    reader.feed(html)
    assert reader.open == []
    assert "script" not in reader.seen
    assert reader.seen.count("svg") == 5  # K1.T2 twice, S1, PS.1, PS.2
    assert not re.search(r"https?://(?!www\.w3\.org)", html)
    ids = re.findall(r'(?<![\w-])id="([^"]+)"', html)
    assert len(set(ids)) == len(ids)


def test_what_a_file_says_stands_there_as_text(slack: tuple[Path, Path]) -> None:
    unit, change = slack
    text = unit.read_text(encoding="utf-8")
    evil = "'<script>alert(1)</script> | *x* # [a](b)'"
    unit.write_text(text.replace("name: CU-3, dimmer room", f"name: {evil}"), encoding="utf-8")
    change.write_text(CHANGE.with_name("change-main-lead.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    found = sheet.sheet(api.jobsheet(str(unit), str(change)))
    assert "<script" not in page.page(found)
    assert r"\<script\>alert(1)\</script\> \| \*x\* \# \[a\](b)" in marked.text(found)


def test_it_is_no_wider_than_a_phone(browser: Browser, tmp_path: Path) -> None:
    """390 px; nothing stands outside, and no word is broken where it is not too long for the line."""
    file = tmp_path / "job.html"
    file.write_text(page.page(made()), encoding="utf-8")
    shown = browser.new_page(viewport={"width": 390, "height": 844})
    shown.goto(file.as_uri())
    wide = shown.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => !e.closest('svg'))"
        ".map(e => e.getBoundingClientRect().right).reduce((a, b) => Math.max(a, b), 0)"
    )
    assert wide <= 390
    assert shown.evaluate("document.documentElement.scrollWidth") <= 390
    shown.close()
