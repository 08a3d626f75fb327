"""Every check of `verify` on both evaluators: findings, states shown, effect and count must be the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.graph import Changed, Terms
from wirecheck.questions.verify import Verified, verify

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit


def rows(answer: Verified) -> list[tuple[str, ...]]:
    """The findings with the state that each shows, in a fixed order."""
    return sorted(
        (
            f.check,
            f.subject,
            f.other,
            f.verdict,
            f.says,
            str(f.witness and (f.witness.inputs, f.witness.after)),
        )
        for f in answer.findings
    )


def checked(changed: Changed) -> str:
    """What the two evaluators say differently of a change; "" where they agree."""
    fast, plain = verify(changed, noted=False), verify(changed, noted=False, plain=True)
    if (fast.verdict, fast.states, fast.effect) != (plain.verdict, plain.states, plain.effect):
        return f"{(fast.verdict, fast.states, fast.effect)} != {(plain.verdict, plain.states, plain.effect)}"
    one, other = rows(fast), rows(plain)
    apart = [f"fast only: {r}" for r in one if r not in other] + [
        f"plain only: {r}" for r in other if r not in one
    ]
    return "\n".join(apart)


def of_pair(after: Circuit, before: Circuit) -> str:
    """The same of two circuits, one taken for a change of the other of which nothing is declared."""
    return checked(Changed("random", before, after, terms=Terms()))
