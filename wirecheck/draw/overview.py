"""Overview: what hangs on what. Devices as boxes, a line for each pair with its number of conductors.

Graphviz lays it out. `splines=ortho` is never asked for: it ignores where lines have to end.
"""

from __future__ import annotations

import re
import sysconfig
from pathlib import Path
from shutil import which
from typing import TYPE_CHECKING

from wirecheck.circuit.graph import Changed
from wirecheck.draw.marks import marks_after, marks_before
from wirecheck.draw.pieces import Marks
from wirecheck.draw.text import plain, short

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.graph import Circuit

PROGRAM = "graphviz-pure"
CHANGED = "#8f4a00"
POINTS = re.compile(r'\b(width|height)="([\d.]+)pt"')


class NoDot(Exception):
    """There is no program that lays out DOT, or it failed; the message says which and what to do."""


def dot(drawn: Circuit | Changed) -> str:
    """The overview as DOT text; of a change, what is after it, with what is gone and new marked."""
    import graphviz

    after = drawn.after if isinstance(drawn, Changed) else drawn
    before = drawn.before if isinstance(drawn, Changed) else drawn
    old = marks_before(drawn) if isinstance(drawn, Changed) else Marks()
    new = marks_after(drawn) if isinstance(drawn, Changed) else Marks()
    graph = graphviz.Graph(
        "overview",
        graph_attr={"rankdir": "LR", "label": _label(after.name), "labelloc": "t", "fontname": "sans-serif"},
        node_attr={"shape": "box", "fontname": "sans-serif", "fontsize": "11", "margin": "0.08,0.04"},
        edge_attr={"fontname": "sans-serif", "fontsize": "11"},
    )
    names = dict.fromkeys((*_names(before), *_names(after)))
    for name in names:
        mark = new.devices.get(name, ("", ""))[1] or old.devices.get(name, ("", ""))[1]
        look = {"style": "dashed", "penwidth": "2.4"} if mark else {}
        shape = "ellipse" if name not in before.devices and name not in after.devices else "box"
        graph.node(_id(name), label=_label(f"{short(name)} {mark}".strip()), shape=shape, **look)
    order = {name: number for number, name in enumerate(names)}
    for (a, b), words, changed in _lines(before, after, old, new, order):
        look = {"color": CHANGED, "penwidth": "2.4"} if changed else {}
        graph.edge(_id(a), _id(b), label=_label(words), **look)
    return str(graph.source)


def svg(drawn: Circuit | Changed, dot_program: str | None = None) -> str:
    """The overview as SVG. dot_program: the user's own `dot`, else the one that the registry brings.

    Raises NoDot.
    """
    import graphviz
    from graphviz.backend import dot_command

    text, program = dot(drawn), _program(dot_program)
    usual = dot_command.DOT_BINARY
    dot_command.DOT_BINARY = program
    try:
        return _in_px(str(graphviz.Source(text).pipe(format="svg", encoding="utf-8", quiet=True)))
    except graphviz.ExecutableNotFound as error:
        raise NoDot(f"{program} cannot be run; name another dot, or write .dot.") from error
    except graphviz.CalledProcessError as error:
        raise NoDot(f"{program} failed, code {error.returncode}; name another dot, or write .dot.") from error
    finally:
        dot_command.DOT_BINARY = usual


def _in_px(drawing: str) -> str:
    """Its width and height in px, of which an inch has 96 (CSS), not in points, of which it has 72."""
    return POINTS.sub(lambda m: f'{m[1]}="{float(m[2]) * 96 / 72:g}px"', drawing, count=2)


def _program(named: str | None) -> Path:
    """Where the program is. A name is looked for on the search path."""
    if named is not None:
        found = which(named)
    else:
        found = which(PROGRAM, path=sysconfig.get_path("scripts")) or which(PROGRAM)
    if found is None:
        raise NoDot(f"there is no program {named or PROGRAM}; name another dot, or write .dot.")
    return Path(found)


def _names(circuit: Circuit) -> list[str]:
    """Supplies, devices, and the splices and loose ends that conductors meet."""
    supplies = [_owner(circuit, pole) for pole in circuit.poles]
    ends = [_owner(circuit, end) for wire in circuit.conductors.values() for end in (wire.a, wire.b)]
    return [*supplies, *circuit.devices, *ends]


def _owner(circuit: Circuit, terminal: str) -> str:
    """The device or supply of a terminal; a splice or loose end stands for itself."""
    device = circuit.device_of(terminal)
    if device is not None:
        return device.tag
    pole = circuit.poles.get(terminal)
    return pole.supply if pole is not None else terminal


def _lines(
    before: Circuit, after: Circuit, old: Marks, new: Marks, order: Mapping[str, int]
) -> list[tuple[tuple[str, str], str, bool]]:
    """Each pair once: how many conductors now, and which are gone or new, with their numbers."""
    held = {False: _by_pair(before, order), True: _by_pair(after, order)}
    found = []
    for pair in dict.fromkeys((*held[False], *held[True])):
        now = held[True].get(pair, [])
        marks = [f"{w} {old.wires[w][1]}" for w in held[False].get(pair, []) if w in old.wires]
        marks += [f"{w} {new.wires[w][1]}" for w in now if w in new.wires]
        found.append((pair, "\n".join((str(len(now)), *marks)), bool(marks)))
    return found


def _by_pair(circuit: Circuit, order: Mapping[str, int]) -> dict[tuple[str, str], list[str]]:
    """The conductors between each two, the one named first in the file at the left."""
    found: dict[tuple[str, str], list[str]] = {}
    for wire in circuit.conductors.values():
        a, b = sorted((_owner(circuit, wire.a), _owner(circuit, wire.b)), key=order.__getitem__)
        found.setdefault((a, b), []).append(wire.id)
    return found


def _id(name: str) -> str:
    """A node's name in DOT: no colon, which would be a port; no backslash, no angle bracket, no quote."""
    return "n" + "".join(c if c.isascii() and c.isalnum() else f"_{ord(c):x}_" for c in name)


def _label(text: str) -> str:
    """Text as it stands, not as DOT's escapes or HTML; a line break stays one."""
    import graphviz

    lines = (plain(line) for line in text.split("\n"))
    return "\\n".join(graphviz.escape(line) for line in lines)
