"""What an evaluator answers: words, states, outcomes of settling; and the protocol of both evaluators."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

# Words for a load, contract section 5.
ON, WEAK, OVER, OFF = "on", "weak", "over", "off"
RUNS, STALLS, BACKWARD = "runs", "stalls", "backward"
SHORT, CHATTERS, UNKNOWN = "short", "chatters", "unknown"
IN, OUT = "in", "out"

WORKING = frozenset({ON, RUNS})

Bits = tuple[bool, ...]
State = tuple[Bits, Bits]  # coils in, delays moved
Turned = frozenset[tuple[str, bool]]  # contacts held against their movers: (id, closed?)
Scenario = dict[str, int]  # field of an estimate -> -1 low, 0 nominal, 1 high


class Short(Struct, frozen=True):
    """A short: the terminals from pole to pole, and the supplies that take part."""

    path: tuple[str, ...]
    supplies: frozenset[str]


class Potential(Struct, frozen=True):
    """The potential of a node. `ref` "" is earth; any other names a part that nothing ties to earth.

    `source` names the supply whose phase it follows ("" where it is 0 or follows none).
    `driven` is False in a part that nothing drives: it floats.
    """

    ref: str
    volts: complex
    source: str = ""
    driven: bool = True


class Outcome(Struct, frozen=True):
    """Where settling ends: a rest, a short, or a set of states that is never left.

    members: the state of the rest, or each of a chattering set. After a short the relays of the supplies that
    take part are out and their delays at rest; what hangs on others has settled on.
    onward: where the next move starts from.
    """

    kind: Literal["rest", "short", "chatter"]
    members: tuple[State, ...]
    onward: tuple[State, ...]
    short: Short | None = None


class Words(Struct, frozen=True):
    """The words of one outcome. `why`: for `unknown`, load -> the fields that would decide it."""

    loads: dict[str, str]
    relays: dict[str, str]
    delays: dict[str, bool] = field(default_factory=dict)
    why: dict[str, tuple[str, ...]] = field(default_factory=dict)


class TooMany(Exception):
    """More states than can be listed. Carries how many and which inputs to hold."""

    def __init__(self, count: int, inputs: tuple[str, ...]) -> None:
        self.count, self.inputs = count, inputs
        super().__init__(
            f"{count} combinations of inputs; hold some with --when or given: {', '.join(inputs)}"
        )
