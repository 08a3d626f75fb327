"""Pages made as the command makes them, and what is to be seen in them by the plain evaluator."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wirecheck import api
from wirecheck.api.files import pair_of
from wirecheck.checks.pair import range_words
from wirecheck.engine.levels import Meters, by_name
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer, Joint
from wirecheck.engine.world import World

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from wirecheck.engine.world import Setting

EXAMPLES = Path(__file__).parents[2] / "examples"

# What a page shows in its state, as one value: how switches and delays stand, words, levels, contacts.
READ = """() => {
  const all = (q, e = document) => [...e.querySelectorAll(q)];
  const seen = {inputs: {}, words: {}, levels: {}, shut: {}};
  for (const e of all("[data-input]")) seen.inputs[e.dataset.input] =
    e.closest("label").querySelector("[data-word]").textContent + (e.checked ? " 1" : " 0");
  for (const e of all("[data-quantity]:checked"))
    seen.inputs[e.dataset.quantity] = e.closest("label").textContent.trim();
  for (const e of all("[data-load],[data-relay]"))
    seen.words[e.dataset.side + " " + (e.dataset.load ?? e.dataset.relay)] = e.textContent;
  for (const f of all("[data-of-side]")) {
    for (const e of all("[data-id]", f)) {
      const key = f.dataset.ofSide + " " + e.dataset.id;
      seen.levels[key] = key in seen.levels && seen.levels[key] != e.dataset.level ? "both" : e.dataset.level;
    }
    for (const e of all("[data-contact]", f))
      seen.shut[f.dataset.ofSide + " " + e.dataset.contact] = e.dataset.shut;
  }
  return seen;
}"""


def made(example: str, change: str = "change.yaml", **options: Any) -> str:
    """The page of an example."""
    folder = EXAMPLES / example
    return api.page(str(folder / "unit.yaml"), str(folder / change), **options)


def opened(
    browser: Browser, text: str, folder: Path, width: int = 1280, **options: Any
) -> tuple[Page, list[str]]:
    """The page, from a file; and what it should not have done: requests, console messages, errors."""
    path = folder / "page.html"
    path.write_text(text, encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 844}, **options)
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(f"console: {message.text}"))
    page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    page.on("request", lambda request: None if request.url == path.as_uri() else wrong.append(request.url))
    page.goto(path.as_uri())
    return page, wrong


@dataclass
class Engine:
    """The plain evaluator, driven beside a page."""

    example: str
    change: str = "change.yaml"
    kept: dict[tuple[str, Any], dict[str, Any]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        folder = EXAMPLES / self.example
        self.changed = pair_of(str(folder / "unit.yaml"), str(folder / self.change))
        self.world = World(self.changed.after, self.changed.before, self.changed.replaced)
        self.units = {"before": Plain(self.changed.before), "after": Plain(self.changed.after)}
        self.meters = {side: Meters(unit) for side, unit in self.units.items()}
        self.explorer = Explorer(self.world, self.units["after"], self.units["before"])

    @cached_property
    def joints(self) -> list[Joint]:
        return list(self.explorer.run().came)

    def place(self, setting: Setting) -> dict[str, str]:
        """Quantity -> where it lies, as the page says it."""
        units = {q: x.unit for c in self.world.circuits() for q, x in c.quantities.items()}
        return {
            q: range_words(units[q], *self.world.interval(q, setting.ranges[k]))
            for k, q in enumerate(self.world.quantities)
        }

    def seen(self, joint: Joint) -> dict[str, dict[str, str]]:
        """What a page has to show in this state, in the form of READ."""
        found: dict[str, dict[str, str]] = {"inputs": {}, "words": {}, "levels": {}, "shut": {}}
        words = self.world.words(joint.setting, listed_only=False)
        moved = {d: m for side in ("before", "after") for d, m in self._side(side, joint)["delays"].items()}
        words |= {d: "moved" if m else "rest" for d, m in moved.items()}
        found["inputs"] = {n: f"{w} {int(w in ('closed', 'moved'))}" for n, w in words.items()}
        found["inputs"] |= self.place(joint.setting)
        for side in ("before", "after"):
            for kind in ("words", "levels", "shut"):
                found[kind] |= {f"{side} {n}": w for n, w in self._side(side, joint)[kind].items()}
        return found

    def _side(self, side: str, joint: Joint) -> dict[str, Any]:
        inputs = self.world.inputs(side == "after", joint.setting)
        ends = (joint.after,) if side == "after" else joint.befores
        key = side, (inputs, ends)
        if key not in self.kept:
            self.kept[key] = self._worked_out(side, inputs, ends)
        return self.kept[key]

    def _worked_out(self, side: str, inputs: Any, ends: Any) -> dict[str, Any]:
        unit, circuit = self.units[side], self.units[side].circuit
        each = [unit.words(inputs, end) for end in ends]
        levels = [by_name(circuit, self.meters[side].of_outcome(inputs, end)) for end in ends]
        ways = [unit.closed(inputs, *member) for end in ends for member in end.members]
        closed = zip(circuit.contacts, map(any, zip(*ways, strict=True)), strict=True)
        return {
            "words": common([{**w.loads, **w.relays} for w in each]),
            "delays": each[0].delays,
            "levels": common(levels),
            "shut": {c: str(int(shut)) for c, shut in closed},
        }


def common(each: list[dict[str, str]]) -> dict[str, str]:
    return {n: w if all(o[n] == w for o in each) else "unknown" for n, w in each[0].items()}


def differing(shown: dict[str, dict[str, str]], wanted: dict[str, dict[str, str]]) -> list[str]:
    """What a page shows otherwise than the engine says; nothing is missing, nothing is too much."""
    found = []
    for kind in ("inputs", "words", "shut", "levels"):
        for name, value in shown[kind].items():
            if wanted[kind].get(name) != value:
                found.append(f"{kind} {name}: {value}, not {wanted[kind].get(name)}")
        if kind != "levels" and kind != "shut":
            found += [f"{kind} {name} is not there" for name in wanted[kind].keys() - shown[kind].keys()]
    return found


def drawn_ids(engine: Engine) -> Iterator[str]:
    """Everything that has to be drawn with its level: conductors, elements' devices, terminals."""
    for side, unit in engine.units.items():
        yield from (f"{side} {w}" for w in unit.circuit.conductors)
        yield from (f"{side} {t}" for d in unit.circuit.devices.values() for t in d.terminals)
