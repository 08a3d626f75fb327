"""The page as people meet it: on a phone, by keyboard, without a script, on paper, with hostile names."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.benchmark.generator import job
from tests.page.pages import EXAMPLES, READ, Engine, made, opened
from wirecheck import api
from wirecheck.questions.shown import answer
from wirecheck.report.html import TEMPLATES, coded

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

DEMO = EXAMPLES / "tidewater-playhouse"
# Page sizes less margins of 10 mm, in CSS pixels of 1/96 inch.
PAPER = {"A4": (190 / 25.4 * 96, 277 / 25.4 * 96), "Letter": (7.71 * 96, 10.21 * 96)}
LYING = {"A4": (281 / 25.4 * 96, 194 / 25.4 * 96), "Letter": (10.37 * 96, 7.87 * 96)}  # within 8 mm


@pytest.fixture(scope="module")
def text() -> str:
    return made("tidewater-playhouse")


def test_sizes_and_the_one_script(text: str) -> None:
    assert len(text.encode()) < 150_000
    assert len((TEMPLATES / "page.js").read_bytes()) <= 4096
    (script,) = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    for part in (
        "default-src 'none'",
        f"script-src 'sha256-{digest(script)}'",
        f"style-src 'sha256-{digest(style)}'",
    ):
        assert part in policy[1]


def digest(text: str) -> str:
    return b64encode(sha256(text.encode()).digest()).decode()


def test_the_page_names_the_files_that_it_was_made_from(text: str) -> None:
    for name in ("unit.yaml", "change.yaml"):
        assert sha256((DEMO / name).read_bytes()).hexdigest() in text


def test_the_same_page_twice(text: str) -> None:
    assert made("tidewater-playhouse") == text


def test_a_large_unit_is_shown_whole(tmp_path: Path) -> None:
    """150 conductors, 16 inputs (the benchmark's generator)."""
    drawn = job(tmp_path, 150, 2, "moved")
    page = api.page(str(drawn.unit), str(drawn.change))
    assert len(page.encode()) < 500_000
    data = json.loads(re.findall(r'id="data">(.*?)</script>', page)[0])
    assert sum(width for _, width in data["blocks"]) == 16


def test_phone_and_desk(browser: Browser, text: str, tmp_path: Path) -> None:
    for width in (390, 1280):
        page, wrong = opened(browser, text, tmp_path, width)
        assert page.evaluate("document.documentElement.scrollWidth") == width
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert page.evaluate("document.documentElement.scrollWidth") == width
        small = page.evaluate("""() => [...document.querySelectorAll("label,button,summary")]
            .filter(e => e.checkVisibility())
            .map(e => [e.textContent.trim(), e.getBoundingClientRect()])
            .filter(p => p[1].height < 44 || p[1].width < 44).map(p => p[0])""")
        assert small == []
        smallest = page.evaluate(SMALLEST)
        assert smallest[0] >= 11, smallest
        assert wrong == []


# The smallest text that is to be seen, in CSS pixels, and what it says: SVG text by the scale it is drawn in.
SMALLEST = """() => { let found = [99, ""];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) { const e = walk.currentNode.parentElement, t = walk.currentNode.data.trim();
    if (!t || !e.checkVisibility({visibilityProperty: true})) continue;
    if (e.closest("script,style,title,desc,.unseen")) continue;
    let size = parseFloat(getComputedStyle(e).fontSize);
    if (e.ownerSVGElement) size *= e.getScreenCTM().a;
    if (size < found[0]) found = [Math.round(size * 100) / 100, t]; }
  return found; }"""


@pytest.mark.parametrize(
    ("example", "change"),
    [
        ("tidewater-playhouse", "change.yaml"),
        ("two-pumps", "change.yaml"),
        ("off-delay-fan", "change.yaml"),  # the tallest sheet
        ("hard-start", "change-run-capacitor-out.yaml"),
    ],
)
def test_print_on_a4_and_letter(browser: Browser, tmp_path: Path, example: str, change: str) -> None:
    text = made(example, change)
    for name, (width, height) in PAPER.items():
        page, _ = opened(browser, text, tmp_path, int(width))
        page.emulate_media(media="print")
        turned = page.locator(".turned")
        turned.evaluate_all("found => found.forEach(e => { e.hidden = true; })")
        size, said = page.evaluate(SMALLEST)
        assert size * 0.75 >= 8, (name, size, said)
        assert page.evaluate("document.documentElement.scrollWidth") <= int(width)
        tall = page.evaluate("""() => [...document.querySelectorAll("figure,.answer,footer")]
            .filter(e => e.checkVisibility()).map(e => e.getBoundingClientRect().height)""")
        assert max(tall) < height
        assert page.locator("form").is_hidden()
        assert page.locator(".sign").is_visible()
        turned.evaluate_all("found => found.forEach(e => { e.hidden = false; })")
        pdf = page.pdf(format=name, prefer_css_page_size=True)
        boxes = [(float(a), float(b)) for a, b in re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)]
        assert boxes
        assert sum(a > b for a, b in boxes) == turned.count()


