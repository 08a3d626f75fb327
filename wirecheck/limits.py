"""Every limit on what is read, and the way out when it is met."""

from __future__ import annotations

from typing import Final

FILE_BYTES: Final = 2_000_000
"""Longest file (contract section 1). Way out: a cabinet of that size is several units; one file for each."""

DEPTH: Final = 16
"""Deepest nesting of a file; the deepest that the contract uses is 6. Way out: none is needed."""

GREATEST: Final = 1e9
"""Greatest figure, in the SI unit of its quantity. Way out: none; no figure of such equipment comes near."""

TERMINALS: Final = 1000
"""Most terminals of a strip or bar. Way out: several strips, linked."""

PROBLEMS: Final = 200
"""Most problems reported of one file; the last says how many more there are. Way out: mend these first."""

RECORD_BYTES: Final = 40_000_000
"""Longest record. Way out: fewer fails, each of which keeps its state; record the change when it is right."""
