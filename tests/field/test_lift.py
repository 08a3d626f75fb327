from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.field.conftest import DATA, PLAYHOUSE, ROOT
from wirecheck import api
from wirecheck.questions.leaving import leaving
from wirecheck.report import lifting

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Result

UNIT = PLAYHOUSE[0]


def test_a_relay_is_named_with_what_it_moves(here: Callable[..., Result]) -> None:
    done = here("lift", UNIT, "K1")
    assert (done.code, done.out) == (2, "")
    assert "K1 is a relay, no load: it moves K1.L1 to K1.T1." in done.err


@pytest.mark.parametrize(("name", "says"), [("HP", "HP is a switch, no load."), ("FAM", "Meant FAN?")])
def test_what_is_no_load(here: Callable[..., Result], name: str, says: str) -> None:
    done = here("lift", UNIT, name)
    assert done.code == 2
    assert says in done.err


def test_near_misses_say_what_each_leaves(here: Callable[..., Result]) -> None:
    """Main or auxiliary lead lifted: the fan hums (fact 5). One leg of both: off, and live."""
    out = here("lift", ROOT / "tests/cli/data/none-clean.yaml", "FAN").out
    assert "W9: FAN stalls (it hums: open the disconnect, its windings overheat)." in out
    assert "W3: stops COMP too; FAN off stays live (FAN.common, FAN.main and FAN.aux 120 V" in out


def test_sentences_that_lifting_makes_false() -> None:
    """The compressor's own leads opened: the fan runs without it, and K1 is in without it."""
    circuit = api.unit_of(str(UNIT))
    found, _ = api.lift(str(UNIT), "FAN")
    rows = {row.wire: row for row in found.conductors}

    def breaks(wire: str) -> tuple[str, ...]:
        left = leaving(circuit, "FAN", rows[wire])
        assert left is not None
        return left.breaks

    assert breaks("W7") == ()  # a sentence that says nothing then is not false
    assert breaks("W6") == ("FAN runs only when COMP runs", "COMP runs exactly when K1 in")
    assert breaks("W13") == ("HTR on exactly when DS closed and CCT closed",)


def test_where_ohms_do_not_tell_the_unit_does() -> None:
    """Two valves on one terminal, alike in all that is given: the one that closes tells which was lifted."""
    found, advice = api.lift(str(DATA / "twins.yaml"), "L1")
    says = lifting.sentences(found, advice)
    assert says[0].startswith("Lift A1 at TS.1")
    assert "L1 off is A1, L2 off is A2." in says[1]
    assert "They look alike, and so do their ohms" in says[1]
