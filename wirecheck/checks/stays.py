"""`X stays off after E until F`, `RELAY stays in after E until F`: over pairs (state, E seen since F).

Where E and F hold at once it begins all the same: X is off "in it and in all that follow until one in which F
holds" (contract 4).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.checks.finding import Finding
from wirecheck.checks.fuses import pardoned, started
from wirecheck.circuit.bound import LoadIs, RelayIs, atoms
from wirecheck.engine.answers import OFF, SHORT, UNKNOWN
from wirecheck.engine.question import doubtful, of, some

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.engine.plain.explore import Joint


def stays(pair: Pair, s: BoundSentence, subject: LoadIs | RelayIs, until: Bound) -> Finding:
    """Fail with the states in order; a power failure releases it, and the finding says so.

    Where a condition is unknown it may have begun, and may not have ended: then what comes of it is unknown.
    """
    pardon: Finding | None = None
    walk = Walk(pair, s.condition, until, sure=True)
    for joint in walk.states():
        if keeps_word(pair, subject, pair.case(joint)) is False:
            found = failed(pair, s.text, subject, chain_to(joint, walk.came), walk.moves)
            if not blown(pair, s, subject, joint):
                return found
            pardon = pardon or replace(found, verdict="note", says=f"with a blown fuse: {found.says}")
    unsure = [doubtful(s.condition, "after"), doubtful(until, "after"), doubtful(subject, "after")]
    if pair.exists(some(*unsure)):
        walk = Walk(pair, s.condition, until, sure=False)
        for joint in walk.states():
            if keeps_word(pair, subject, pair.case(joint)) is not True and not blown(pair, s, subject, joint):
                return undecided(pair, s, chain_to(joint, walk.came))
    if pardon is not None:
        return pardon
    says = f"true, through {len(walk.came)} states; a power failure releases it"
    return Finding("expects", s.text, "pass", says)


def blown(pair: Pair, s: BoundSentence, subject: LoadIs | RelayIs, joint: Joint) -> bool:
    """Is the subject of a sentence of the unit pardoned here by a blown fuse?"""
    name, case = name_of(subject), pair.case(joint)
    return not s.of_change and pardoned(pair, case, name) and not started(pair, case, (name,))


def name_of(subject: LoadIs | RelayIs) -> str:
    """The load or relay that a sentence is about."""
    return subject.load if isinstance(subject, LoadIs) else subject.relay


class Walk:
    """What moves lead to from where a condition begins, until another holds.

    sure: only where it surely has begun and surely not ended; else also where it may. came: state -> the one
    before it. moves: state -> what led to it.
    """

    def __init__(self, pair: Pair, begins: Bound, until: Bound, sure: bool) -> None:
        self.pair, self.begins, self.until, self.sure = pair, begins, until, sure
        self.came: dict[Joint, Joint | None] = {}
        self.moves: dict[Joint, str] = {}

    def states(self) -> Iterator[Joint]:
        """The states, nearest first."""
        begun = some(of(self.begins, "after"), doubtful(self.begins, "after"))
        self.came.update((c.joint, None) for c in self.pair.where(begun) if self._begun(c))
        queue = list(self.came)
        for joint in queue:
            yield joint
            for move, to in self.pair.explorer.successors(joint):
                if to not in self.came and self._going(self.pair.case(to)):
                    self.came[to], self.moves[to] = joint, move
                    queue.append(to)

    def _begun(self, case: Case) -> bool:
        truth = self.pair.holds(self.begins, case)
        return truth is True or (truth is None and not self.sure)

    def _going(self, case: Case) -> bool:
        truth = self.pair.holds(self.until, case)
        return truth is False or (truth is None and not self.sure)


def undecided(pair: Pair, s: BoundSentence, chain: list[Joint]) -> Finding:
    """Unknown, with the fields that would decide what the sentence names on the way."""
    named = [a for c in (s.condition, s.subject, s.until) if c is not None for a in atoms(c)]
    loads = dict.fromkeys(a.load for a in named if isinstance(a, LoadIs))
    cases = [pair.case(joint) for joint in chain]
    fields = dict.fromkeys(f for case in cases for load in loads for f in case.why(load))
    return Finding("expects", s.text, "unknown", "cannot be decided", pair.witness(cases[-1]), tuple(fields))


def keeps_word(pair: Pair, subject: LoadIs | RelayIs, case: Case) -> bool | None:
    """Is the load off (or the relay in) here? None where its word is unknown."""
    if isinstance(subject, RelayIs):
        return pair.holds(subject, case)
    word = case.after.loads[subject.load]
    return None if word == UNKNOWN else word in (OFF, SHORT)


def chain_to(joint: Joint, came: dict[Joint, Joint | None]) -> list[Joint]:
    """The states from where it begins to this one, in order. came: state -> the one before it."""
    chain = [joint]
    while (back := came[chain[-1]]) is not None:
        chain.append(back)
    return chain[::-1]


def failed(
    pair: Pair, text: str, subject: LoadIs | RelayIs, chain: list[Joint], moves: dict[Joint, str]
) -> Finding:
    """The states of a chain, the last of which is false. moves: state -> what led to it."""
    *earlier, last = (pair.witness(pair.case(j), move=moves.get(j, "")) for j in chain)
    name = name_of(subject)
    how = " → ".join(moves[j] for j in chain if j in moves)
    says = f"false: {name} {last.after[name]}" + (
        f" after: {how}" if how else " in a state in which it has to stay"
    )
    return Finding("expects", text, "fail", says, replace(last, earlier=tuple(earlier)))
