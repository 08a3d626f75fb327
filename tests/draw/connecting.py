"""Reads connection diagrams back from their pieces: what ends where, what overlaps, what crosses."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from tests.draw.reading import inside
from wirecheck.draw.connections.pieces import Body, Run, Terminal
from wirecheck.draw.pieces import Box, Label, Plate

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.connections import Sheet

Segment = tuple[tuple[float, float], tuple[float, float]]


def runs(sheet: Sheet) -> list[Run]:
    return [piece for piece in sheet.pieces if isinstance(piece, Run)]


def segments(run: Run) -> list[Segment]:
    return [(a, b) for a, b in pairwise(run.points) if a != b]


def ends_drawn(sheets: Iterable[Sheet]) -> Counter[tuple[str, str]]:
    """Each conductor end that is drawn on a screw, or beside one."""
    return Counter(
        (run.key, stop.terminal)
        for sheet in sheets
        for run in runs(sheet)
        for stop in run.stops
        if stop.holds != "cut"
    )


def ends_wired(circuit: Circuit) -> Counter[tuple[str, str]]:
    return Counter((wire.id, end) for wire in circuit.conductors.values() for end in (wire.a, wire.b))


def terminals_missing(sheets: Iterable[Sheet], circuit: Circuit) -> set[str]:
    """Terminals of devices and poles of supplies that no sheet shows."""
    drawn = {piece.key for sheet in sheets for piece in sheet.pieces if isinstance(piece, Terminal)}
    owned = {t for device in circuit.devices.values() for t in device.terminals}
    return (owned | set(circuit.poles)) - drawn


def off_their_screws(sheet: Sheet, circuit: Circuit) -> list[str]:
    """Ends that are not within half a unit of a screw of their own terminal, alone on it."""
    at: dict[str, list[tuple[float, float]]] = {}
    for piece in sheet.pieces:
        if isinstance(piece, Terminal):
            at.setdefault(piece.key, []).extend((*piece.screws, *piece.vacant))
    faults, taken = [], Counter[tuple[float, float]]()
    for run in runs(sheet):
        for stop in run.stops:
            point = (stop.x, stop.y)
            if point not in (run.points[0], run.points[-1]):
                faults.append(f"{run.key} does not end at its stop on {stop.terminal}")
            if stop.holds == "cut":
                continue
            taken[stop.screw] += 1
            own = stop.terminal in at
            screws = at[stop.terminal] if own else [p for points in at.values() for p in points]
            if not any(abs(x - stop.screw[0]) <= 0.5 and abs(y - stop.screw[1]) <= 0.5 for x, y in screws):
                faults.append(f"{run.key} is not at {stop.terminal}")
            if stop.holds == "landed" and (not own or point != stop.screw):
                faults.append(f"{run.key} is off {stop.terminal}")
            if (stop.holds == "lifted") != (stop.terminal in circuit.loose):
                faults.append(f"{run.key} at {stop.terminal} is {stop.holds}")
            if stop.holds == "capped" and stop.terminal not in circuit.capped:
                faults.append(f"{run.key} at {stop.terminal} is not capped")
    return faults + [f"{n} conductors on one screw" for n in taken.values() if n > 1]


def overlaps(sheet: Sheet) -> list[str]:
    """Words and plates on each other, on conductors, on edges of bodies, on screws; what is clipped."""
    texts = [(p, p.box) for p in sheet.pieces if isinstance(p, Label | Plate)]
    whole = Box(0, 0, sheet.width, sheet.height)
    faults = [f"{t.text} is clipped" for t, box in texts if not inside(box, whole)]
    boxes = [(f"body {p.key}", side) for p in sheet.pieces if isinstance(p, Body) for side in sides(p.box)]
    for piece in sheet.pieces:
        if isinstance(piece, Run):
            boxes += [(f"conductor {piece.key}", line(s, 1.8)) for s in segments(piece)]
            faults += [f"{piece.key} is clipped" for s in segments(piece) if not inside(line(s, 1.8), whole)]
        elif isinstance(piece, Terminal):
            boxes += [
                (f"screw {piece.key}", Box(x - 2.6, y - 2.6, x + 2.6, y + 2.6)) for x, y in piece.screws
            ]
    for (one, a), (two, b) in combinations(texts, 2):
        if a.overlaps(b):
            faults.append(f"{one.text} ({one.key}) on {two.text} ({two.key})")
    faults += [
        f"{t.text} ({t.key}) on {name}" for t, box in texts for name, ink in boxes if box.overlaps(ink)
    ]
    bodies = [p for p in sheet.pieces if isinstance(p, Body)]
    return faults + [f"{a.key} on {b.key}" for a, b in combinations(bodies, 2) if a.box.overlaps(b.box)]


def through_bodies(sheet: Sheet) -> list[str]:
    bodies = [p for p in sheet.pieces if isinstance(p, Body)]
    return [
        f"{run.key} through {body.key}"
        for run in runs(sheet)
        for s in segments(run)
        for body in bodies
        if line(s, 0).overlaps(body.box)
    ]


def crossings(sheet: Sheet) -> tuple[int, list[str]]:
    """How many crossings; and those that are none: slanted stretches, shared ones, near a screw."""
    count, faults = 0, []
    held = [(run, s) for run in runs(sheet) for s in segments(run)]
    ends = [stop.screw for run in runs(sheet) for stop in run.stops]
    for run, ((x, y), (to_x, to_y)) in held:
        if x != to_x and y != to_y:
            faults.append(f"{run.key} is slanted")
    for (one, a), (two, b) in combinations(held, 2):
        if one.key == two.key or not line(a, 1.8).overlaps(line(b, 1.8)):
            continue
        if upright(a) == upright(b):
            faults.append(f"{one.key} and {two.key} share a stretch")
            continue
        tall, flat = (a, b) if upright(a) else (b, a)
        point = tall[0][0], flat[0][1]
        count += 1
        if not (within(flat, 0, point[0], 1) and within(tall, 1, point[1], 1)):
            faults.append(f"{one.key} ends on {two.key}")
        if any(abs(point[0] - x) < 6 and abs(point[1] - y) < 6 for x, y in ends):
            faults.append(f"{one.key} and {two.key} cross at a screw")
    return count, faults


def allowed(conductors: int) -> float:
    # drawings.md, section 9
    return conductors * (1.0 if conductors <= 20 else 1.5)


def within(segment: Segment, axis: int, value: float, margin: float) -> bool:
    low, high = sorted((segment[0][axis], segment[1][axis]))
    return low + margin < value < high - margin


def upright(segment: Segment) -> bool:
    return segment[0][0] == segment[1][0]


def line(segment: Segment, half: float) -> Box:
    (x, y), (to_x, to_y) = segment
    flat = half if y == to_y else 0.0
    wide = half if x == to_x else 0.0
    return Box(min(x, to_x) - wide, min(y, to_y) - flat, max(x, to_x) + wide, max(y, to_y) + flat)


def sides(box: Box) -> list[Box]:
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    return [line((a, b), 0.7) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


def astray(sheets: Sequence[Sheet], circuit: Circuit) -> list[str]:
    """Cut conductors whose words do not name the terminal at the other end, and the sheet that it is on."""
    landed = {
        (run.key, stop.terminal): sheet.number
        for sheet in sheets
        for run in runs(sheet)
        for stop in run.stops
        if stop.holds != "cut"
    }
    faults = []
    for sheet in sheets:
        words = [p for p in sheet.pieces if isinstance(p, Label) and p.key.startswith("stub ")]
        for run in runs(sheet):
            for here, cut in [run.stops] if any(s.holds == "cut" for s in run.stops) else []:
                ends = [t for (wire, t) in landed if wire == run.key and t != here.terminal]
                if not ends:
                    faults.append(f"{run.key}: its other end is on no sheet")
                    continue
                (far,) = ends
                own = sorted(
                    (w for w in words if abs(w.x - here.screw[0]) < 8 and 0 < w.y - here.y < 68),
                    key=lambda w: w.y,
                )
                lines = [w.whole or w.text for w in own[:2]]
                text = lines[0] if "sheet" in lines[0] else " ".join(lines)
                wanted = f"to {far}", f"sheet {landed[run.key, far]}"
                off = far in circuit.loose | circuit.capped and text.startswith("off ")
                if not (off or text.startswith(wanted[0])) or not text.endswith(wanted[1]):
                    faults.append(f"{run.key}: {text!r} is not {wanted}")
                if cut.holds != "cut" or here.holds == "cut":
                    faults.append(f"{run.key} has no end on its sheet")
    return faults


def faults_of(sheets: Sequence[Sheet], circuit: Circuit) -> list[str]:
    """All that is wrong with a circuit's sheets."""
    wanted, drawn = ends_wired(circuit), ends_drawn(sheets)
    found = [f"{end}: drawn {drawn[end]} times" for end in wanted | drawn if drawn[end] != wanted[end]]
    found += [f"{terminal} is missing" for terminal in sorted(terminals_missing(sheets, circuit))]
    found += astray(sheets, circuit)
    for sheet in sheets:
        count, wrong = crossings(sheet)
        alone = sum(isinstance(p, Body) for p in sheet.pieces) == 1
        if count > allowed(len(runs(sheet))) and not alone:
            wrong.append(f"{count} crossings of {len(runs(sheet))} conductors")
        each = (*off_their_screws(sheet, circuit), *overlaps(sheet), *through_bodies(sheet), *wrong)
        found += [f"sheet {sheet.number}: {fault}" for fault in each]
    return found
