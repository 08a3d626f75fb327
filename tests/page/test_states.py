"""Every switch thrown: words, levels and contacts of the page against the plain evaluator, state by state."""

from __future__ import annotations

import json
import random
import re
from typing import TYPE_CHECKING, Any

import pytest

from tests.page.pages import READ, Engine, differing, drawn_ids, made, opened

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

# Goes through every state by throwing controls as a finger would: the quantities up and down, and at each new
# place of what they move every combination of the free switches.
SWEEP = f"""most => {{
  const read = {READ}, found = [], seen = new Set();
  const free = [...document.querySelectorAll("[data-input]:enabled")]
    .filter(e => !e.closest("label").querySelector(".small"));
  const groups = [...new Set([...document.querySelectorAll("[data-quantity]")].map(e => e.name))]
    .map(n => [...document.querySelectorAll(`[name=${{n}}]`)]);
  const placed = () => {{
    const here = read().inputs, names = free.map(e => e.dataset.input);
    const key = JSON.stringify(Object.entries(here).filter(p => !names.includes(p[0])));
    if (seen.has(key) || found.length >= most) return;
    seen.add(key);
    for (let k = 1; k <= 2 ** free.length; k++) {{
      found.push(read());
      free[k == 2 ** free.length ? free.length - 1 : Math.log2(k & -k)].click();
    }}
  }};
  const along = n => {{
    if (n == groups.length) return placed();
    for (const radio of [...groups[n], ...[...groups[n]].reverse()]) {{ radio.click(); along(n + 1); }}
  }};
  along(0);
  return found;
}}"""


@pytest.fixture(scope="module")
def demo() -> Engine:
    return Engine("tidewater-playhouse")


@pytest.fixture(scope="module")
def text() -> str:
    return made("tidewater-playhouse")


def by_inputs(engine: Engine) -> dict[str, Any]:
    return {json.dumps(engine.seen(j)["inputs"], sort_keys=True): j for j in engine.joints}


def swept(page: Page, engine: Engine, most: int = 10_000) -> tuple[int, list[str]]:
    """How many states the page showed, and where it differed."""
    states = by_inputs(engine)
    found, wrong = set(), []
    for shown in page.evaluate(SWEEP, most):
        key = json.dumps(shown["inputs"], sort_keys=True)
        found.add(key)
        if key not in states:
            wrong.append(f"no such state: {key}")
        else:
            wrong += differing(shown, engine.seen(states[key]))
    return len(found), wrong


def test_every_state_of_the_demo(browser: Browser, demo: Engine, text: str, tmp_path: Path) -> None:
    page, wrong = opened(browser, text, tmp_path)
    count, differ = swept(page, demo)
    assert differ == []
    assert count == len(demo.joints) == 1152
    assert wrong == []


def test_everything_is_drawn_with_a_level(browser: Browser, demo: Engine, text: str, tmp_path: Path) -> None:
    page, _ = opened(browser, text, tmp_path)
    assert sorted(set(drawn_ids(demo)) - page.evaluate(READ)["levels"].keys()) == []


def test_one_bit_altered_is_found(browser: Browser, demo: Engine, text: str, tmp_path: Path) -> None:
    found = re.search(r'id="data">(.*?)</script>', text)
    assert found is not None
    data = json.loads(found[1])
    root = data["word"]["after"]["FAN"]
    at = next(k for k in (3 * root + 1, 3 * root + 2) if data["nodes"][k] < 0)
    data["nodes"][at] = ~(~data["nodes"][at] ^ 1)
    altered = text.replace(found[1], json.dumps(data).replace("<", "\\u003c"))
    page, _ = opened(browser, altered, tmp_path)
    assert swept(page, demo, 32)[1] != []


class Walker:
    """Throws a page's controls at random and follows each move with the plain evaluator."""

    def __init__(self, page: Page, engine: Engine, seed: int) -> None:
        self.page, self.engine, self.random = page, engine, random.Random(seed)  # noqa: S311 - from its seed
        engine.explorer.run()
        shown = page.evaluate(READ)
        self.at = next(j for j in engine.joints if differing(shown, engine.seen(j)) == [])

    def step(self) -> str:
        """One move; what differs afterwards."""
        controls = self.page.evaluate(
            """() => [...document.querySelectorAll(
              "[data-input]:enabled,[data-quantity]:not(:checked),#race input")]
              .filter(e => !e.closest("[hidden]"))
              .map((e, k) => (e.dataset.walk = k, [k, e.dataset.input ?? e.dataset.quantity ?? "race"]))"""
        )
        number, name = self.random.choice([*controls, [-1, "power"]])
        target = "#power" if number < 0 else f'[data-walk="{number}"]'
        self.page.evaluate("q => document.querySelector(q).click()", target)
        shown = self.page.evaluate(READ)
        self.at = next((j for j in self.ends(name) if differing(shown, self.engine.seen(j)) == []), None)
        return "" if self.at is not None else f"{name}: no end of this move is shown"

    def ends(self, name: str) -> list[Any]:
        """Where the engine lets this move lead; a quantity may pass through several places."""
        if name == "power":
            return list(self.engine.explorer.powered(self.at.setting))
        if name == "race":
            return [j for j in self.engine.joints if j.setting == self.at.setting]
        world, reached, queue = self.engine.world, [], [self.at]
        quantity = next(
            (v.set_points.quantity for v in world.variables if v.name == name and v.set_points), name
        )
        for joint in queue:
            for move, to in self.engine.explorer.successors(joint):
                by = move.partition(" ")[0]
                if by in (name, quantity) and to not in queue:
                    reached.append(to)
                    if quantity in world.quantities:
                        queue.append(to)
        return [*reached, self.at]


@pytest.mark.parametrize(
    ("example", "change", "steps"),
    [("lockout", "change.yaml", 60), ("off-delay-fan", "change.yaml", 60), ("two-pumps", "change.yaml", 40)],
)
def test_walks_through_latches_delays_and_races(
    browser: Browser, tmp_path: Path, example: str, change: str, steps: int
) -> None:
    page, wrong = opened(browser, made(example, change), tmp_path)
    walker = Walker(page, Engine(example, change), seed=7)
    assert [found for _ in range(steps) if (found := walker.step())] == []
    assert wrong == []
