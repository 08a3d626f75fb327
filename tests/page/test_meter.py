"""The page's meter: what it shows against `wirecheck.api.meter`, and its data against the plain evaluator."""

from __future__ import annotations

import random
import re
from itertools import product
from typing import TYPE_CHECKING

import pytest

from tests.page.pages import EXAMPLES, READ, Engine, made, opened
from tests.page.test_data import state_of
from wirecheck import api
from wirecheck.api.files import pair_of
from wirecheck.questions.meter import of_outcomes
from wirecheck.questions.shown import readings
from wirecheck.questions.shown.answer import shown
from wirecheck.report.page import meters
from wirecheck.report.reading import volts_words

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

# What stands in the table, hidden or not: the points, then the words of each side.
TABLE = """() => [...document.querySelectorAll(".meter tbody tr")]
    .map(r => [...r.cells].map(c => c.textContent))"""
STATES = 5  # of each example
PAIRS = 3  # of each state


def thrown(page: Page, chance: random.Random) -> None:
    """A few controls, at random."""
    controls = page.locator("[data-input]:enabled,[data-quantity]:not(:checked)")
    for _ in range(3):
        controls.nth(chance.randrange(controls.count())).evaluate("e => e.click()")


def told(example: str, side: str, ends: str, seen: dict[str, dict[str, str]]) -> str:
    """What `meter` says of two points in the state that a page shows."""
    folder = EXAMPLES / example
    change = str(folder / "change.yaml") if side == "after" else None
    drawn = pair_of(str(folder / "unit.yaml"), str(folder / "change.yaml"))
    circuit = drawn.after if side == "after" else drawn.before
    words = {n: w.split()[0] for n, w in seen["inputs"].items() if n in circuit.inputs}
    words |= {r: seen["words"][f"{side} {r}"] for r in circuit.relays}
    when = ", ".join(f"{n} {w}" for n, w in words.items())
    return volts_words(api.meter(str(folder / "unit.yaml"), change, *ends.split(" to "), when)[1])


@pytest.mark.parametrize("example", ["tidewater-playhouse", "lockout", "greenhouse-fan"])
def test_readings_are_those_of_the_command(browser: Browser, tmp_path: Path, example: str) -> None:
    page, wrong = opened(browser, made(example), tmp_path)
    chance, kinds = random.Random(5), set()  # noqa: S311 - from its seed
    for _ in range(STATES):
        thrown(page, chance)
        seen, table = page.evaluate(READ), page.evaluate(TABLE)
        for ends, *words in chance.sample(table, PAIRS):
            for side, word in zip(("before", "after"), words, strict=True):
                if word != "–":
                    assert word == told(example, side, ends, seen), (ends, side, seen)
                    kinds.add(word)
    assert len(kinds) > 2
    assert wrong == []


