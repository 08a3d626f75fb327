"""Which contacts are closed, from where inputs, coils and delays stand."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from wirecheck.circuit.elements import ByCoil, ByPosition

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Contact, Late
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.answers import Bits
    from wirecheck.engine.nets import Nets


class Row(NamedTuple):
    """One contact between two nets. moved_by: its coil where `by_coil`, else its input, by number."""

    contact: str
    a: int
    b: int
    rests_closed: bool
    moved_by: int
    by_coil: bool = False
    delay: int | None = None
    late: Late | None = None


class Contacts:
    """The contacts of one circuit, in its order. inputs, coils, delays: their numbers by name."""

    def __init__(
        self,
        circuit: Circuit,
        nets: Nets,
        inputs: Mapping[str, int],
        coils: Mapping[str, int],
        delays: Mapping[tuple[str, Late], int],
    ) -> None:
        self._inputs, self._coils, self._delays = inputs, coils, delays
        self.rows = [self._row(c, nets) for c in circuit.contacts.values()]

    def _row(self, c: Contact, nets: Nets) -> Row:
        a, b = nets.of[c.a], nets.of[c.b]
        match c.mover:
            case ByPosition(name):
                return Row(c.id, a, b, c.rests_closed, self._inputs[name])
            case ByCoil(coil, late):
                delay = self._delays.get((coil, late)) if late else None
                return Row(c.id, a, b, c.rests_closed, self._coils[coil], True, delay, late)

    def closed(self, inputs: Bits, coils: Bits, delays: Bits) -> Bits:
        """Which contacts are closed."""
        out = []
        for _, _, _, rests, moved_by, by_coil, delay, late in self.rows:
            moved = coils[moved_by] if by_coil else inputs[moved_by]
            if late == "on":
                moved = moved and delay is not None and delays[delay]
            elif late == "off":
                moved = moved or (delay is not None and delays[delay])
            out.append(rests != moved)
        return tuple(out)
