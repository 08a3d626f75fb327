"""The four classes of sneak circuits: a specimen and the check that finds it, or a sentence of README.

Classes and patterns: MIL-STD-785B task 205 and MIL-HDBK-338B, by reliability pages and from memory.
"""

from __future__ import annotations

import pytest

from tests.specimens.expected import ROOT, expectations, folders

FOUND = {
    # Current goes a way that nobody meant.
    "path, cross tie (H)": ("no-sneak", "change-cross-tie.yaml", "no-sneak"),
    "path, a common return lost (ground dome)": ("lost-neutral", "change-neutral-lost.yaml", "keeps"),
    "path, two supplies joined (power dome)": ("no-cross-feed", "change-commons-tied.yaml", "no-cross-feed"),
    "path, through an indicator lamp (single line)": (
        "sneak-indication",
        "change-across-the-switch.yaml",
        "no-sneak",
    ),
    # Things come in an order that nobody thought of.
    "timing, a delay lets two functions meet": ("sneak-timing", "change-not-locked.yaml", "expects"),
    "timing, relays race": ("two-pumps", "change-undeclared.yaml", "no-chatter"),
    "timing, power returns": ("lockout", "change-forgets-power.yaml", "expects"),
    # A lamp tells what is not so.
    "indication": ("sneak-indication", "change-at-the-call.yaml", "expects"),
}


@pytest.mark.parametrize("name", FOUND)
def test_a_check_finds_it(name: str) -> None:
    """That it does is tested with all specimens; here that it is asked for."""
    where, change, check = FOUND[name]
    folder = next(f for f in folders() if f.name == where)
    fails = expectations(folder)[change]["fails"]
    assert check in {one["check"] for one in fails}


def test_what_no_check_finds_is_told() -> None:
    """A label that is wrong or missing is not in the circuit."""
    told = (ROOT / "README.md").read_text(encoding="utf-8").partition("**Not checked, at all:**")[2]
    assert "sneak label" in told.partition("\n")[0]
