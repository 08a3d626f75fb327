"""What a check says: findings, and the state that witnesses them."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

Verdict = Literal["pass", "fail", "unknown", "note"]


class Witness(Struct, frozen=True):
    """One reachable state: inputs, and the words of loads and relays before and after.

    ranges: quantity -> words ("above 375 psig"). route: the current's way, terminal by terminal. earlier:
    the states that lead here, in order, for what depends on history. reached: of a state that power-up does
    not lead to, how it stood at power-up and the moves from there. because: why coils on the route are in.
    parted: of loads that ran before and are off, what stands open between them and their supply.
    """

    inputs: dict[str, str]
    before: dict[str, str]
    after: dict[str, str]
    ranges: dict[str, str] = field(default_factory=dict)
    route: tuple[str, ...] = ()
    earlier: tuple[Witness, ...] = ()
    move: str = ""
    reached: tuple[str, ...] = ()
    because: tuple[str, ...] = ()
    parted: tuple[str, ...] = ()


class Finding(Struct, frozen=True):
    """One check of one subject. fields: what would decide an `unknown`.

    other: what else it is about, where a subject has several findings of a check: the load that a protection
    keeps off, the load that a load is fed through.
    """

    check: str
    subject: str
    verdict: Verdict
    says: str
    witness: Witness | None = None
    fields: tuple[str, ...] = ()
    other: str = ""
