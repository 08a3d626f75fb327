"""What was asked and how it went, and what comes next: the rule `double, or start again`.

A question answered right comes back after twice as many other questions as the last time: 4, 8, 16, 32, 64;
after that it is known. One answered wrong comes back after 2. What is due comes before anything new, the
longest overdue first. New questions are of the easiest kind that has not been answered right twice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct, field
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Mapping

SOON, KNOWN = 2, 64  # how many other questions come between. Project rule.
HELD = 2  # right answers of a kind that open the next one


class Card(Struct, frozen=True):
    """One question: after how many others it comes back, at which turn, how often it went right and wrong."""

    wait: int
    due: int
    right: int = 0
    wrong: int = 0

    @property
    def known(self) -> bool:
        """Has it been answered right so often that it is not asked any more?"""
        return self.wait > KNOWN


class Notebook(Struct, frozen=True):
    """unit: the digest of what is asked about. turn: questions answered so far. cards: by key, `runs-3`."""

    unit: str
    seed: str = "1"
    turn: int = 0
    cards: Mapping[str, Card] = field(default_factory=dict)

    def answered(self, key: str, right: bool) -> Notebook:
        """The notebook after one more answer."""
        old = self.cards.get(key, Card(SOON, 0))
        turn, wait = self.turn + 1, 2 * old.wait if right else SOON
        card = Card(wait, turn + wait, old.right + right, old.wrong + (not right))
        return replace(self, turn=turn, cards={**self.cards, key: card})

    def due(self) -> str | None:
        """The question that is longest overdue."""
        there = [k for k, c in self.cards.items() if not c.known and c.due <= self.turn]
        return min(there, key=lambda k: self.cards[k].due, default=None)

    def soonest(self) -> str | None:
        """The question that comes back next, due or not."""
        left = [k for k, c in self.cards.items() if not c.known]
        return min(left, key=lambda k: self.cards[k].due, default=None)

    def held(self, kind: str) -> bool:
        """Has a kind been answered right often enough to go on to the next one?"""
        return sum(c.wait > SOON for k, c in self.of(kind).items()) >= HELD

    def of(self, kind: str) -> dict[str, Card]:
        """The cards of a kind."""
        return {k: c for k, c in self.cards.items() if k.rpartition("-")[0] == kind}


def as_json(notebook: Notebook) -> dict[str, Any]:
    """What is kept in the file."""
    cards = {
        k: {"wait": c.wait, "due": c.due, "right": c.right, "wrong": c.wrong}
        for k, c in notebook.cards.items()
    }
    return {
        "notebook": 1,
        "rule": "double, or start again",
        "unit": notebook.unit,
        "seed": notebook.seed,
        "turn": notebook.turn,
        "cards": cards,
    }


class NotANotebook(Exception):
    """What is wrong with a file that should be one."""


def from_json(tree: Any) -> Notebook:
    """A notebook out of a file's JSON. Raises NotANotebook."""
    if not isinstance(tree, dict) or tree.get("notebook") != 1:
        raise NotANotebook('it has no "notebook": 1')
    cards = tree.get("cards")
    if not isinstance(cards, dict):
        raise NotANotebook('"cards" is missing')
    unit, seed, turn = tree.get("unit"), tree.get("seed"), _count(tree, "turn")
    if not isinstance(unit, str) or not isinstance(seed, str):
        raise NotANotebook('"unit" or "seed" is missing')
    return Notebook(unit, seed, turn, {_key(k): _card(k, c) for k, c in cards.items()})


def _key(key: Any) -> str:
    kind, dash, number = str(key).rpartition("-")
    if not (kind and dash and number.isdecimal() and len(number) < 9):
        raise NotANotebook(f'"{key}" names no question')
    return str(key)


def _card(key: str, card: Any) -> Card:
    if not isinstance(card, dict):
        raise NotANotebook(f'"{key}" is no card')
    return Card(*(_count(card, n) for n in ("wait", "due", "right", "wrong")))


def _count(tree: dict[str, Any], name: str) -> int:
    found = tree.get(name)
    if not isinstance(found, int) or isinstance(found, bool) or not 0 <= found < 10**9:
        raise NotANotebook(f'"{name}" is no count')
    return found
