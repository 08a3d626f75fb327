"""Colours of insulation: what a conductor's core is drawn in."""

from __future__ import annotations

# Strong enough to be told apart on paper; the letters beside each end say the same.
CORES = {
    "black": "#111", "red": "#c81e1e", "yellow": "#ffd500", "blue": "#1457c8", "brown": "#7a4a1e",
    "orange": "#f08000", "violet": "#7d2a9c", "purple": "#7d2a9c", "green": "#1e8c3a", "grey": "#8a8a8a",
    "gray": "#8a8a8a", "pink": "#f59ac0", "white": "#fff", "turquoise": "#25b5b0", "gold": "#c8a030",
    "silver": "#c4c8cc",
}  # fmt: skip


def names_of(colour: str | None) -> tuple[str, ...]:
    """Base and second colour of `white/brown`; none where no colour of ours is named."""
    words = "".join(c if c.isalpha() else " " for c in (colour or "").lower()).split()
    return tuple(dict.fromkeys(word for word in words if word in CORES))[:2]
