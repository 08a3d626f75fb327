"""Connection diagrams: which conductor, which screw. Each end once, before and after in one place."""

from wirecheck.draw.connections.closeups import closeup, touched, touched_by_step
from wirecheck.draw.connections.drawing import before_after, sheets, whole
from wirecheck.draw.connections.pieces import Both, Sheet
from wirecheck.draw.connections.svg import LEVELS_SAY, STYLE, svg

__all__ = [
    "LEVELS_SAY",
    "STYLE",
    "Both",
    "Sheet",
    "before_after",
    "closeup",
    "sheets",
    "svg",
    "touched",
    "touched_by_step",
    "whole",
]
