"""Answers in plain words: what was meant, whatever the case, the commas and the filling words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from wirecheck.engine.answers import BACKWARD, OFF, OVER, SHORT, STALLS, WEAK, WORKING
from wirecheck.problem import meant

if TYPE_CHECKING:
    from collections.abc import Iterable

WORDS = {
    "works": ("runs", "run", "running", "on", "yes", "y", "works", "starts"),
    OFF: ("off", "no", "n", "stops", "stopped", "dead", "nothing"),
    STALLS: ("hums", "hum", "humming", "stalls", "stalled", "buzzes"),
    BACKWARD: ("backward", "backwards", "reverse"),
    WEAK: ("weak", "dim"),
    OVER: ("over", "overfed"),
    SHORT: ("short", "shorted", "blows", "trips", "fuse", "breaker"),
}
NONE = ("none", "nothing", "no", "-", "0")


class NotUnderstood(Exception):
    """An answer that is none: what was found, and what is expected."""


def does(text: str) -> str:
    """What a load is said to do: works, or a word of the engine."""
    said = re.findall(r"[a-z]+", text.casefold())
    found = {meaning for meaning, words in WORDS.items() for w in words if w in said}
    if len(found) != 1:
        raise NotUnderstood("Say what it does: runs, off, hums, backward, weak, over, short.")
    return found.pop()


def so(word: str) -> str:
    """A word of the engine as `does` tells it."""
    return "works" if word in WORKING else word


def name(text: str, names: Iterable[str], what: str) -> str:
    """The one name that is said."""
    found = several(text, names, what)
    if len(found) != 1:
        raise NotUnderstood(f"Name one {what}.")
    return next(iter(found))


def several(text: str, names: Iterable[str], what: str) -> frozenset[str]:
    """The names that are said; none where somebody says so."""
    known = {n.casefold(): n for n in names}
    words = [w.strip(".,;") for w in re.split(r"[\s,;]+", text.strip()) if w.casefold() not in ("and", "the")]
    if [w.casefold() for w in words] in [[n] for n in NONE] and not {*NONE} & known.keys():
        return frozenset()
    missing = [w for w in words if w.casefold() not in known]
    if missing or not words:
        near = meant(missing[0], known.values()) if missing else ""
        few = f" There are {', '.join(known.values())}." if 0 < len(known) <= 12 and not near else near
        raise NotUnderstood(f'No {what} is called "{missing[0] if missing else text}".{few}')
    return frozenset(known[w.casefold()] for w in words)
