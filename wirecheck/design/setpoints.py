"""Set points of a position: two figures of the sensed quantity, and where the switch rests between them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from wirecheck import quantity
from wirecheck.design.broken import section
from wirecheck.design.resolved import PositionSpec
from wirecheck.problem import Problem, meant

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wirecheck.design.models import Device, Quantity
    from wirecheck.problem import Place

Word = Literal["open", "closed"]


ROUNDING = 1e-9  # 68 degF and 20 degC are one temperature


class Pair(Struct, frozen=True):
    """Two set points that belong together. `above`: how a switch with one sense stands above both."""

    high: str
    low: str
    above: Word | None  # None: of a switch with two senses
    moved_above: bool = True  # of two senses: moved above, or moved below


PAIRS = (
    Pair("opens_above", "closes_below", "open"),
    Pair("closes_above", "opens_below", "closed"),
    Pair("moves_above", "returns_below", None),
    Pair("returns_above", "moves_below", None, moved_above=False),
)
SET_POINTS = tuple(name for pair in PAIRS for name in (pair.high, pair.low))
PARTNER = {pair.high: pair.low for pair in PAIRS} | {pair.low: pair.high for pair in PAIRS}


class Reader(Struct, frozen=True):
    """What is needed to read one position's fields.

    path: where they stand in the device; () for the device itself.
    """

    tag: str
    device: Device
    path: tuple[str, ...]
    given: Mapping[str, Any]
    conditions: Mapping[str, Quantity]
    problems: list[Problem]

    @property
    def called(self) -> str:
        return ".".join((self.tag, *self.path))

    def at(self, field: str) -> Place:
        return self.device.place(*self.path, field)

    def note(self, code: str, message: str, field: str, others: tuple[tuple[Place, str], ...] = ()) -> None:
        self.problems.append(Problem(code, message, self.at(field), others))


def position(name: str, reader: Reader, rests: set[Word | None]) -> tuple[PositionSpec, Word | None]:
    """One position, and the word at rest of its contacts; None where each contact has its own.

    rests: what the type says of its contacts.
    """
    given = reader.given
    two_senses = {"open", "closed"} <= rests
    stated = given.get("rests")
    own = None if two_senses else (stated or next((r for r in rests if r), None) or "open")
    spec = PositionSpec(
        name, given.get("senses"), rests=own, hand_reset=given.get("resets") == "hand",
        trips=given.get("trips"), normal=given.get("normal"),
    )  # fmt: skip
    if two_senses and stated:
        message = f"{reader.called} moves contacts of both senses; `rests` is for one contact."
        reader.note("two-senses", message, "rests")
    _check_trips(reader, spec)
    pair = _pair(reader)
    if pair is None or not _same_senses(reader, pair, two_senses):
        return spec, own
    read = _figures(reader, pair)
    return (spec, own) if read is None else _placed(reader, spec, pair, read)


def _check_trips(reader: Reader, spec: PositionSpec) -> None:
    if spec.trips is None:
        return
    side = spec.trips in ("above", "below")
    set_points = any(name in reader.given for name in SET_POINTS)
    if side and spec.senses is None and not set_points:
        message = f"{reader.called} senses no quantity, so it trips `open` or `closed`, not `{spec.trips}`."
        reader.note("trips-side", message, "trips")
    if not side and spec.senses is not None:
        message = f"{reader.called} senses {spec.senses}, so it trips `above` or `below`, not `{spec.trips}`."
        reader.note("trips-side", message, "trips")


def _pair(reader: Reader) -> Pair | None:
    """The pair of set points that is given; None, and perhaps a problem, where there is none."""
    given = [name for name in SET_POINTS if name in reader.given]
    senses = reader.given.get("senses")
    if senses is not None and senses not in reader.conditions:
        known = meant(senses, reader.conditions)
        message = f"{reader.called} senses {senses}, which is not under `conditions`.{known}"
        about = (senses, section("conditions"))
        reader.problems.append(Problem("unknown-condition", message, reader.at("senses"), about=about))
        return None
    if not given:
        if senses is not None:
            such = "`opens_above` with `closes_below`"
            message = f"{reader.called} senses {senses} but has no set points, such as {such}."
            reader.note("no-set-points", message, "senses")
        return None
    if senses is None:
        message = f"{reader.called} has set points but no `senses`: the quantity, one of `conditions`."
        reader.note("no-senses", message, given[0])
        return None
    for pair in PAIRS:
        if {pair.high, pair.low} == set(given):
            return pair
    _mixed(reader, given)
    return None


def _mixed(reader: Reader, given: Sequence[str]) -> None:
    if len(given) == 1:
        message = f"{reader.called} has `{given[0]}` without `{PARTNER[given[0]]}`."
        reader.note("half-set-points", message, given[0])
        return
    pairs = "; ".join(f"{p.high} with {p.low}" for p in PAIRS)
    message = f"{reader.called} has {' and '.join(given)}, which do not belong together. Pairs are: {pairs}."
    others = tuple((reader.at(name), "and this") for name in given[1:])
    reader.note("mixed-set-points", message, given[0], others)


def _same_senses(reader: Reader, pair: Pair, two_senses: bool) -> bool:
    if two_senses and pair.above is not None:
        pairs = "moves_above with returns_below, or moves_below with returns_above"
        message = f"{reader.called} moves contacts of both senses; its set points are {pairs}."
        reader.note("two-senses", message, pair.high)
        return False
    return True


def _figures(reader: Reader, pair: Pair) -> tuple[quantity.Measure, quantity.Measure] | None:
    """The low and the high figure; a bare number takes the condition's unit."""
    bare = reader.conditions[reader.given["senses"]].unit
    read: list[quantity.Measure] = []
    for name in (pair.low, pair.high):
        try:
            read.append(quantity.read(reader.given[name], bare))
        except quantity.QuantityError as error:
            reader.note(error.code, f"{reader.called}.{name}: {error.message}", name)
    if len(read) < 2:
        return None
    low, high = read
    if low.si > high.si:
        points = f"{_said(pair.high, high)} and {_said(pair.low, low)}"
        message = f"{reader.called} {points}: between them it has no position."
        reader.note("no-position-left", message, pair.high, ((reader.at(pair.low), "the other set point"),))
        return None
    return low, high


def _said(name: str, measure: quantity.Measure) -> str:
    return f"{name.replace('_', ' ')} {measure.text}"


def _placed(
    reader: Reader, spec: PositionSpec, pair: Pair, read: tuple[quantity.Measure, quantity.Measure]
) -> tuple[PositionSpec, Word | None]:
    low, high = read
    text = f"{_said(pair.high, high)}, {_said(pair.low, low)}"
    placed = replace(spec, low=low.si, high=high.si, set_point_text=text)
    if pair.above is None:
        return replace(placed, above_moved=pair.moved_above), spec.rests
    below: Word = "closed" if pair.above == "open" else "open"
    # Between both set points the shelf's own position cannot be known; it is taken as below them.
    above_at_rest = quantity.SHELF.get(low.unit.kind, 0.0) > high.si + ROUNDING
    rests = pair.above if above_at_rest else below
    stated = reader.given.get("rests")
    if stated is not None and stated != rests:
        why = "by its set points, as it lies on the shelf"
        message = f"{reader.called} rests {rests} {why}; `rests: {stated}` says otherwise."
        reader.note("rests-otherwise", message, "rests", ((reader.at(pair.high), "its set points"),))
    return replace(placed, rests=rests, above_moved=not above_at_rest), rests
