"""A line of the ladder as text: `--| |--` a contact open at rest, `--|/|--` closed at rest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Capacitor, Coil, Contact, Link, Resistor, Transformer, Winding
from wirecheck.draw.tree import Leaf, Motor, Parallel, Series, ThreePhase, parallel, series

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.elements import Element
    from wirecheck.draw.tree import Tree
    from wirecheck.report.readings.rungs import Ladder, Line

KEY = "Signs: | | open at rest, |/| closed at rest, ( ) coil or load, )| capacitor, = never opens."


class Block(Struct, frozen=True):
    """Rows of equal width; the line comes in and goes out at row `axis`."""

    rows: tuple[str, ...]
    axis: int

    @property
    def width(self) -> int:
        return len(self.rows[0])


def text(ladder: Ladder, line: Line, width: int, hide: str = "") -> list[str]:
    """A line from rail to rail, folded where it is too wide. hide: a device whose tag is shown as `?`."""
    left, right = ladder.ends(line)
    tree = line.rung.tree
    if isinstance(tree, ThreePhase):
        return [row for way in three(ladder, tree, line, width, hide) for row in way]
    return _between(ladder, tree, left or "open", right or "open", width, hide)


def three(ladder: Ladder, tree: ThreePhase, line: Line, width: int, hide: str) -> Iterable[list[str]]:
    """The three lines into a three-phase motor."""
    for chain, winding, rail in zip(tree.chains, tree.windings, line.rung.section, strict=True):
        parts = (chain, winding) if chain is not None else (winding,)
        yield _between(ladder, series(parts), rail, "star", width, hide)


def _between(ladder: Ladder, tree: Tree, left: str, right: str, width: int, hide: str) -> list[str]:
    parts = list(tree.parts) if isinstance(tree, Series) else [tree]
    blocks = [block(ladder, part, hide) for part in parts]
    start, end = f"{left} ", f" {right}"
    found: list[str] = []
    while blocks:
        row = [blocks.pop(0)]
        while blocks and len(start) + sum(b.width for b in (*row, blocks[0])) + len(end) <= width:
            row.append(blocks.pop(0))
        whole = in_line(row)
        close = end if not blocks else " ..."
        for k, text_row in enumerate(whole.rows):
            at_axis = k == whole.axis
            found.append(
                f"{start if at_axis else ' ' * len(start)}{text_row}{close if at_axis else ''}".rstrip()
            )
        start = "... "
    return found


def block(ladder: Ladder, tree: Tree, hide: str) -> Block:
    """A tree as text."""
    match tree:
        case Leaf():
            return leaf(ladder, tree, hide)
        case Series(parts):
            return in_line([block(ladder, part, hide) for part in parts])
        case Parallel(parts):
            return beside([block(ladder, part, hide) for part in parts])
        case Motor():
            aux = [tree.aux, tree.below] if not tree.mirrored else [tree.below, tree.aux]
            return block(ladder, parallel([tree.main, series(aux)]), hide)
        case ThreePhase():
            raise ValueError("a three-phase motor is three lines")


def leaf(ladder: Ladder, found: Leaf, hide: str) -> Block:
    """One part: its name above the line, its terminals below."""
    edge = ladder.wiring.edges[found.key]
    element = ladder.element(found.key)
    name = tag(ladder, element)
    name = name.replace(hide, "?") if hide and element.device == hide else name
    left, right = (edge.b, edge.a) if found.flipped else (edge.a, edge.b)
    ends = [t.rpartition(".")[2] for t in (left, right)]
    below = "  ".join("" if e.startswith("(") else e for e in ends)
    sign = symbol(element)
    wide = max(len(name), len(below), len(sign)) + 2
    return Block((name.center(wide), sign.center(wide, "-"), below.center(wide)), 1)


def tag(ladder: Ladder, element: Element) -> str:
    """The name that words use."""
    return ladder.face.tag(element)


def symbol(element: Element) -> str:
    """What stands in the line."""
    match element:
        case Contact(rests_closed=closed):
            return "|/|" if closed else "| |"
        case Link():
            return "="
        case Capacitor():
            return ")|"
        case Transformer():
            return "(~)"
        case Winding():
            return "(M)"
        case Coil() | Resistor():
            return "( )"


def in_line(blocks: Sequence[Block]) -> Block:
    """Blocks one after the other, their lines at one height."""
    above = max(b.axis for b in blocks)
    below = max(len(b.rows) - b.axis for b in blocks)
    rows = []
    for k in range(above + below):
        parts = []
        for b in blocks:
            at = k - above + b.axis
            parts.append(b.rows[at] if 0 <= at < len(b.rows) else " " * b.width)
        rows.append("".join(parts))
    return Block(tuple(rows), above)


def beside(blocks: Sequence[Block]) -> Block:
    """Blocks below each other between two bars; the line goes on at the first."""
    wide = max(b.width for b in blocks)
    rows: list[str] = []
    axes: list[int] = []
    for b in blocks:
        axes.append(len(rows) + b.axis)
        for k, row in enumerate(b.rows):
            rows.append(row.center(wide, "-") if k == b.axis else row.center(wide))
    found = []
    for k, row in enumerate(rows):
        bar = "+" if k in axes else "|" if axes[0] < k < axes[-1] else " "
        found.append(f"{'-' if k == axes[0] else ' '}{bar}{row}{bar}{'-' if k == axes[0] else ' '}")
    return Block(tuple(found), axes[0])
