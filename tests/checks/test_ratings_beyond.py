"""What is rated at all: with too many states for currents that decides between a note and unknown.

By hand: a gauge, an insulation, a rated contact, a transformer, capacitor or motor is. A terminal is where
the circuit has more than 1.5 times the volts of its parts, or than 45 V beside a circuit of 30 V or less
(contract section 6, `ratings`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from wirecheck.checks.ratings import rated
from wirecheck.circuit.build import load_circuit

if TYPE_CHECKING:
    from pathlib import Path

ONE = "{M: {kind: single-phase, volts: 120}}"
LAMP = "S: {type: switch}, LA: {type: lamp, volts: 120, watts: 60}"
WIRES = [
    "{id: W1, from: M.L, to: S.1}",
    "{id: W2, from: S.2, to: LA.1}",
    "{id: W3, from: LA.2, to: M.N}",
]


def two(volts: float, other: float) -> str:
    return f"{{M: {{kind: single-phase, volts: {volts}}}, O: {{kind: single-phase, volts: {other}}}}}"


@pytest.mark.parametrize(
    ("supplies", "devices", "wires", "expected"),
    [
        (ONE, LAMP, WIRES, False),
        (ONE, LAMP, [*WIRES[:2], "{id: W3, from: LA.2, to: M.N, gauge: 14 AWG}"], True),
        (ONE, LAMP, [*WIRES[:2], "{id: W3, from: LA.2, to: M.N, insulation: {volts: 300}}"], True),
        (ONE, f"{LAMP}, C: {{type: run-capacitor, capacitance: 5 uF}}", WIRES, True),
        (ONE, LAMP.replace("switch", "switch, contact: {fla: 6}"), WIRES, True),
        (ONE, LAMP.replace("120", "60"), WIRES, True),  # 120 V on terminals made for 60
        (ONE, LAMP.replace("120", "80"), WIRES, False),  # 1.5 times 80 V are not exceeded
        (two(120, 24), "S: {type: switch}", [], True),
        (two(45, 24), "S: {type: switch}", [], False),
        (two(46, 24), "S: {type: switch}", [], True),
        (two(120, 1), "S: {type: switch}", [], True),
        (two(120, 31), "S: {type: switch}", [], False),
    ],
)
def test_rated(tmp_path: Path, supplies: str, devices: str, wires: list[str], expected: bool) -> None:
    lines = ["unit: {name: rated}", f"supplies: {supplies}", f"devices: {{{devices}}}"]
    lines += ["wires:", *(f"  - {w}" for w in wires)] if wires else []
    (tmp_path / "unit.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert rated(load_circuit(tmp_path / "unit.yaml")) is expected
