"""`lift` in the terminal: which conductor to take off, what it could be confused with, then the table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.questions.leaving import Leaving
from wirecheck.report.lines import Line, columns, head, hot, ohms_text, para, said

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Conductor
    from wirecheck.questions.lift import Lift, Lifted
    from wirecheck.questions.lookalikes import Advice, Choice, LookAlike, Measured, Near

CAUTION = (
    "Before you lift: isolate, lock, tag, and prove it dead with a tester proved before and after. "
    "Cap the end that you lift; it may be live when power returns."
)
HEADS = ("stops it", "leaves it", "changes too", "conductors")
ORDER = ("always", "sometimes", "never")
HUMS = "it hums: open the disconnect, its windings overheat"


def short(answer: Lift, advice: Advice) -> str:
    """The answer in a few sentences."""
    return " ".join(sentences(answer, advice))


def sentences(answer: Lift, advice: Advice) -> list[str]:
    """What to lift and what not to; where nothing is clean, what comes near and what it would leave."""
    best = advice.best
    if best is not None:
        alike = [look_alike(other, best, answer.load) for other in best.alike]
        return [chosen(best), *alike, *stays_live(answer.load, best.leaves)]
    found = [f"No conductor alone stops {answer.load} and touches nothing else."]
    if not advice.near:
        return [*found, f"Opening any one of them leaves {answer.load} as it is."]
    return [*found, *(near(miss, answer.load) for miss in advice.near)]


def stays_live(load: str, leaves: Leaving | None) -> list[str]:
    """What is live of a load with the conductor off and power on."""
    if leaves is None or not leaves.live:
        return []
    return [f"{load} off is then not dead: {hot(leaves.live)} to earth with power on."]


def looks(wire: Conductor) -> str:
    """Colour, gauge, label and route, as given."""
    label = f"marked {wire.label}" if wire.label else None
    route = f"goes into the {wire.route}" if wire.route else None
    return ", ".join(p for p in (wire.color, wire.gauge, label, route) if p) or "no colour or gauge given"


def chosen(best: Choice) -> str:
    """The conductor to lift, as it looks."""
    return f"Lift {best.wire.id} at {best.at} — {looks(best.wire)}, to {best.far}."


def look_alike(other: LookAlike, best: Choice, load: str) -> str:
    """One not to lift, and what tells it apart."""
    start = f"Not {other.wire.id} beside it on the same terminal: {looks(other.wire)}, to {other.far}."
    if other.by_eye:
        return f"{start} Tell them by the {said(other.by_eye)}."
    if other.measured is not None:
        return f"{start} {by_meter(other.measured, other.wire, best)}"
    if other.watched is not None:
        return f"{start} {by_watching(*other.watched, other.wire, best, load)}"
    return (
        f"{start} As described nothing tells them apart, by eye, by ohms or by what then runs: follow each "
        "to its far end before you lift."
    )


def by_meter(measured: Measured, other: Conductor, best: Choice) -> str:
    """The measurement that tells two conductors apart."""
    right, wrong = (("open" if v is None else ohms_text(v)) for v in (measured.right, measured.other))
    return (
        "They look alike: power off, locked out and proved dead, capacitors empty, lift one end and measure "
        f"from it to {measured.to}: {right} is {best.wire.id}, {wrong} is {other.id}."
    )


def by_watching(right: Leaving, wrong: Leaving, other: Conductor, best: Choice, load: str) -> str:
    """The observation that tells two conductors apart where no meter does."""
    first = f"They look alike, and so do their ohms: lift one, cap it, and with power on where {load} ran"
    return f"{first}: {does(right)} is {best.wire.id}, {does(wrong)} is {other.id}."


def does(leaves: Leaving) -> str:
    """What is other than before with a conductor off."""
    return ", ".join(f"{n} {now}" for n, (_, now) in leaves.differs.items()) or "all as before"


def near(miss: Near, load: str) -> str:
    """What a conductor that is not clean would leave."""
    leaves = miss.leaves or Leaving()
    live = leaves.live if "off" in miss.row.leaves else {}
    stays = [f"{load} off stays live ({hot(live)} to earth)"] if live else []
    found = [*stopped(miss.row, load), *disturbed(miss.row, leaves), *stays]
    return f"{miss.row.wire}: {'; '.join(found) or f'leaves {load} as it is'}."


def stopped(row: Lifted, load: str) -> list[str]:
    """How opening a conductor leaves the load itself, where that is not off alone."""
    left = [w for w in row.leaves if w not in ("off", "on", "runs")]
    found = [f"{load} {said(left, 'or')}" + (f" ({HUMS})" if "stalls" in left else "")] if left else []
    return [*found, *([f"{load} stops only in some states"] if row.stops == "sometimes" else [])]


def disturbed(row: Lifted, leaves: Leaving) -> list[str]:
    """What it does to all else."""
    found = [f"starts {said(leaves.starts)} where it was off"] if leaves.starts else []
    hums = [n for n in leaves.stalls if n not in leaves.starts]
    found += [f"{said(hums)} hums"] if hums else []
    stops = [n for n in leaves.loses if n not in leaves.starts]
    found += [f"stops {said(stops)} too"] if stops else []
    changed = [n for n in (*row.others, *row.relays) if n not in (*leaves.starts, *hums, *stops)]
    found += [f"changes {said(changed)} too"] if changed else []
    return [*found, *(f'"{sentence}" becomes false' for sentence in leaves.breaks)]


def page(answer: Lift, advice: Advice, width: int) -> list[Line]:
    """The answer, the other clean ones, and the table of all conductors."""
    first, *others = sentences(answer, advice)
    lines = para(first, width, "", "head")
    lines += [line for text in others for line in para(text, width, "  ")]
    if advice.also:
        also = "; ".join(f"{w.id} ({w.a} to {w.b})" for w in advice.also)
        lines += [Line(), *para(f"Clean too: {also}.", width)]
    lines += [*head("Every conductor, opened alone"), *table(answer, width)] if answer.conductors else []
    return [*lines, Line(), *para(CAUTION, width)]


def table(answer: Lift, width: int) -> list[Line]:
    """Conductors that do the same stand on one row; those that stop the load first."""
    rows: dict[tuple[str, str, str], list[str]] = {}
    for row in sorted(answer.conductors, key=lambda r: (not r.clean, ORDER.index(r.stops))):
        rows.setdefault(_does(row), []).append(row.wire)
    cells = [HEADS, *((*does, ", ".join(wires)) for does, wires in rows.items())]
    widths = [min(max(len(row[k]) for row in cells), most) for k, most in enumerate((9, 14, 22))]
    rest = width - sum(widths) - 8
    texts = list(columns(cells, [*widths, rest]))
    return [Line(f"  {text}", "head" if k == 0 else "") for k, text in enumerate(texts)]


def _does(row: Lifted) -> tuple[str, str, str]:
    changed = ", ".join((*row.others, *row.relays))
    return row.stops, ", ".join(row.leaves), "nothing: clean" if row.clean else changed or "nothing"
