"""Sizes of single elements and motors as drawn: what is written round them and how far it reaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.draw.pieces import NAME, PLATE_HEIGHT, TEXT, plate_width
from wirecheck.draw.text import fitted_middle, width

if TYPE_CHECKING:
    from wirecheck.draw.look import Face, Look
    from wirecheck.draw.tree import Motor

CELL = 54.0  # least width of an element with its leads
TIGHT = 40.0  # the same where room is short
PLATE_STEP = PLATE_HEIGHT + 2
PLATE_UP = 4.5  # from the name of a device to the plate above it
SPARE = 3.0  # clear of every label on either side
ROW_GAP = 6.0  # between branches
FRAME_CLEAR = 3.0  # what is written round the frame of a new element keeps off it
PLATE_BASE = 15.0  # from a line up to the lower edge of the first plate above it
LABELS_UP = 11.5  # the labels of lines reach so high
TAG_UP = 4.0  # from ink to the baseline of the name above it
TAG_TALL = 9.5  # of the name, above its baseline
TERMINAL_DOWN = 11.0  # baseline of terminals below the line
NOTE_STEP = 13.0
REFERENCES = 4  # line numbers beside each other
REFERENCE = 22.0  # room for one of three digits
MOTOR_RADIUS = 19.0
WORD_TALL = 14.0  # what a load does in a state, where that is neither on nor off
WORD_UP = 3.5  # from what it stands on to its baseline
LONGEST_WORD = width("backward", TEXT, bold=True)
LONGEST_TAG = 110.0  # units; what is longer is cut


def tag_text(name: str) -> str:
    """A device's name as it stands in the picture."""
    return fitted_middle(name, LONGEST_TAG, NAME, bold=True)


def tag_width(look: Look) -> float:
    """Of an element's name."""
    return width(tag_text(look.tag), NAME, bold=True)


def tag_base(look: Look) -> float:
    """From the line up to the baseline of the name: clear of ink, of labels, of the frame of a new one."""
    return max(look.shape.top, LABELS_UP) + TAG_UP + (FRAME_CLEAR if look.framed else 0)


def tag_height(look: Look) -> float:
    """Above the line: the name, and a plate above that."""
    return tag_base(look) + TAG_TALL + (PLATE_HEIGHT + PLATE_UP if look.plate else 0)


def leaf_side(look: Look) -> float:
    """How far ink reaches to the side: that of the symbol, or of the frame round a new one."""
    return look.shape.side + (_terminals(look) + 6 if look.framed else 0)


def _terminals(look: Look) -> float:
    return max(width(text, TEXT) for text in look.letterings)


def leaf_width(look: Look) -> float:
    """Of one element: its name, its terminals beside the ink, what is written below it."""
    below = max([width(note, TEXT) for note in look.notes], default=0.0)
    plate = plate_width(look.plate) if look.plate else 0.0
    ink = 2 * max(look.shape.side + _terminals(look) + 2, leaf_side(look) + 3)
    word = LONGEST_WORD + 2 if look.worded else 0.0
    return max(
        tag_width(look) + 8, ink, word, below + 4, plate + 4, min(refers(look), REFERENCES) * REFERENCE + 8
    )


def below_ink(look: Look) -> float:
    """Where what is written below an element begins: clear of ink, terminals and the frame of a new one."""
    return max(look.shape.bottom + 1, TERMINAL_DOWN + 3) + (FRAME_CLEAR + 2 if look.framed else 0)


def leaf_depth(look: Look) -> float:
    """Below the line: terminals, the actuator, set points, and the lines of coil or contacts."""
    lines = len(look.notes) + -(-refers(look) // REFERENCES) + look.worded
    return below_ink(look) + lines * NOTE_STEP


def refers(look: Look) -> int:
    """How many line numbers, of contacts or of a coil, may stand below it."""
    return 1 if look.coil else len(look.contacts)


def motor_ends(face: Face, tree: Motor) -> tuple[str, str, str]:
    """The terminals of a motor's circle: common, main and aux."""
    common = min(face.ends(tree.main, right=tree.mirrored))[1]
    main = min(face.ends(tree.main, right=not tree.mirrored))[1]
    aux = min(face.ends(tree.aux, right=not tree.mirrored))[1]
    return common, main, aux


def motor_terminals(face: Face, tree: Motor) -> tuple[str, str, str]:
    """Common, main and aux as lettered on the motor."""
    common, main, aux = motor_ends(face, tree)
    return face.terminal(common), face.terminal(main), face.terminal(aux)


def outer_width(name: str) -> float:
    """A terminal of one letter stands inside the circle."""
    return width(name, TEXT) + 7 if len(name) > 1 else 0.0


def taps_text(tree: Motor) -> str:
    """The taps that end nowhere."""
    names = ", ".join(leaf.key.rpartition(".")[2] for leaf in tree.unused)
    return f"not connected: {names}" if names else ""
