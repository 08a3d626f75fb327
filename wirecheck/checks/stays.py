"""`X stays off after E until F`, `RELAY stays in after E until F`: over pairs (state, E seen since F)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.circuit.bound import LoadIs, RelayIs
from wirecheck.engine.answers import OFF, SHORT, UNKNOWN
from wirecheck.engine.question import Not as NotSo
from wirecheck.engine.question import every, of

if TYPE_CHECKING:
    from wirecheck.checks.case import Case
    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.bound import Bound, BoundSentence
    from wirecheck.engine.plain.explore import Joint


def stays(pair: Pair, s: BoundSentence, subject: LoadIs | RelayIs, until: Bound) -> Finding:
    """Fail with the states in order; a power failure releases it, and the finding says so."""
    begins = every(of(s.condition, "after"), NotSo(of(until, "after")))
    starts = [c for c in pair.where(begins) if pair.holds(s.condition, c) is True]
    came: dict[Joint, Joint | None] = {c.joint: None for c in starts}
    moves: dict[Joint, str] = {}
    queue = list(came)
    doubt: Joint | None = None
    for joint in queue:
        case = pair.case(joint)
        kept = keeps_word(pair, subject, case)
        if kept is False:
            return failed(pair, s.text, subject, chain_to(joint, came), moves)
        doubt = joint if kept is None and doubt is None else doubt
        for move, to in pair.explorer.successors(joint):
            if to not in came and pair.holds(until, pair.case(to)) is not True:
                came[to], moves[to] = joint, move
                queue.append(to)
    if doubt is not None:
        return Finding("expects", s.text, "unknown", "cannot be decided", pair.witness(pair.case(doubt)))
    says = f"true, through {len(came)} states; a power failure releases it"
    return Finding("expects", s.text, "pass", says)


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
    name = subject.load if isinstance(subject, LoadIs) else subject.relay
    how = " → ".join(moves[j] for j in chain if j in moves)
    says = f"false: {name} {last.after[name]}" + (
        f" after: {how}" if how else " in a state in which it has to stay"
    )
    return Finding("expects", text, "fail", says, replace(last, earlier=tuple(earlier)))
