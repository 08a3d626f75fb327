"""What is drawn. All raise BadInput."""

from __future__ import annotations

from wirecheck.api.files import pair_of, unit_of
from wirecheck.problem import BadInput, Place, Problem


def draw(unit: str, change: str | None) -> str:
    """The ladder of a unit, or of a change before and after, as SVG."""
    from wirecheck.draw import ladder, pair
    from wirecheck.draw.svg import svg

    if change is None:
        return svg(ladder.whole(unit_of(unit)))
    return svg(pair.before_after(pair_of(unit, change)))


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
