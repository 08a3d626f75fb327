"""The card for the panel door: what stands on it, and that it fits its paper in a browser."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.field.conftest import EXAMPLES, PLAYHOUSE
from wirecheck import api
from wirecheck.report.job import card

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Browser

    from tests.cli.conftest import Result

UNIT, CHANGE = PLAYHOUSE
POINT = 25.4 / 72  # mm; a point of PDF is 1/72 in, ISO 32000


def sheets(browser: Browser, html: Path) -> list[tuple[float, float]]:
    """The sheets that a browser prints: width and height, mm."""
    page = browser.new_page()
    page.goto(html.as_uri())
    pdf = page.pdf(prefer_css_page_size=True)
    page.close()
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
    return [(float(w) * POINT, float(h) * POINT) for w, h in boxes]


@pytest.mark.parametrize(
    ("paper", "size", "count"),
    [("letter", (215.9, 279.4), 1), ("a4", (210, 297), 1), ("a5", (210, 148), 2)],
)
def test_it_fits_its_paper(
    here: Callable[..., Result],
    tmp_path: Path,
    browser: Browser,
    paper: str,
    size: tuple[float, float],
    count: int,
) -> None:
    """ANSI/ASME Y14.1 letter, ISO 216 A4, and both sides of A5."""
    file = tmp_path / "card.html"
    assert here("card", UNIT, CHANGE, "-o", file, "--paper", paper).code == 0
    assert sheets(browser, file) == [pytest.approx(size, abs=0.6)] * count


@pytest.mark.parametrize("paper", card.PAPERS)
@pytest.mark.parametrize("name", ["tidewater-playhouse", "bakery-proofer", "smoke-shutdown"])
def test_the_ladder_is_as_large_as_the_paper_lets_it(name: str, paper: str) -> None:
    """No text below 5 points (11 units of the drawing): project rule, what is still read by lamp."""
    made = api.card(str(EXAMPLES / name / "unit.yaml"), None)
    columns = card.columns(made, card.PAPERS[paper])
    assert sum(c.wide for c in columns) <= card.PAPERS[paper].wide
    assert min(c.wide for c in columns) / 380 * 11 >= 5 * POINT


def test_what_stands_on_it(here: Callable[..., Result]) -> None:
    out = here("card", UNIT, CHANGE, "-o", "-").out
    for text in (
        "Added: Fan cycling on head pressure",
        "closes above 375 psig, opens below 275 psig",
        "protection, trips open",
        "K1 out is not dead: K1.T1 and K1.T2 120 V to earth",
        "signature",
    ):
        assert text in out
    assert "not verified" not in out


def test_temperatures_beside_set_points(here: Callable[..., Result]) -> None:
    """R410A at 375 and 275 psig, by CoolProp: 111.8 and 89.9 degF, in the order of the set points."""
    out = here("card", UNIT, CHANGE, "-o", "-").out
    assert re.search(r"111\.\d degF and 89\.\d degF, R410A", out)


def test_of_a_unit_alone_nothing_was_added(here: Callable[..., Result]) -> None:
    done = here("card", UNIT, "-o", "-")
    assert done.code == 0
    assert "Added" not in done.out


def test_a_change_that_fails_gets_none(here: Callable[..., Result], tmp_path: Path) -> None:
    file = tmp_path / "card.html"
    done = here("card", UNIT, CHANGE.with_name("change-main-lead.yaml"), "-o", file)
    assert (done.code, done.out) == (1, "")
    assert not file.exists()


@pytest.mark.parametrize("args", [("-o", "card.pdf"), ("-o", "card.html", "--paper", "a0")])
def test_bad_options(here: Callable[..., Result], args: tuple[str, ...]) -> None:
    assert here("card", UNIT, *args).code == 2
