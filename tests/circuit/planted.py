"""Mistakes planted in sound files: where each is, what it must be called, and what it makes unknown.

Places come from PyYAML's own nodes, not from the reader that is tested.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

LOOKS = "by sight"


@dataclass(frozen=True)
class Mistake:
    """One slip of the pen on one line. line, column: from 0, where it must be reported.

    start, end: the columns of what is replaced by `text`. breaks: names that nobody can speak of any more.
    speaks: the names that must be sound for this mistake to be told.
    """

    line: int
    start: int
    end: int
    text: str
    column: int
    code: str
    breaks: frozenset[str] = frozenset()
    speaks: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Node:
    """A scalar of the file with the path to it and what stands beside it."""

    path: tuple[str, ...]
    key: yaml.ScalarNode
    value: yaml.ScalarNode
    beside: dict[str, Any]
    entry: yaml.Node


def nodes(text: str) -> list[Node]:
    """Every key with a plain text on one line."""
    return list(_walk(yaml.compose(text, Loader=yaml.SafeLoader), (), None))


def _walk(node: yaml.Node, path: tuple[str, ...], entry: yaml.Node | None) -> Iterator[Node]:
    if isinstance(node, yaml.MappingNode):
        beside = {k.value: v.value for k, v in node.value if isinstance(v, yaml.ScalarNode)}
        for key, value in node.value:
            below = (*path, key.value)
            whole = entry or (value if len(below) == 2 else None)
            if isinstance(value, yaml.ScalarNode) and value.start_mark.line == value.end_mark.line:
                yield Node(below, key, value, beside, whole or node)
            yield from _walk(value, below, whole)
    elif isinstance(node, yaml.SequenceNode):
        for number, item in enumerate(node.value):
            whole = entry or item
            if isinstance(item, yaml.ScalarNode) and item.start_mark.line == item.end_mark.line:
                yield Node((*path, str(number)), item, item, {}, whole)
            yield from _walk(item, (*path, str(number)), whole)


def names_in(text: str) -> frozenset[str]:
    """Every word of a text that may be a name, and the tag in front of its point."""
    words = re.findall(r"[\w-]+(?:\.[\w-]+)*", text)
    return frozenset(words) | {word.partition(".")[0] for word in words}


def mistakes(text: str, is_change: bool) -> list[Mistake]:
    """Every mistake that can be planted in a sound file."""
    found: list[Mistake] = []
    for number, node in enumerate(nodes(text)):
        rules = (*BOTH, *(OF_CHANGE if is_change else OF_UNIT))
        found += [made for rule in rules if (made := rule(node, number)) is not None]
    return found


def _value(node: Node, new: str, code: str, **names: frozenset[str]) -> Mistake:
    start, end = node.value.start_mark, node.value.end_mark
    return Mistake(start.line, start.column, end.column, new, start.column, code, **names)


def _key(node: Node, new: str, **names: frozenset[str]) -> Mistake:
    start, end = node.key.start_mark, node.key.end_mark
    return Mistake(start.line, start.column, end.column, new, start.column, "unknown-key", **names)


def _all_of(node: Node) -> frozenset[str]:
    return frozenset().union(*(names_in(text) for text in node.beside.values()))


def wrong_figure(node: Node, number: int) -> Mistake | None:
    """A device's figure with a unit of another quantity."""
    if node.path[0] == "devices" and node.path[-1] in ("volts", "va", "rla", "fla", "lra", "r", "x", "watts"):
        if not node.value.value.strip() or node.path[2] == "contact":
            return None
        return _value(node, "24 psig", "wrong-unit", breaks=frozenset({node.path[1]}))
    return None


