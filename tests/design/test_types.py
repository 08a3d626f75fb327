"""The built-in types against the contract's table, and what holds for each."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import wirecheck
from wirecheck.design.kinds import Contact, Transformer
from wirecheck.design.models import DeviceType
from wirecheck.design.typecheck import check_type
from wirecheck.design.types import Types, built_in, built_in_names

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.design.resolved import ResolvedDevice

# Terminals and elements by the contract's table, section 2: contact a-b with its rest, other kinds by name.
POLES_3 = "open L1-T1 by coil, open L2-T2 by coil, open L3-T3 by coil"
TABLE = {
    "disconnect-2p": ("L1 T1 L2 T2", "closed L1-T1, closed L2-T2"),
    "disconnect-3p": ("L1 T1 L2 T2 L3 T3", "closed L1-T1, closed L2-T2, closed L3-T3"),
    "breaker-2p": ("L1 T1 L2 T2", "closed L1-T1, closed L2-T2"),
    "fuse": ("1 2", "closed 1-2"),
    "switch": ("1 2", "open 1-2"),
    "pressure-switch": ("1 2", "contact 1-2"),
    "temperature-switch": ("1 2", "contact 1-2"),
    "float-switch": ("1 2", "contact 1-2"),
    "flow-switch": ("1 2", "contact 1-2"),
    "door-switch": ("1 2", "contact 1-2"),
    "changeover-switch": ("C NO NC", "open C-NO, closed C-NC"),
    "pressure-changeover": ("C NO NC", "open C-NO, closed C-NC"),
    "thermostat": ("R Y G W C", "open R-Y by cool, open R-G by fan, open R-W by heat"),
    "contactor-1p": ("L1 T1 L2 T2 A1 A2", "open L1-T1 by coil, link L2-T2, coil A1-A2"),
    "contactor-2p": ("L1 T1 L2 T2 A1 A2", "open L1-T1 by coil, open L2-T2 by coil, coil A1-A2"),
    "contactor-3p": (
        "L1 T1 L2 T2 L3 T3 A1 A2",
        f"{POLES_3}, coil A1-A2",
    ),
    "contactor-1p-aux": (
        "L1 T1 L2 T2 A1 A2 13 14 21 22",
        "open L1-T1 by coil, link L2-T2, coil A1-A2, open 13-14 by coil, closed 21-22 by coil",
    ),
    "contactor-2p-aux": (
        "L1 T1 L2 T2 A1 A2 13 14 21 22",
        "open L1-T1 by coil, open L2-T2 by coil, coil A1-A2, open 13-14 by coil, closed 21-22 by coil",
    ),
    "contactor-3p-aux": (
        "L1 T1 L2 T2 L3 T3 A1 A2 13 14 21 22",
        f"{POLES_3}, coil A1-A2, open 13-14 by coil, closed 21-22 by coil",
    ),
    "overload-3p": ("L1 T1 L2 T2 L3 T3 95 96", "link L1-T1, link L2-T2, link L3-T3, closed 95-96"),
    "relay-no": ("C NO A1 A2", "open C-NO by coil, coil A1-A2"),
    "relay-nc": ("C NC A1 A2", "closed C-NC by coil, coil A1-A2"),
    "relay-changeover": ("C NO NC A1 A2", "open C-NO by coil, closed C-NC by coil, coil A1-A2"),
    "relay-2-changeover": (
        "C NO NC C2 NO2 NC2 A1 A2",
        "open C-NO by coil, closed C-NC by coil, open C2-NO2 by coil, closed C2-NC2 by coil, coil A1-A2",
    ),
    "delay-on-relay": ("C NO NC A1 A2", "open C-NO by coil late on, closed C-NC by coil late on, coil A1-A2"),
    "delay-off-relay": (
        "C NO NC A1 A2",
        "open C-NO by coil late off, closed C-NC by coil late off, coil A1-A2",
    ),
    "potential-relay": ("1 2 5", "closed 1-2 by atspeed, coil 5-2"),
    "transformer": ("H1 H2 R C", "H1 H2 to R C"),
    "transformer-2-tap": ("H1 H2 H3 R C", "H1 H2 H3 to R C"),
    "psc-motor": ("common main aux", "winding common-main, winding common-aux"),
    "psc-motor-3-speed": (
        "common high medium low aux",
        "winding common-high, winding common-medium, winding common-low, winding common-aux",
    ),
    "psc-compressor": ("C R S", "closed C-m by overload, winding m-R, winding m-S"),
    "motor-1ph": ("1 2", "winding 1-2"),
    "motor-3ph": ("T1 T2 T3", "winding T1-star, winding T2-star, winding T3-star"),
    "heater": ("1 2", "resistor 1-2"),
    "crankcase-heater": ("1 2", "resistor 1-2"),
    "lamp": ("1 2", "resistor 1-2"),
    "solenoid-valve": ("1 2", "coil 1-2"),
    "run-capacitor": ("1 2", "capacitor 1-2"),
    "start-capacitor": ("1 2", "capacitor 1-2"),
    "ptc-start": ("1 2", "closed 1-p by warm, resistor p-2"),
    "resistor": ("1 2", "resistor 1-2"),
    "dual-run-capacitor": ("C HERM FAN", "capacitor C-HERM, capacitor C-FAN"),
    "terminal-strip": ("counted", ""),
    "earth-bar": ("counted", ""),
}


def described(kind: DeviceType) -> str:
    parts = []
    for element in kind.elements.values():
        if isinstance(element, Transformer):
            parts.append(f"{' '.join(element.primary)} to {' '.join(element.secondary)}")
        elif isinstance(element, Contact):
            by = f" by {element.moved_by}" if element.moved_by else ""
            late = f" late {element.late}" if element.late else ""
            parts.append(f"{element.rests or 'contact'} {'-'.join(element.across)}{by}{late}")
        else:
            parts.append(f"{element.kind} {'-'.join(element.across)}")
    return ", ".join(parts)


@pytest.mark.parametrize("name", TABLE)
def test_type_is_as_the_contract_says(name: str) -> None:
    kind = built_in(name)
    terminals = kind.terminals if isinstance(kind.terminals, str) else " ".join(kind.terminals)
    assert (terminals, described(kind)) == TABLE[name]


@pytest.mark.parametrize("name", built_in_names())
def test_every_type_hangs_together(name: str, resolved: Callable[..., ResolvedDevice]) -> None:
    kind = built_in(name)
    assert list(check_type(name, kind)) == []
    assert kind.about
    counted = ", terminals: 4" if kind.terminals == "counted" else ""
    device = resolved(f"{{type: {name}{counted}}}")
    assert all(e.rests for e in device.elements.values() if isinstance(e, Contact))


def test_what_isolates_blows_or_shows_by_a_lever() -> None:
    marked = {n: built_in(n) for n in built_in_names()}
    assert {n for n, k in marked.items() if k.isolates} == {
        "disconnect-1p", "disconnect-2p", "disconnect-3p", "breaker-1p", "breaker-2p", "breaker-3p", "fuse",
    }  # fmt: skip
    assert {n for n, k in marked.items() if k.fuse} == {"fuse"}
    assert {n for n, k in marked.items() if k.hand} == {"switch"}
    assert {n for n, k in marked.items() if k.hermetic} == {"psc-compressor"}
    assert {n for n, k in marked.items() if k.joined and k.at_earth} == {"earth-bar"}


def test_no_code_names_a_type() -> None:
    """A type with a hyphen in its name is nobody's common word; none is a whole text of a Python file."""
    names = [n for n in built_in_names() if "-" in n]
    for path in Path(wirecheck.__file__).parent.rglob("*.py"):
        for text in re.findall(r"""["']([a-z0-9-]+)["']""", path.read_text(encoding="utf-8")):
            assert text not in names, f"{path.name} names {text}"


def test_types_of_a_file_come_first_and_unknown_ones_are_not_there() -> None:
    own = DeviceType(terminals=("A", "B"))
    types = Types({"pad": own})
    assert next(iter(types)) == "pad"
    assert types["pad"] is own
    assert len(types) == len(built_in_names()) + 1
    assert "no-such-type" not in types
