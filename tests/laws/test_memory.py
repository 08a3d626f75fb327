"""Opening then closing again returns, where nothing latches (engine.md section 8)."""

from __future__ import annotations

from hypothesis import assume, given, reject

from tests.laws.ask import circuit
from tests.laws.strategies import Data, Kind, units
from wirecheck.engine.answers import TooMany
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.plain.explore import Explorer
from wirecheck.engine.world import World


@given(units(Kind(latches=False, motors=False, extra=0, apart=True)))
def test_opening_then_closing_again_returns(unit: Data) -> None:
    """Coils here hang on switches and on relays before them, straight across a source: no ring, no
    divider.
    """
    of = circuit(unit)
    assume(of.relays and not of.delays)
    explorer = Explorer(World(of), Plain(of))
    try:
        explorer.run()
    except TooMany:
        reject()
    assume(not any(joint.after.short for joint in explorer.came))
    for joint in explorer.came:
        for move, there in explorer.successors(joint):
            switch = move.partition(" ")[0]
            if switch in of.inputs and of.inputs[switch].set_points is None:
                back = [b for m, b in explorer.successors(there) if m.partition(" ")[0] == switch]
                assert back == [joint], move
