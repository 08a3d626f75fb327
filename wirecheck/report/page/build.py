"""Puts the page together: answers of the engine into one HTML file that asks nobody for anything."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.circuit.graph import Changed
from wirecheck.draw.connections import STYLE
from wirecheck.draw.svg import ASCII, BASE_STYLE, HATCH, LEVEL_STYLE, faces
from wirecheck.draw.tables import CAUTION, letters_key
from wirecheck.questions.shown.places import of_witness
from wirecheck.report.html import TEMPLATES, template
from wirecheck.report.lines import CALLED, COUNTED, LAST
from wirecheck.report.page import controls, tables
from wirecheck.report.page.data import data
from wirecheck.report.page.drawings import closeups, drawings, names, scene
from wirecheck.report.page.meters import meters
from wirecheck.report.page.slim import STYLE as SLIM_STYLE
from wirecheck.report.page.slim import Shapes, Slim
from wirecheck.report.verdict import checked, reason, stands, why

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.checks.finding import Finding
    from wirecheck.circuit.graph import Circuit
    from wirecheck.questions.shown.answer import Shown
    from wirecheck.questions.verify import Verified

WORDS = {"pass": "pass", "fail": "fail", "unknown": "not decided"}


class File(Struct, frozen=True):
    """A file that the page was made from: what it is, its name, its content."""

    what: str
    name: str
    content: bytes


class Made(Struct, frozen=True):
    """What the page is made from. shown: None of too many states; start: the state to open with."""

    drawn: Changed | Circuit
    answer: Verified | None
    shown: Shown | None
    start: int
    files: Sequence[File]
    version: str
    date: str
    why_not: str = ""


def page(made: Made) -> str:
    """The HTML of the page."""
    shapes = Shapes()
    content = _content(made, shapes)
    style = _style(content)
    script = (TEMPLATES / "page.js").read_text(encoding="utf-8").strip()
    text = template("page.html").render(
        page=content,
        style=style,
        hatch=HATCH + shapes.defs(),
        style_digest=_digest(style),
        script=script,
        script_digest=_digest(script),
    )
    return text.replace(">\n<", "><") + "\n"


def _style(content: dict[str, Any]) -> str:
    plain = ASCII.issuperset(str(content).replace("●", "").replace("○", ""))
    parts = (
        faces("-ascii" if plain else ""),
        BASE_STYLE,
        LEVEL_STYLE,
        STYLE,
        SLIM_STYLE,
        (TEMPLATES / "page.css").read_text(encoding="utf-8"),
    )
    return "".join(part.replace("\n", "").strip() for part in parts)


def _digest(text: str) -> str:
    return b64encode(sha256(text.encode()).digest()).decode("ascii")


def _content(made: Made, shapes: Shapes) -> dict[str, Any]:
    """What the template shows."""
    changed = made.drawn if isinstance(made.drawn, Changed) else None
    circuits = circuits_of(made.drawn)
    scenes = {}
    if made.shown is not None:
        scenes = {side: scene(made.shown, side, made.start) for side in made.shown.sides}
    drawn = drawings(made.drawn, scenes, Slim(shapes, made.shown is None or made.shown.doubtful))
    rows = tables.loads(made.drawn, made.shown, made.start, made.answer)
    jumps: list[int] = []
    read = meters(made.shown, made.start)
    content: dict[str, Any] = {
        "kind": "Wiring change" if changed is not None else "Wiring of a unit",
        "title": changed.name if changed is not None else circuits[0].name,
        "about": [t for t in _about(made, circuits[0]) if t],
        "verdict": made.answer.verdict if made.answer is not None else "",
        "verdict_word": WORDS[made.answer.verdict] if made.answer is not None else "",
        "why": why(made.answer) if made.answer is not None else "",
        "cases": _cases(made, jumps),
        "steps": _steps(changed, shapes),
        "sides": tables.sides(changed is not None),
        "loads": rows,
        "rules": any(row["rule"] for row in rows),
        "meters": read,
        "drawings": drawn,
        "letters": letters_key(circuits),
        "caution": CAUTION,
        "checks": _checks(made.answer),
        "notes": _notes(made, jumps),
        "conductors": tables.conductors(made.drawn),
        "assumes": _assumes(made, circuits[-1]),
        "counted": COUNTED if made.answer is not None and made.answer.states else "",
        "last": LAST,
        "files": [
            {"what": f.what, "name": f.name, "digest": f"sha256 {sha256(f.content).hexdigest()}"}
            for f in made.files
        ],
        "made": f"by wirecheck {made.version} on {made.date}",
    }
    content |= controls.content(made.shown, made.start, content["loads"], made.why_not, circuits)
    content["data"] = ""
    if made.shown is not None:
        content["data"] = data(made.shown, scenes, names(drawn), read, made.start, jumps)
    return content


def circuits_of(drawn: Changed | Circuit) -> tuple[Circuit, ...]:
    """Before and after; one where there is no change."""
    return (drawn.before, drawn.after) if isinstance(drawn, Changed) else (drawn,)


def _about(made: Made, circuit: Circuit) -> tuple[str, ...]:
    if isinstance(made.drawn, Changed):
        return f"On {made.drawn.before.name}", made.drawn.reason
    return (circuit.about,)


def _cases(made: Made, jumps: list[int]) -> list[dict[str, Any]]:
    """What fails, or is not decided, each with its state where the page has it."""
    if made.answer is None or not isinstance(made.drawn, Changed) or made.answer.verdict == "pass":
        return []
    found = [f for f in made.answer.findings if f.verdict == made.answer.verdict]
    rows = [_case(made, f, jumps) for f in found]
    return rows + [
        {"says": text, "check": "doubt", "jump": None, "stands": ""}
        for text in made.answer.why_unknown
        if made.answer.verdict == "unknown" and text not in {f.says for f in found}
    ]


def _case(made: Made, finding: Finding, jumps: list[int]) -> dict[str, Any]:
    witness = finding.witness
    state = of_witness(made.shown, witness) if witness is not None and made.shown is not None else None
    jump = None
    if state is not None:
        jumps.append(state)
        jump = len(jumps) - 1
    said = ""
    if witness is not None and isinstance(made.drawn, Changed):
        away, usual = stands(made.drawn, witness)
        said = f"In this state: {', '.join(away) or 'all as usual'}." if away or usual else ""
        said = " ".join((said, *(f"{line}." for line in witness.parted))).strip()
    return {"says": reason(finding), "check": finding.check, "jump": jump, "stands": said}


def _steps(changed: Changed | None, shapes: Shapes) -> list[dict[str, Any]]:
    if changed is None:
        return []
    shots = closeups(changed, Slim(shapes, unknown=False))
    return [
        {
            "number": step.number,
            "words": f"{step.words} ({step.of})" if step.of else step.words,
            "closeups": shots.get(step.number, []),
        }
        for step in changed.steps
    ]


def _checks(answer: Verified | None) -> list[dict[str, str]]:
    if answer is None:
        return []
    return [
        {"check": check, "verdict": verdict, "word": CALLED[verdict], "says": says}
        for check, verdict, says in checked(answer)
    ]


def _notes(made: Made, jumps: list[int]) -> list[dict[str, Any]]:
    """What is good to know, each with its state where the page has it."""
    if made.answer is None:
        return []
    return [_case(made, f, jumps) for f in made.answer.findings if f.verdict == "note"]


def _assumes(made: Made, circuit: Circuit) -> list[str]:
    if made.answer is not None:
        return list(made.answer.assumes)
    given = [
        f"{i.name} is held {i.word(i.given)} (given)" for i in circuit.inputs.values() if i.given is not None
    ]
    return [*given, *(f"impossible: {text}" for _, text in circuit.impossible), *circuit.notes]
