"""What the fast evaluator gives up on; the caller then asks the plain one."""

from __future__ import annotations

CHUNK_BITS = 16  # settings of one vector: 2^16; with 2^15 half of the time goes between vectors
MOST_BITS = 24  # settings that are enumerated: 2^24 (speed.md section 7)
MOST_NODES = 400_000  # of the program of one pair
MOST_SHARED = 100_000  # of the program that pairs with the same unit before share
MOST_BYTES = 512 << 20  # of what is reached (speed.md section 8)
KEPT_BYTES = 16 << 20  # of vectors that can be worked out again: beyond, they are
KEPT_WORDS = 32 << 20  # of words of loads, asked for again and again; for each 2^20 settings
KEPT_ALIKE = 4 << 20  # of where two ends of settling stand alike
MOST_CLASSES = 20_000  # positions of relays with memory that are reached
MOST_CUBES = 4_000  # distinct positions of one part that are solved


def held_by(vectors: int, size: int) -> int:
    """Bytes of so many vectors of so many settings, with what a dict needs to hold each."""
    return vectors * ((size >> 3) + 100)


class NotHere(Exception):
    """What this evaluator does not do exactly. Carries why, in words."""


class TooLarge(Exception):
    """More memory or more classes than allowed. Carries what and how many, in words."""
