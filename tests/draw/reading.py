"""Reads a picture back from its pieces: which terminals it joins, what overlaps, what is where."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from typing import TYPE_CHECKING

from wirecheck.circuit.nets import Joined
from wirecheck.draw.pieces import Box, End, Label, Piece, Plate, Stretch, Symbol
from wirecheck.draw.wiring import Wiring

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.pieces import Panel

Point = tuple[float, float]


def symbols(pieces: Iterable[Piece]) -> list[Symbol]:
    return [piece for piece in pieces if isinstance(piece, Symbol)]


def not_once(pieces: Iterable[Piece], circuit: Circuit) -> dict[str, int]:
    """Every element, and winding of a transformer, that is not drawn exactly once, with how often it is."""
    wiring = Wiring(circuit)
    drawn = Counter(key for symbol in symbols(pieces) for key in symbol.elements)
    wanted = {*wiring.edges, *wiring.bar_edges}
    return {key: drawn[key] for key in wanted | drawn.keys() if drawn[key] != 1 or key not in wanted}


def on(point: Point, a: Point, b: Point) -> bool:
    """Whether a point lies on a horizontal or vertical stretch, ends included."""
    tie = 0.5  # drawings.md, section 9
    return (
        min(a[0], b[0]) - tie <= point[0] <= max(a[0], b[0]) + tie
        and min(a[1], b[1]) - tie <= point[1] <= max(a[1], b[1]) + tie
    )


def segments(stretch: Stretch) -> list[tuple[Point, Point]]:
    return list(zip(stretch.points, stretch.points[1:], strict=False))


def misjoined(pieces: Sequence[Piece], circuit: Circuit) -> list[str]:
    """Where the lines of the picture join terminals that the circuit does not, or leave apart what it joins.

    Lines join where an end of one lies on the other. Named ends join what they name; folds, their other half.
    """
    wiring, joined = Wiring(circuit), Joined()
    stretches = [piece for piece in pieces if isinstance(piece, Stretch)]
    for i, j in combinations(range(len(stretches)), 2):
        first, second = stretches[i], stretches[j]
        if _touch(first, second) or _touch(second, first):
            joined.join(f"stretch {i}", f"stretch {j}")
    slots = [
        (f"{s.key} {t}", t, (x, y))
        for s in symbols(pieces)
        if s.symbol not in ("bar", "earth bar")
        for t, x, y in s.ends
    ]
    faults = []
    for node, terminal, point in slots:
        joined.join(node, f"at {terminal}")  # the same screw, wherever it is drawn
        touching = [i for i, s in enumerate(stretches) if any(on(point, a, b) for a, b in segments(s))]
        ends = [i for i in touching if any(on(point, p, p) for p in stretches[i].points)]
        if not ends:
            faults.append(f"no line ends at {node}")
        for i in touching:
            joined.join(node, f"stretch {i}")
    names = {label.key: label.text for label in pieces if isinstance(label, Label)}
    for end in pieces:
        if isinstance(end, End):
            for i, stretch in enumerate(stretches):
                if any(on((end.x, end.y), p, p) for p in stretch.points):
                    joined.join(f"stretch {i}", _named(end, names, wiring))
    for pole in circuit.poles:
        joined.join(f"at {pole}", f"net {wiring.net(pole)}")  # several poles, and rails, may be one net
    for label in pieces:
        if isinstance(label, Label) and label.key.startswith("rail "):
            key = label.key.removeprefix("rail ")
            net = next(rail.net for rail in wiring.rails.values() if rail.key == key)
            x = label.box.left if label.anchor == "start" else label.box.right
            for i, stretch in enumerate(stretches):
                if (
                    stretch.rail
                    and abs(stretch.points[0][0] - x) < 1
                    and 0 < stretch.points[0][1] - label.y < 12
                ):
                    joined.join(f"stretch {i}", f"net {net}")
    for (one, a, _), (two, b, _) in combinations(slots, 2):
        drawn, real = joined.root(one) == joined.root(two), wiring.net(a) == wiring.net(b)
        if drawn != real:
            faults.append(f"{one} and {two}: {'joined' if drawn else 'apart'} in the picture")
    return faults


def _named(end: End, names: dict[str, str], wiring: Wiring) -> str:
    """What an end says: the net of the terminal or rail that its text names, itself alone, or the fold."""
    if end.key.startswith("fold ") or end.key not in names:
        return end.key
    name = names[end.key].removeprefix("rail ")
    if name == "open" or name.startswith("open, "):
        return f"open {end.key}"
    if name != names[end.key]:
        return f"net {next(r.net for r in wiring.rails.values() if r.key == name)}"
    first, cut, last = name.partition("…")
    meant = [
        t for t in wiring.circuit.terminals if t == name or (cut and t.startswith(first) and t.endswith(last))
    ]
    if len(meant) > 1:  # told apart by hand only: two long names that begin alike
        meant = [t for t in meant if wiring.net(t) == wiring.net(end.terminal)]
    return f"at {meant[0]}"


def _touch(first: Stretch, second: Stretch) -> bool:
    return any(on(end, a, b) for end in (first.points[0], first.points[-1]) for a, b in segments(second))


def overlaps(panel: Panel) -> list[str]:
    """Labels and plates that lie on each other, on symbols or on lines, or outside the panel."""
    texts = [(p, p.box) for p in panel.pieces if isinstance(p, Label | Plate)]
    inks = [(f"the symbol {p.key}", p.box) for p in symbols(panel.pieces)]
    inks += [
        (f"the frame of {p.key}", side) for p in symbols(panel.pieces) if p.frame for side in _sides(p.frame)
    ]
    lines = [(p, s) for p in panel.pieces if isinstance(p, Stretch) for s in segments(p)]
    inks += [(f"a line of {p.key} {p.points}", _line(a, b)) for p, (a, b) in lines]
    whole = Box(0, 0, panel.width, panel.height)
    faults = [f"{t.key} is clipped: {t.text}" for t, box in texts if not inside(box, whole)]
    for (one, a), (two, b) in combinations(texts, 2):
        if a.overlaps(b):
            faults.append(f"{one.key} ({one.text}) on {two.key} ({two.text})")
    faults += [f"{t.key} ({t.text}) on {name}" for t, box in texts for name, ink in inks if box.overlaps(ink)]
    boxes = symbols(panel.pieces)
    return faults + [f"{a.key} on {b.key}" for a, b in combinations(boxes, 2) if a.box.overlaps(b.box)]


def inside(box: Box, whole: Box) -> bool:
    tie = 0.01
    return (
        box.left >= whole.left - tie
        and box.top >= whole.top - tie
        and box.right <= whole.right + tie
        and box.bottom <= whole.bottom + tie
    )


def _line(a: Point, b: Point) -> Box:
    half = 0.8
    return Box(min(a[0], b[0]) - half, min(a[1], b[1]) - half, max(a[0], b[0]) + half, max(a[1], b[1]) + half)


def _sides(box: Box) -> list[Box]:
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    return [_line(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


def crossings(pieces: Sequence[Piece]) -> list[str]:
    """Lines of different nets that cross or lie on each other."""
    stretches = [piece for piece in pieces if isinstance(piece, Stretch)]
    return [
        f"{one.key} {one.points} and {two.key} {two.points}"
        for one, two in combinations(stretches, 2)
        if one.key != two.key
        and any(_line(*s).overlaps(_line(*t)) for s in segments(one) for t in segments(two))
    ]
