"""One sitting: which question comes next, and what the notebook makes of each answer."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from wirecheck.questions.drill.kinds import KINDS, gist, make

if TYPE_CHECKING:
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.kinds import Question
    from wirecheck.questions.drill.notebook import Notebook

NEW = 12  # numbers of a kind tried for a question that has not been asked yet


@dataclass
class Session:
    """A ground and the notebook that goes with it."""

    ground: Ground
    notebook: Notebook
    _made: dict[str, Question | None] = field(default_factory=dict)

    def question(self, key: str) -> Question | None:
        """The question of a key, made once."""
        if key not in self._made:
            self._made[key] = make(self.ground, key)
        return self._made[key]

    def following(self) -> str | None:
        """The key of the next question: one that is due, else a new one, else the one that is due next."""
        due = self.notebook.due()
        if due is not None and self.question(due) is not None:
            return due
        fresh = (new for kind in self._in_turn() if (new := self.new(kind)) is not None)
        return next(fresh, None) or self.notebook.soonest()

    def _in_turn(self) -> list[str]:
        """Kinds that are not held yet, easiest first; then all, the least asked and hardest first."""
        open_kinds = [k for k in KINDS if not self.notebook.held(k)]
        rest = sorted(KINDS, key=lambda k: (len(self.notebook.of(k)), -list(KINDS).index(k)))
        return [*open_kinds, *rest]

    def new(self, kind: str) -> str | None:
        """A question of a kind that is in no card; None where the unit has no more."""
        cards = self.notebook.of(kind)
        asked = [gist(q) for k in cards if (q := self.question(k)) is not None]
        first = max((int(k.rpartition("-")[2]) for k in cards), default=-1) + 1
        for number in range(first, first + NEW):
            made = self.question(f"{kind}-{number}")
            if made is None:
                return None
            if gist(made) not in asked:
                return f"{kind}-{number}"
        return None

    def take(self, key: str, right: bool) -> None:
        """Write an answer down."""
        self.notebook = self.notebook.answered(key, right)


def sheet(ground: Ground, count: int) -> list[tuple[str, Question]]:
    """So many questions of all kinds, easiest first, none twice."""
    found: dict[str, list[Question]] = {k: [] for k in KINDS}
    number, total, grows = 0, 0, True
    while total < count and grows and number < 4 * NEW:
        grows = False
        for kind in KINDS:
            made = make(ground, f"{kind}-{number}") if total < count else None
            grows = grows or made is not None
            if made is not None and gist(made) not in map(gist, found[kind]):
                found[kind].append(made)
                total += 1
        number += 1
    return [(kind, q) for kind, questions in found.items() for q in questions]