def test_what_stands_above_a_drawing_stays_with_it_on_paper(browser: Browser, tmp_path: Path) -> None:
    page, _ = opened(browser, made("bakery-proofer", "change-bridged.yaml"), tmp_path, 720)
    page.emulate_media(media="print")
    above = page.evaluate("""() => [...document.querySelectorAll(".drawing > :not(.pair)")]
        .map(e => [e.textContent, getComputedStyle(e).breakAfter])""")
    assert any("FS is bridged" in text for text, _ in above)
    assert {kept for _, kept in above} == {"avoid"}


def test_a_wide_overview_is_read_on_a_lying_page(browser: Browser, tmp_path: Path) -> None:
    """The demo's is too wide for an upright page; turned, its text is still 8 pt and it fits."""
    for width, height in LYING.values():
        page, _ = opened(browser, made("tidewater-playhouse"), tmp_path, int(width))
        page.emulate_media(media="print")
        others = "body > *, main > *"
        page.evaluate(f"""document.querySelectorAll("{others}").forEach(e => {{
            e.hidden = !e.matches("main,.turned"); }})""")
        size, said = page.evaluate(SMALLEST)
        assert size * 0.75 >= 8, (size, said)
        assert page.locator(".turned").bounding_box()["height"] < height  # type: ignore[index]


def test_without_a_script_the_opening_state_stands_there(browser: Browser, text: str, tmp_path: Path) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    path = tmp_path / "page.html"
    path.write_text(text, encoding="utf-8")
    page = context.new_page()
    page.goto(path.as_uri())
    words = {s: page.locator(f'[data-load="FAN"][data-side="{s}"]').inner_text() for s in ("before", "after")}
    assert words == {"before": "runs", "after": "off"}
    assert page.locator("[data-verdict]").inner_text().lower() == "pass"
    assert "FAN runs before, off after" in page.locator("#differs").inner_text()
    assert page.locator("input").filter(visible=True).count() == 0
    context.close()


def test_the_script_begins_where_the_static_page_stands(browser: Browser, text: str, tmp_path: Path) -> None:
    living, _ = opened(browser, text, tmp_path)
    shows = """() => [...document.querySelectorAll('#differs,#stands,[data-load],[data-level]')]
        .map(e => e.textContent + e.dataset.level)"""
    static = re.sub(r"<script>.*?</script>", "", text, flags=re.DOTALL)
    bare, _ = opened(browser, static, tmp_path)
    assert bare.evaluate(shows) == living.evaluate(shows)
    assert bare.evaluate(READ) == living.evaluate(READ)


def test_names_roles_and_contrast(browser: Browser, text: str, tmp_path: Path) -> None:
    page, _ = opened(browser, text, tmp_path, 390, bypass_csp=True)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    engine = Engine("tidewater-playhouse")
    for v in engine.world.variables:
        control = page.get_by_role(
            "switch", name=re.compile(rf"^{re.escape(v.name)} (open|closed|rest|moved)")
        )
        assert control.count() == 1, v.name
    serious = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
    assert [(v["id"], [n["html"][:80] for n in v["nodes"]][:3]) for v in serious] == []


