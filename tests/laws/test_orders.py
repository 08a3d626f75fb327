"""Moving some coils all at once, or none of the inputs, is a shortcut: it must lead to every rest that
any order leads to (engine.md 4).

Coils in series, in parallel and across contacts, with every pick-up and drop-out that a file may give,
are what a
shortcut is likely to miss.
"""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import hypothesis.strategies as st
from hypothesis import example, given, reject, settings

from tests.laws.ask import circuit, rows
from wirecheck.engine.answers import TooMany
from wirecheck.engine.plain import evaluator
from wirecheck.engine.plain.explore import Explorer
from wirecheck.questions.states import states

Data = dict[str, Any]


def relay(kind: str, **coil: int) -> Data:
    return {"type": kind, "coil": {"volts": 120, **coil}}


# One that a shortcut missed: its second rest hangs on a coil that holds through a divider. Worked by hand
# in the battery: a coil that holds through a divider.
MISSED: Data = {
    "unit": {"name": "coils"},
    "supplies": {"MAINS": {"kind": "single-phase", "volts": 120}},
    "devices": {
        "TS": {"type": "terminal-strip", "terminals": 6},
        "K1": relay("relay-no", va=2, inrush=4, pick_up=70, drop_out=10),
        "K2": relay("relay-nc", va=2, inrush=16, pick_up=70, drop_out=20),
        "K3": relay("relay-nc", va=2, inrush=4, pick_up=70, drop_out=20),
        "K4": relay("relay-no", va=9, inrush=18, pick_up=80, drop_out=20),
    },
    "wires": [
        {"id": f"W{k}", "from": a, "to": b}
        for k, (a, b) in enumerate([
            ("TS.1", "K2.A1"), ("K2.A2", "TS.6"), ("MAINS.N", "K2.C"), ("K2.NC", "TS.6"), ("TS.4", "K3.A1"),
            ("K3.A2", "TS.6"), ("TS.1", "K3.C"), ("K3.NC", "MAINS.N"), ("TS.4", "K4.A1"), ("K4.A2", "TS.1"),
            ("MAINS.L", "TS.4"),
        ])
    ],
}  # fmt: skip


@st.composite
def coils(draw: Any) -> Data:
    """Two to five relays, coils and contacts anywhere between two poles and up to six terminals of a
    strip.
    """
    count = draw(st.integers(3, 6))
    places = ["MAINS.L", "MAINS.N", *(f"TS.{k}" for k in range(1, count + 1))]
    devices: Data = {"TS": {"type": "terminal-strip", "terminals": count}, "H": {"type": "switch"}}
    ends = [("MAINS.L", "TS.1")]
    two = st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True)
    for k in range(draw(st.integers(2, 5))):
        va = draw(st.sampled_from([2, 5, 9]))
        coil = {"volts": 120, "va": va, "inrush": va * draw(st.sampled_from([1, 2, 4, 8]))}
        coil |= {
            "pick_up": draw(st.sampled_from([40, 55, 70, 80])),
            "drop_out": draw(st.sampled_from([10, 20, 30])),
        }
        make = draw(st.booleans())
        devices[f"K{k}"] = {"type": "relay-no" if make else "relay-nc", "coil": coil}
        a, b = draw(two)
        ends += [(a, f"K{k}.A1"), (f"K{k}.A2", b)]
        a, b = draw(two)
        if {a, b} != {"MAINS.L", "MAINS.N"}:
            ends += [(a, f"K{k}.C"), (f"K{k}.{'NO' if make else 'NC'}", b)]
    a, b = draw(two)
    ends += [(a, "H.1"), ("H.2", b)]
    wires = [{"id": f"W{k}", "from": a, "to": b} for k, (a, b) in enumerate(ends, 1)]
    return {**MISSED, "devices": devices, "wires": wires}


def always(_: Explorer) -> bool:
    return True


@example(MISSED)
@given(coils())
@settings(max_examples=400)
def test_every_order_is_walked(unit: Data) -> None:
    of = circuit(unit)
    try:
        short_cut = rows(states(of))
        with patch.object(evaluator, "ALL_IN_ORDER", 1000), patch.object(Explorer, "_moves_matter", always):
            every_order = rows(states(of))
    except TooMany:
        reject()
    assert short_cut == every_order
