"""Devices that only join: a bar with its terminals, and the conductors that land on each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Link
from wirecheck.draw.pieces import NAME, TEXT, Box, End, Label, Piece, Stretch, Symbol
from wirecheck.draw.rows import LEFT, RIGHT
from wirecheck.draw.text import fitted, fitted_line

if TYPE_CHECKING:
    from wirecheck.draw.look import Face

BAR_STEP = 16.0


def bar_pieces(face: Face, top: float) -> tuple[tuple[Piece, ...], float] | None:
    """Devices that only join: a bar with its terminals, and the conductors that land on each."""
    if not face.wiring.bars:
        return None
    pieces: list[Piece] = [Label("title bars", "Joined terminals", LEFT, top + NAME, NAME, bold=True)]
    y = top + NAME + 16
    for tag in face.wiring.bars:
        device = face.circuit.devices[tag]
        links = tuple(i for i in device.elements if isinstance(face.circuit.elements[i], Link))
        mark, plate = face.marks.devices.get(tag, ("", ""))
        name = fitted(f"{tag} {plate}".strip(), 200, NAME, True)
        pieces.append(Label(f"tag {tag}", name, LEFT, y, NAME, True, whole=tag))
        y += 8
        ends = tuple((t, LEFT + 10, y + (n + 0.5) * BAR_STEP) for n, t in enumerate(device.terminals))
        box = Box(LEFT, y, LEFT + 10, y + len(ends) * BAR_STEP)
        symbol = "earth bar" if device.earth else "bar"
        says = f"{tag}: joins its terminals"
        pieces.append(Symbol(tag, links, symbol, LEFT + 5, y, ends, box, mark=mark, says=says))
        for terminal, x, line in ends:
            pieces.extend(_landed(face, terminal, x, line))
        y = box.bottom + 22
    return tuple(pieces), y


def _landed(face: Face, terminal: str, x: float, y: float) -> list[Piece]:
    wires = [w for w in face.circuit.conductors.values() if terminal in (w.a, w.b)]
    words = [f"{w.id} from {w.b if w.a == terminal else w.a}" for w in wires]
    text = fitted_line(f"{terminal.rpartition('.')[2]}: {', '.join(words) or 'free'}", RIGHT - x - 20, TEXT)
    net = face.wiring.net(terminal)
    return [
        Stretch(net, ((x, y), (x + 12, y)), tuple(w.id for w in wires)),
        End(f"end {terminal}", terminal, x + 12, y),
        Label(f"at {terminal}", text, x + 16, y + 4),
    ]