def test_keyboard_alone(browser: Browser, text: str, tmp_path: Path) -> None:
    page, _ = opened(browser, text, tmp_path)
    wanted = page.evaluate("""() => [...document.querySelectorAll("[data-input]:enabled")]
        .filter(e => e.checkVisibility()).map(e => e.dataset.input)""")
    seen: list[str] = []
    for _ in range(60):
        page.keyboard.press("Tab")
        name = page.evaluate("document.activeElement.dataset.input ?? ''")
        if name:
            seen.append(name)
            assert (
                page.evaluate("getComputedStyle(document.activeElement.closest('label')).outlineStyle")
                == "solid"
            )
        if seen == wanted:
            break
    assert seen == wanted
    page.locator('[data-input="TH.cool"]').focus()
    page.keyboard.press("Space")
    assert page.locator('[data-load="COMP"][data-side="after"]').inner_text() == "off"
    assert "COMP off after" in page.get_by_role("status").inner_text()


def test_a_quantity_drags_its_switches_along(browser: Browser, text: str, tmp_path: Path) -> None:
    page, _ = opened(browser, text, tmp_path)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    page.get_by_label("above 620 psig").check()
    assert [page.locator(f'[data-input="{n}"]').is_checked() for n in ("HP", "PS")] == [False, True]
    page.get_by_label("420 psig to 610 psig").check()
    assert not page.locator('[data-input="HP"]').is_checked()
    page.locator(
        '[data-input="HP"]'
    ).check()  # by way of a lower pressure, and back to where it may be closed
    assert page.get_by_label("420 psig to 610 psig").is_checked()


def test_a_switch_that_a_quantity_moves_is_thrown_by_it(browser: Browser, text: str, tmp_path: Path) -> None:
    page, _ = opened(browser, text, tmp_path)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    switch, status = page.locator('[data-input="PS"]'), page.get_by_role("status")
    page.get_by_label("275 psig to 375 psig").check()  # it may be open or closed there
    for closed in (True, False, True):
        switch.set_checked(closed)
        assert page.get_by_label("275 psig to 375 psig").is_checked()
        assert "liquid_pressure" not in status.inner_text()
    page.get_by_label("above 620 psig").check()  # it is closed there
    switch.uncheck()
    assert page.get_by_label("below 275 psig").is_checked()
    assert "liquid_pressure below 275 psig" in status.inner_text()
    assert "COMP" in status.inner_text() or "K1" in status.inner_text()


def test_a_counterexample_is_a_jump_away(browser: Browser, tmp_path: Path) -> None:
    page, _ = opened(browser, made("tidewater-playhouse", "change-main-lead.yaml"), tmp_path)
    assert page.locator("[data-verdict]").inner_text().lower() == "fail"
    page.get_by_role("button", name="Show this state").first.click()
    assert page.locator('[data-load="FAN"][data-side="after"]').inner_text() == "stalls"
    assert page.locator('[data-of-side="after"] [data-is="FAN"]').first.get_attribute("data-does") == "odd"
    assert "FAN runs before, stalls after" in page.locator("#differs").inner_text()


def test_a_unit_alone(browser: Browser, tmp_path: Path) -> None:
    page, wrong = opened(browser, api.page(str(DEMO / "unit.yaml"), None), tmp_path, 390)
    assert page.locator('[data-load="FAN"]').count() == 1
    assert page.locator("[data-verdict]").count() == 0
    page.locator('[data-input="DS"]').click()
    assert page.locator('[data-load="HTR"]').inner_text() == "off"
    assert page.locator("#differs").inner_text() == ""
    assert wrong == []


HOSTILE = """
unit:
  name: "</script><script>window.hacked=1</script><img src=x onerror=hacked()>"
  about: "\\u202eright to left\\u202c \\U0001F525 &quot; ' \\" -->"
supplies: {M: {kind: single-phase, volts: 120}}
devices:
  S: {type: switch}
  LONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONG: {type: lamp, volts: 120, watts: 60}
wires:
  - {id: W1, from: M.L, to: S.1, color: "<b>red</b>", route: "'\\"><script>hacked()</script>"}
  - {id: W2, from: S.2, to: LONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONG.1, label: "]]>"}
  - {id: W3, from: LONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONGLONG.2, to: M.N}
"""


