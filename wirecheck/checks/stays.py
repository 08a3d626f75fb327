"""`X stays off after E until F`, `RELAY stays in after E until F`: decided on pairs (state, E seen since F)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding, Witness
from wirecheck.engine.question import Not as NotSo
from wirecheck.engine.question import every, of

if TYPE_CHECKING:
    from wirecheck.checks.pair import Case, Pair
    from wirecheck.circuit.bound import BoundSentence
    from wirecheck.engine.plain.explore import Joint


def stays(pair: Pair, s: BoundSentence) -> Finding:
    """Fail with the states in order; a power failure releases it, and the finding says so."""
    assert s.subject is not None and s.until is not None
    begins = every(of(s.condition, "after"), NotSo(of(s.until, "after")))
    starts = [c for c in pair.where(begins) if pair.holds(s.condition, c) is True]
    came: dict[Joint, Joint | None] = {c.joint: None for c in starts}
    moves: dict[Joint, str] = {}
    queue = list(came)
    doubt: Joint | None = None
    for joint in queue:
        case = pair.case(joint)
        kept = keeps_word(pair, s, case)
        if kept is False:
            return failed(pair, s, joint, came, moves)
        doubt = joint if kept is None and doubt is None else doubt
        for move, to in pair.explorer.successors(joint):
            if to not in came and pair.holds(s.until, pair.case(to)) is not True:
                came[to], moves[to] = joint, move
                queue.append(to)
    if doubt is not None:
        return Finding("expects", s.text, "unknown", "cannot be decided", pair.witness(pair.case(doubt)))
    says = f"true, through {len(came)} states; a power failure releases it"
    return Finding("expects", s.text, "pass", says)


def keeps_word(pair: Pair, s: BoundSentence, case: Case) -> bool | None:
    """Is X off (or the relay in) here?"""
    assert s.subject is not None
    if s.form == "stays in":
        return pair.holds(s.subject, case)
    word = case.after.loads[s.subject.load]  # type: ignore[union-attr]
    return None if word == "unknown" else word in ("off", "short")


def failed(
    pair: Pair, s: BoundSentence, joint: Joint, came: dict[Joint, Joint | None], moves: dict[Joint, str]
) -> Finding:
    chain = [joint]
    while (back := came[chain[-1]]) is not None:
        chain.append(back)
    chain.reverse()
    earlier: tuple[Witness, ...] = tuple(
        pair.witness(pair.case(j), move=moves.get(j, "")) for j in chain[:-1]
    )
    last = pair.witness(pair.case(joint), move=moves.get(joint, ""))
    witness = Witness(last.inputs, last.before, last.after, last.ranges, last.route, earlier, last.move)
    name = s.subject.load if hasattr(s.subject, "load") else s.subject.relay  # type: ignore[union-attr]
    how = " → ".join(moves[j] for j in chain if j in moves)
    says = f"false: {name} {last.after[name]}" + (
        f" after: {how}" if how else " in a state in which it has to stay"
    )
    return Finding("expects", s.text, "fail", says, witness)
