"""Edits of a file's text that leave alone what they do not touch, and text for what is new in it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Iterable

# Conservative: what else may stand unquoted in YAML depends on where it stands.
PLAIN = re.compile(r"[\w./+(][\w ./+()%'-]*")
ODD_BREAK = re.compile("\r(?!\n)|[\x85\u2028\u2029]")


class Edit(Struct, frozen=True):
    """Characters `start` to `end` of a text become `text`."""

    start: int
    end: int
    text: str


def edited(text: str, edits: Iterable[Edit]) -> str:
    """The text with every edit made. Those at one place keep their order; none may overlap another."""
    out, at = [], 0
    for edit in sorted(edits, key=lambda e: e.start):
        if edit.start < at:
            raise ValueError(f"edits overlap at character {edit.start}")
        out += [text[at : edit.start], edit.text]
        at = edit.end
    return "".join([*out, text[at:]])


def line_start(text: str, at: int) -> int:
    """Where the line that holds a character begins."""
    return text.rfind("\n", 0, at) + 1


def line_end(text: str, at: int) -> int:
    """Where the line that holds a character ends: at its line break, or at the end of the text."""
    end = text.find("\n", at)
    end = len(text) if end < 0 else end
    return end - 1 if end > at and text[end - 1] == "\r" else end


def scalar(text: str) -> str:
    """A text as YAML that every reader takes for that text, in braces too."""
    if PLAIN.fullmatch(text) and text.isprintable() and not text.endswith(" "):
        return text
    return '"' + "".join(map(_quoted, text)) + '"'


def _quoted(char: str) -> str:
    if char in '"\\':
        return "\\" + char
    if char.isprintable():
        return char
    return f"\\x{ord(char):02X}" if ord(char) < 256 else f"\\U{ord(char):08X}"


def flow(node: Any) -> str:
    """A tree on one line, in braces."""
    if isinstance(node, dict):
        return "{" + ", ".join(f"{scalar(str(k))}: {flow(v)}" for k, v in node.items()) + "}"
    if isinstance(node, list | tuple):
        return "[" + ", ".join(map(flow, node)) + "]"
    return scalar(str(node))


def one_line(text: str) -> str:
    """A user's text for a comment: on one line, without what could break out of it or steer a screen."""
    return "".join(c if c.isprintable() else "�" for c in " ".join(text.split()))