def test_hostile_names_are_text(browser: Browser, tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text(HOSTILE, encoding="utf-8")
    text = api.page(str(tmp_path / "unit.yaml"), None)
    assert "\u202e" not in text
    page, wrong = opened(browser, text, tmp_path, 390)
    assert wrong == []
    assert page.evaluate("window.hacked") is None
    assert page.locator("h1").inner_text().startswith("</script><script>")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.locator('[data-input="S"]').click()
    assert page.locator("[data-load]").inner_text() == "off"


MANY = """
unit: {{name: many switches}}
supplies: {{M: {{kind: single-phase, volts: 120}}}}
devices:
{devices}
rungs:
{rungs}
"""


def test_more_than_fits_is_held_at_normal_and_says_so(browser: Browser, tmp_path: Path) -> None:
    devices = [f"  S{k}: {{type: switch}}\n  H{k}: {{type: lamp, volts: 120, watts: 60}}" for k in range(24)]
    rungs = [f"  - {{id: C{k}, path: [M.L, S{k}, H{k}, M.N]}}" for k in range(24)]
    unit = tmp_path / "unit.yaml"
    unit.write_text(MANY.format(devices="\n".join(devices), rungs="\n".join(rungs)), encoding="utf-8")
    change = tmp_path / "change.yaml"
    change.write_text(
        "change: {name: lift, affects: [H23], retires: [H23]}\nsteps:\n  - lift: {wire: C23.2, end: H23.1}\n",
        encoding="utf-8",
    )
    page, wrong = opened(browser, api.page(str(unit), str(change)), tmp_path)
    assert "This page holds" in page.locator(".limit").first.inner_text()
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    held = page.evaluate("[...document.querySelectorAll('[data-input]:disabled')].map(e => e.dataset.input)")
    assert held
    assert "S23" not in held
    assert page.locator('[data-input="S23"]').is_enabled()
    assert wrong == []


def test_where_states_cannot_be_told_the_page_has_no_switches(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cannot(_: object) -> None:
        raise answer.NotShown("something")

    monkeypatch.setattr(answer, "shown", cannot)
    page, wrong = opened(browser, made("tidewater-playhouse"), tmp_path, 390)
    assert page.locator("input").filter(visible=True).count() == 0
    assert "no switches" in page.locator(".limit").inner_text()
    assert page.locator("[data-level]:not(.key *)").count() == 0
    assert page.locator("[data-verdict]").inner_text().lower() == "pass"
    assert wrong == []


ODD = {
    "nothing": "",
    "no load": "devices: {S: {type: switch}}\nwires: [{id: W1, from: M.L, to: S.1}]\n",
    "island": """devices: {S: {type: switch}, H: {type: lamp, volts: 120, watts: 60}}
wires: [{id: W1, from: H.1, to: S.1}, {id: W2, from: H.2, to: S.2}]
""",
    "crowd": """devices: {H: {type: lamp, volts: 120, watts: 60}, T: {type: terminal-strip, terminals: 300}}
wires:
  - {id: A, from: M.L, to: T.1}
  - {id: B, from: H.2, to: M.N}
"""
    + "".join(f"  - {{id: W{k}, from: H.1, to: T.{k + 1}}}\n" for k in range(300)),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_units_are_shown(browser: Browser, tmp_path: Path, name: str) -> None:
    unit = tmp_path / "unit.yaml"
    head = f"unit: {{name: {name}}}\nsupplies: {{M: {{kind: single-phase, volts: 120}}}}\n"
    unit.write_text(head + ODD[name], encoding="utf-8")
    page, wrong = opened(browser, api.page(str(unit), None), tmp_path, 390)
    assert wrong == []
    assert page.locator("h1").inner_text() == name
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    if name == "crowd":
        assert page.locator('[data-load="H"]').inner_text() == "on"


def test_a_note_is_a_jump_away_too(browser: Browser, tmp_path: Path) -> None:
    page, _ = opened(browser, made("two-pumps", "change.yaml"), tmp_path)
    note = page.locator("li", has_text="P1 off or runs according to the order")
    assert note.locator("code").inner_text() == "races"
    note.get_by_role("button", name="Show this state").click()
    assert {page.locator(f'[data-load="P{k}"][data-side="after"]').inner_text() for k in (1, 2)} == {
        "runs",
        "off",
    }


def test_backticks_become_code_and_nothing_else_does() -> None:
    made_of = str(coded("`affects` allows `<b onclick=x>` & ` alone \u202e"))
    assert made_of == "<code>affects</code> allows <code>&lt;b onclick=x&gt;</code> &amp; ` alone \ufffd"
