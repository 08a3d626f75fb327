"""What is drawn. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.api.files import holding_of, pair_of, said, unit_of
from wirecheck.circuit.graph import Changed
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.pictured import Pictured
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.verify import Verified


def draw(unit: str, change: str | None, when: str | None = None) -> str:
    """The ladder of a unit, or of a change before and after, as SVG. when: the state shown, else at rest."""
    from wirecheck.draw import ladder, pair
    from wirecheck.draw.scene import Scene
    from wirecheck.draw.svg import svg

    drawn = drawn_of(unit, change)
    shown = None if when is None else pictured_of(drawn, when)
    if shown is None:
        sheet = pair.before_after(drawn) if isinstance(drawn, Changed) else ladder.whole(drawn)
        return svg(sheet)
    words = f"In this state: {', '.join(f'{n} {w}' for n, w in shown.inputs.items())}. {ladder.LEVELS_SAY}"
    if isinstance(drawn, Changed):
        sides = {"before": (drawn.before, "before"), "after": (drawn.after, "after")}
    else:
        sides = {"ladder": (drawn, "before")}
    looks = {panel: (circuit, shown.sides[side]) for panel, (circuit, side) in sides.items()}
    scenes = {panel: Scene(c, look.levels, look.closed, look.words) for panel, (c, look) in looks.items()}
    sheet = pair.before_after(drawn, words) if isinstance(drawn, Changed) else ladder.whole(drawn, words)
    return svg(sheet, scenes)


def drawn_of(unit: str, change: str | None) -> Changed | Circuit:
    """The unit, or the unit before and after a change."""
    return unit_of(unit) if change is None else pair_of(unit, change)


def pictured_of(drawn: Changed | Circuit, when: str) -> Pictured:
    """The state that has what is held, all else at normal. Raises TooMany."""
    from wirecheck.questions import pictured as question
    from wirecheck.questions.holding import not_reached, ordinary

    holding = holding_of(drawn.after if isinstance(drawn, Changed) else drawn, when)
    said("--when", when, lambda place: ordinary(holding, when, place))
    return question.pictured(drawn, holding) or said("--when", when, not_reached)


def connections(unit: str, change: str | None, when: str | None = None) -> str:
    """Which conductor goes to which screw, on one side or both, as SVG."""
    from wirecheck.draw import connections as drawing
    from wirecheck.engine.levels import by_name

    drawn = drawn_of(unit, change)
    if when is None:
        return drawing.whole(drawn)
    shown = pictured_of(drawn, when)
    words = f"In this state: {', '.join(f'{n} {w}' for n, w in shown.inputs.items())}. {drawing.LEVELS_SAY}"
    if not isinstance(drawn, Changed):
        return drawing.whole(drawn, {"": by_name(drawn, shown.sides["before"].levels)}, words)
    sides = {"before": drawn.before, "after": drawn.after}
    levels = {side: by_name(circuit, shown.sides[side].levels) for side, circuit in sides.items()}
    return drawing.whole(drawn, levels, words)


def png(svg: str) -> bytes:
    """A picture as PNG; says what to install where that is missing."""
    from wirecheck.draw import png as drawing

    try:
        return drawing.png(svg)
    except drawing.NoRenderer as error:
        message = f"a .png needs the extra `png` ({error}): pip install '.[png]', or write .svg."
        raise BadInput([Problem("no-png-renderer", message, Place("-o", 1, 1, 1))]) from None


def page(unit: str, change: str | None, when: str | None = None, plain: bool = False) -> str:
    """The page of a unit, or of a change with its verdict, in every state that fits, as HTML."""
    from datetime import UTC, datetime
    from pathlib import Path

    from wirecheck.questions import verify as question
    from wirecheck.report.page.build import File, Made
    from wirecheck.report.page.build import page as built
    from wirecheck.report.record.tool import version

    drawn = drawn_of(unit, change)
    answer = question.verify(drawn, plain=plain) if isinstance(drawn, Changed) else None
    shown, why_not = _shown(drawn)
    start = 0 if shown is None else _start(drawn, shown, when, answer)
    named = [("Unit", unit), ("Change", change)]
    files = [File(what, Path(name).name, Path(name).read_bytes()) for what, name in named if name is not None]
    return built(Made(drawn, answer, shown, start, files, version(), str(datetime.now(UTC).date()), why_not))


def _shown(drawn: Changed | Circuit) -> tuple[Shown | None, str]:
    """Every state that fits into a page; else why there is none."""
    from wirecheck.questions.shown.answer import NotShown, shown

    try:
        return shown(drawn), ""
    except NotShown as why:
        return None, f"its states cannot be told all at once ({why})."


def _start(drawn: Changed | Circuit, shown: Shown, when: str | None, answer: Verified | None) -> int:
    """The state that a page opens with: as held, else of the first fail, else where something differs."""
    from wirecheck.questions.shown.places import of_witness, opening, standing
    from wirecheck.report.page.tables import matching

    if when is not None:
        wanted = pictured_of(drawn, when)
        found = standing(shown, wanted.inputs, wanted.sides[shown.sides[-1]].words)
        if found is not None:
            return found
    fails = [f.witness for f in (answer.findings if answer else ()) if f.verdict == "fail"]
    states = (of_witness(shown, w) for w in fails if w is not None)
    if (first := next((s for s in states if s is not None), None)) is not None:
        return first
    pairs = (
        matching(drawn, list(drawn.before.loads), list(drawn.after.loads))
        if isinstance(drawn, Changed)
        else []
    )
    return opening(shown, dict(pairs))


def overview(unit: str, change: str | None, ending: str, dot: str | None = None) -> str:
    """What hangs on what, as the text of a .svg or .dot file. dot: the user's own program."""
    from wirecheck.draw import overview as drawing

    drawn = unit_of(unit) if change is None else pair_of(unit, change)
    if ending == ".dot":
        return drawing.dot(drawn)
    try:
        return drawing.svg(drawn, dot)
    except drawing.NoDot as error:
        place = Place("--dot", 1, 1, len(dot or ""))
        raise BadInput([Problem("no-dot-program", str(error), place)], {"--dot": dot or ""}) from None