@pytest.mark.parametrize(
    ("example", "change"),
    [
        ("tidewater-playhouse", "change.yaml"),
        ("lockout", "change.yaml"),
        ("two-pumps", "change-open-contacts.yaml"),  # relays race
        ("smoke-shutdown", "change-joined.yaml"),  # two transformers
        ("hard-start", "change.yaml"),  # a start capacitor: currents decide
    ],
)
def test_readings_of_many_states(example: str, change: str) -> None:
    engine = Engine(example, change)
    page = shown(engine.changed)
    assert page.unread == ()
    wrong, count = [], 0
    for joint in engine.joints[:: max(1, len(engine.joints) // 40)]:
        state = state_of(page, engine, joint)
        for (side, k), ref in page.meters.items():
            inputs = engine.world.inputs(side == "after", joint.setting)
            ends = (joint.after,) if side == "after" else joint.befores
            wanted = of_outcomes(engine.units[side], inputs, ends, page.pairs[k].a, page.pairs[k].b)
            here = page.readings[page.diagram.value(ref, state)]
            count += 1
            if volts_words(here) != volts_words(wanted):
                wrong.append((side, page.pairs[k], here, wanted))
    assert wrong == []
    assert count > 300


SHORTED = """
unit: {name: bench}
supplies: {M: {kind: single-phase, volts: 120}}
devices:
  S: {type: switch}
  B: {type: switch}
  H: {type: lamp, volts: 120, watts: 60}
  K: {type: relay-nc, coil: {volts: 120}}
rungs:
  - {id: C1, path: [M.L, S, H, M.N]}
  - {id: C2, path: [S.2, B, M.N]}
  - {id: C3, path: [M.L, K.C-NC, K.coil, M.N]}
"""


def test_short_and_chatter_are_said(browser: Browser, tmp_path: Path) -> None:
    """The words of `meter` where there is no reading; without a script too."""
    unit = tmp_path / "unit.yaml"
    unit.write_text(SHORTED, encoding="utf-8")
    page, wrong = opened(browser, api.page(str(unit), None), tmp_path, 390)
    for s, b in product((True, False), repeat=2):
        page.locator('[data-input="S"]').set_checked(s)
        page.locator('[data-input="B"]').set_checked(b)
        when = ", ".join(f"{n} {'closed' if on else 'open'}" for n, on in (("S", s), ("B", b)))
        for ends, word in page.evaluate(TABLE):
            assert word == volts_words(api.meter(str(unit), None, *ends.split(" to "), when)[1])
    page.locator('[data-input="S"]').check()
    page.locator('[data-input="B"]').check()
    assert {word for _, word in page.evaluate(TABLE)} == {"no reading: the supply is shorted here"}
    assert wrong == []


def test_one_pair_is_picked_and_all_are_printed(browser: Browser, tmp_path: Path) -> None:
    page, wrong = opened(browser, made("tidewater-playhouse"), tmp_path, 390)
    pick, rows = page.get_by_label("Points"), page.locator(".meter tbody tr")
    assert pick.bounding_box()["height"] >= 44  # type: ignore[index]
    count = len(page.evaluate(TABLE))
    pick.select_option("FAN.common to FAN.main")
    assert [r.inner_text().split("\t") for r in rows.filter(visible=True).all()] == [
        ["FAN.common to FAN.main", "240 V", "0 V"]
    ]
    pick.select_option("all of these")
    assert rows.filter(visible=True).count() == count > 10
    pick.select_option("PS.1 to PS.2")
    page.emulate_media(media="print")
    assert rows.filter(visible=True).count() == count
    assert page.get_by_text("0 V across an open load does not mean dead").is_visible()
    assert wrong == []


def test_all_pairs_stand_there_without_a_script(browser: Browser, tmp_path: Path) -> None:
    text = re.sub(r"<script>.*?</script>", "", made("tidewater-playhouse"), flags=re.DOTALL)
    page, _ = opened(browser, text, tmp_path, 390)
    words = {r[0]: r[1:] for r in page.evaluate(TABLE)}
    assert words["FAN.common to FAN.main"] == ["240 V", "0 V"]
    assert words["PS.1 to PS.2"] == ["–", "240 V"]
    assert page.locator(".meter tbody tr").filter(visible=True).count() == len(words)
    assert page.locator("#points").is_hidden()


def test_pairs_that_take_too_long_are_named(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(readings, "MOST_NETWORKS", 1)
    page, wrong = opened(browser, made("hard-start"), tmp_path)
    left = page.get_by_text("Not held here").inner_text()
    held = {row[0] for row in page.evaluate(TABLE)}
    assert "PR.5 to PR.2" in left
    assert "DS.T1 to DS.T2" in held
    assert not any(ends in left for ends in held)
    assert wrong == []


def test_a_page_that_can_hold_no_readings_says_so(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(meters, "MOST_NODES", 0)
    page, wrong = opened(browser, made("tidewater-playhouse"), tmp_path)
    assert "FAN.common to FAN.main" in page.get_by_text("Not held here").inner_text()
    assert page.locator(".meter").count() == 0
    assert wrong == []