def unknown_type(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "devices" and node.path[2:] == ("type",):
        return _value(node, f"gadget-{number}", "unknown-type", breaks=frozenset({node.path[1]}))
    return None


def unknown_condition(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "devices" and node.path[-1] == "senses":
        return _value(node, f"ether_{number}", "unknown-condition", breaks=frozenset({node.path[1]}))
    return None


def unknown_unit(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "conditions" and node.path[-1] == "unit":
        return _value(node, "furlong", "unknown-unit", breaks=frozenset({node.path[1]}))
    return None


def wrong_supply(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "supplies" and node.path[-1] == "volts":
        return _value(node, "lots", "not-a-number", breaks=frozenset({node.path[1]}))
    return None


def bad_sentence(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "expects" and len(node.path) == 2 and node.value.style is None:
        end = node.value.end_mark.column
        code = "sentence"
        return Mistake(node.value.start_mark.line, end, end, " and ,", end + 5, code)
    return None


def unknown_name(node: Node, number: int) -> Mistake | None:
    """The first word of a sentence that begins with a name."""
    found = re.match(r"([\w.]+) (?:runs|on|stays)\b", node.value.value)
    if node.path[0] == "expects" and len(node.path) == 2 and node.value.style is None and found:
        start = node.value.start_mark
        return Mistake(start.line, start.column, start.column + len(found[1]), f"Q{number}Z", start.column,
                       "unknown-name")  # fmt: skip
    return None


def head_key(node: Node, number: int) -> Mistake | None:
    if node.path[0] in ("unit", "change") and node.path[1:] in (("about",), ("reason",), ("refrigerant",)):
        return _key(node, f"frobnicate-{number}")
    return None


BOTH = (wrong_figure, unknown_type, unknown_condition, unknown_unit, wrong_supply, bad_sentence, unknown_name,
        head_key)  # fmt: skip


def _of_wire(node: Node) -> frozenset[str]:
    ends = (node.beside.get("from", ""), node.beside.get("to", ""))
    splices = frozenset(end for end in ends if "." not in end)
    return frozenset({node.beside.get("id", ""), LOOKS}) | splices


def unknown_terminal(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "wires" and node.path[-1] in ("from", "to") and "." in node.value.value:
        tag = node.value.value.partition(".")[0]
        new = f"{tag}.Z{number}"
        return _value(node, new, "unknown-terminal", breaks=_of_wire(node), speaks=frozenset({tag}))
    return None


def unknown_device(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "wires" and node.path[-1] in ("from", "to"):
        return _value(node, f"Q{number}Z.1", "unknown-device", breaks=_of_wire(node))
    return None


def wire_look(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "wires" and node.path[-1] == "gauge":
        return _value(node, "10 psig", "not-a-gauge", breaks=frozenset({LOOKS}))
    if node.path[0] == "wires" and node.path[-1] == "color":
        return _key(node, "colour", breaks=frozenset({LOOKS}))
    return None


def wire_key(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "wires" and node.path[-1] == "from":
        return _key(node, "form", breaks=_of_wire(node) | _all_of(node))
    return None


def rung_part(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "rungs" and node.path[-2:-1] == ("path",):
        return _value(node, f"Q{number}Z.1-2", "unknown-device", breaks=frozenset({LOOKS, "every rung"}))
    return None


OF_UNIT = (unknown_terminal, unknown_device, wire_look, wire_key, rung_part)


def run_end(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "steps" and node.path[2] == "run" and node.path[-1] in ("from", "to"):
        tag = node.value.value.partition(".")[0]
        if "." in node.value.value:
            breaks, speaks = frozenset({node.beside["id"]}), frozenset({tag})
            return _value(node, f"{tag}.Z{number}", "unknown-terminal", breaks=breaks, speaks=speaks)
    return None


def run_look(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "steps" and node.path[2] == "run" and node.path[-1] == "gauge":
        return _value(node, "10 psig", "not-a-gauge", breaks=frozenset({LOOKS}))
    return None


STEP_NAMES = {
    ("lift", "end"): "no-such-end", ("in-series", "at"): "no-such-end",
    ("lift", "wire"): "unknown-wire", ("remove", "wire"): "unknown-wire", ("cut", "wire"): "unknown-wire",
    ("land", "wire"): "unknown-wire", ("in-series", "in"): "unknown-wire", ("splice", "join"): "unknown-wire",
    ("land", "on"): "unknown-device", ("remove", "device"): "unknown-device",
    ("replace", "device"): "unknown-device", ("replace", "with"): "unknown-device",
    ("in-series", "device"): "unknown-device", ("across", "device"): "unknown-device",
    ("across", "terminals"): "unknown-device",
}  # fmt: skip


def step_name(node: Node, number: int) -> Mistake | None:
    """A name in a step that is none: what later steps do with what it would have made is unknown."""
    code = STEP_NAMES.get(node.path[2:4]) if node.path[0] == "steps" else None
    if code is None or not "".join(("0", *node.path[4:])).isdigit():  # not what is said of a look
        return None
    point = (
        ".1" if node.path[2:4] in (("land", "on"), ("across", "terminals")) or code == "no-such-end" else ""
    )
    replaced = _all_of(node) if node.path[2] == "replace" else frozenset()  # which of both stands there?
    names = {"breaks": replaced | {"later steps"}, "speaks": _all_of(node)}
    return _value(node, f"Q{number}Z{point}", code, **names)


def step_key(node: Node, number: int) -> Mistake | None:
    if node.path[0] == "steps" and node.path[2] in ("lift", "land") and node.path[-1] == "wire":
        return _key(node, "wier", breaks=frozenset({"later steps"}))
    return None


def affected(node: Node, number: int) -> Mistake | None:
    if node.path[:2] == ("change", "affects") and node.key is node.value:
        return _value(node, f"Q{number}Z", "unknown-name")
    return None


OF_CHANGE = (run_end, run_look, step_name, step_key, affected)


def chosen(rng: Random, files: dict[str, str], most: int) -> list[tuple[str, Mistake]]:
    """Some mistakes in some files, no two on one line and none that hides another."""
    pool = [(name, m) for name, text in files.items() for m in mistakes(text, name == "change.yaml")]
    rng.shuffle(pool)
    kept: list[tuple[str, Mistake]] = []
    for name, mistake in pool:
        if len(kept) == most:
            break
        if all(_apart(files, (name, mistake), other) for other in kept):
            kept.append((name, mistake))
    return kept


def _apart(files: dict[str, str], one: tuple[str, Mistake], other: tuple[str, Mistake]) -> bool:
    """Does neither hide the other?"""
    if (one[0], one[1].line) == (other[0], other[1].line):
        return False
    return not any(_hides(files, a, b) for a, b in ((one, other), (other, one)))


def _hides(files: dict[str, str], one: tuple[str, Mistake], other: tuple[str, Mistake]) -> bool:
    name, hidden = other
    line = files[name].split("\n")[hidden.line]
    of_steps = name == "change.yaml" and hidden.code in STEP_NAMES.values() and "later steps" in hidden.breaks
    # Where a device has no terminals, nothing is known of the conductors on it.
    if of_steps and ({LOOKS, "every rung", "later steps"} & one[1].breaks or one[1].code == "unknown-type"):
        return True
    return bool(_broken(files, one[1]) & (hidden.speaks | (names_in(line) if of_steps else frozenset())))


def _broken(files: dict[str, str], mistake: Mistake) -> frozenset[str]:
    """What a mistake breaks: of a quantity the switches that sense it too."""
    if mistake.code != "unknown-unit":
        return mistake.breaks
    sensing = (node for text in files.values() for node in nodes(text) if node.path[-1] == "senses")
    return mistake.breaks.union(n.path[1] for n in sensing if n.value.value in mistake.breaks)


def planted(files: dict[str, str], mistakes: list[tuple[str, Mistake]]) -> dict[str, str]:
    """The files with the mistakes in them."""
    lines = {name: text.split("\n") for name, text in files.items()}
    for name, m in mistakes:
        line = lines[name][m.line]
        lines[name][m.line] = line[: m.start] + m.text + line[m.end :]
    return {name: "\n".join(text) for name, text in lines.items()}
