"""What stands in the page without a script: a delay that stands otherwise before; names with hidden marks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.cli.conftest import ROOT, wirecheck
from wirecheck import api

if TYPE_CHECKING:
    from pathlib import Path

FURNACE = ROOT / "wirecheck/library/units/gas-furnace"


def opening(page: str) -> dict[str, bool]:
    """Input -> checked?"""
    return {n: " checked" in rest for n, rest in re.findall(r'data-input="([^"]*)"([^>]*)>', page)}


def word(page: str, load: str, side: str) -> str:
    found = re.search(rf'data-load="{re.escape(load)}" data-side="{side}">([^<]*)<', page)
    assert found is not None
    return found[1]


def test_a_delay_that_stands_otherwise_before_is_shown_apart(tmp_path: Path) -> None:
    # The spill switch stops the burner: the blower's relay never pulls in after the change, and is not held.
    unit, change, out = FURNACE / "unit.yaml", FURNACE / "changes/spill-switch.yaml", tmp_path / "x.html"
    assert wirecheck("draw", unit, change, "-o", out).code == 0
    page = out.read_text(encoding="utf-8")
    stands = opening(page)
    assert {"KB.held", "KB.held (before)"} <= stands.keys()
    _, found = api.states(str(unit), str(change))
    rows = [
        r
        for r in found.rows
        if all((w in ("closed", "moved")) == stands[n] for n, w in r.inputs.items() if n in stands)
    ]
    assert word(page, "BLW", "after") in {r.loads["BLW"] for r in rows}
    assert rows


def test_a_hidden_mark_in_a_tag_is_written_out_everywhere(tmp_path: Path) -> None:
    unit, out = tmp_path / "unit.yaml", tmp_path / "x.html"
    unit.write_text(
        "unit: {name: T}\nsupplies: {M: {kind: single-phase, volts: 120}}\n"
        'devices:\n  "A\\u202EB": {type: switch}\n'
        '  "H\\u202EL": {type: lamp, volts: 120, watts: 40}\n'
        'rungs:\n  - {id: C, path: [M.L, "A\\u202EB", "H\\u202EL", M.N]}\n',
        encoding="utf-8",
    )
    assert wirecheck("draw", unit, "-o", out).code == 0
    page = out.read_text(encoding="utf-8")
    assert "\u202e" not in page
    assert opening(page).keys() == {"AU+202EB"}
    assert '"inputs":{"AU+202EB":' in page
    assert '"HU+202EL":' in page
    assert word(page, "HU+202EL", "before") == ("on" if opening(page)["AU+202EB"] else "off")


def test_a_page_of_a_fail_opens_in_its_state(tmp_path: Path) -> None:
    folder, out = ROOT / "examples/tidewater-playhouse", tmp_path / "x.html"
    assert wirecheck("draw", folder / "unit.yaml", folder / "change-main-lead.yaml", "-o", out).code == 0
    page = out.read_text(encoding="utf-8")
    stands = opening(page)
    assert (stands["TH.cool"], stands["PS"]) == (True, False)
    assert word(page, "FAN", "before") == "runs"
    assert word(page, "FAN", "after") == "stalls"
