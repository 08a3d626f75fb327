"""Commands from which an apprentice learns: reading a unit, finding a fault, being asked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from wirecheck.cli import output
from wirecheck.cli.options import Json, MaybeChange, Plainly, Unit
from wirecheck.cli.progress import shown
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from wirecheck.questions.drill.ground import Ground
    from wirecheck.questions.drill.kinds import Question
    from wirecheck.questions.drill.session import Session
    from wirecheck.questions.find.answer import Found
    from wirecheck.questions.find.evidence import Measured
    from wirecheck.report.readings.rungs import Ladder


def read(
    what: Annotated[
        list[str],
        typer.Argument(metavar="UNIT [CHANGE] [LOAD]", help="The files, then a load if one alone is wanted."),
    ],
    json: Json = None,
    plain: Plainly = False,
) -> int:
    """A unit in words, circuit by circuit and line by line; or one load.

    What each line is for, what each contact waits for, what starts what, what each protection keeps off.
    """
    from wirecheck import api
    from wirecheck.report import as_json
    from wirecheck.report.readings import page

    unit, *rest = what
    change = rest.pop(0) if rest and rest[0].lower().endswith((".yaml", ".yml")) else None
    if len(rest) > 1:
        raise typer.BadParameter("give UNIT, a CHANGE if there is one, and at most one LOAD")
    load = rest[0] if rest else None
    with shown():
        answer = api.read(unit, change, load, plain)
    if json is not None:
        output.deliver(as_json.text(page.as_json(answer)), json)
    elif load is None:
        output.show(page.page(answer, output.width()))
    else:
        output.show(page.load_page(answer, output.width()))
    return 0


def find(
    unit: Unit,
    change: MaybeChange = None,
    *,
    seen: Annotated[
        list[str] | None,
        typer.Option("--seen", metavar="TEXT", help='How loads and relays look: "COMP runs, FAN off".'),
    ] = None,
    measured: Annotated[
        list[str] | None,
        typer.Option(
            "--measured",
            metavar="TEXT",
            help='A reading: "K1.A1 K1.A2 0 V", "F1.1 F1.2 open" or "continuity".',
        ),
    ] = None,
    when: Annotated[
        list[str] | None,
        typer.Option(
            "--when", metavar="TEXT", help="Where switches stood: once for all, or for each, seen first."
        ),
    ] = None,
    ask: Annotated[
        bool, typer.Option("--ask", help="Go on: ask for the outcome of each test until one is left.")
    ] = False,
    json: Json = None,
) -> int:
    """Which single fault fits what was seen?

    And the look or measurement that tells the rest apart best. A text may end in its own state: "FAN hums
    when TH.cool closed".
    """
    from wirecheck import api
    from wirecheck.report import as_json, finding

    if not seen and not measured:
        raise typer.BadParameter("say what was seen (--seen) or measured (--measured)")
    with shown():
        answer = api.find(unit, change, seen or (), measured or (), when or ())
    if ask:
        answer = _ask(answer)
    if json is not None:
        output.deliver(as_json.text(finding.as_json(answer)), json)
    elif not ask:
        output.show(finding.page(answer, output.width()))
    return 0


STOP = ("", "stop", "quit", "q")


def _ask(answer: Found) -> Found:
    """Ask for the outcome of each test until one fault is left, or none tells the rest apart."""
    from wirecheck import api
    from wirecheck.report import finding
    from wirecheck.report.lines import Line

    output.show(finding.page(answer, output.width()))
    while answer.test is not None and not answer.right:
        said = output.prompt("What does it show? (stop ends)")
        if said is None or said.lower() in STOP:
            break
        try:
            answer = api.find_on(answer, said)
        except BadInput as bad:
            output.complain("; ".join(p.message for p in bad.problems))
            continue
        output.show([Line(), *finding.page(answer, output.width(), brief=True)])
    return answer


def drill(
    unit: Unit,
    change: MaybeChange = None,
    *,
    seed: Annotated[str, typer.Option("--seed", help="Other questions for another seed.")] = "1",
    questions: Annotated[
        int, typer.Option("--questions", min=1, max=200, metavar="N", help="How many are asked.")
    ] = 10,
    notes: Annotated[
        str | None,
        typer.Option(
            "--notes", metavar="FILE", help="A notebook: what went wrong comes back sooner, next time too."
        ),
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", metavar="FILE", help="On paper, answers apart: .html or .md.")
    ] = None,
    picture: Annotated[
        str | None, typer.Option("--picture", metavar="FILE", help="Write the ladder beside it: .svg.")
    ] = None,
    json: Json = None,
) -> int:
    """Questions made from a unit, growing harder, each corrected with the reason.

    A right answer brings a question back after 4, 8, 16 … others, a wrong one after 2.
    """
    from wirecheck import api

    if notes is not None and (sheet is not None or json is not None):
        what = "--sheet" if sheet is not None else "--json"
        raise typer.BadParameter(f"{what} asks nobody: there are no notes to keep", param_hint="--notes")
    if picture is not None:
        output.deliver(api.draw(unit, change), picture)
    ground = api.ground(unit, change, seed)
    if sheet is not None or json is not None:
        return _sheet(ground, questions, sheet, json)
    return _drill(api.sitting(ground, notes), questions, notes)


def _sheet(ground: Ground, count: int, out: str | None, json: str | None) -> int:
    """The questions on paper, or for programs."""
    from wirecheck.questions.drill import session
    from wirecheck.report import as_json
    from wirecheck.report.drilling import sheet
    from wirecheck.report.readings.rungs import Ladder

    if out is not None and not out.lower().endswith((".html", ".md")):
        raise typer.BadParameter(f"{out!r} must end in .html or .md", param_hint="--sheet")
    found = sheet.items(ground, Ladder(ground.circuit), session.sheet(ground, count))
    if out is not None:
        made = sheet.page if out.lower().endswith(".html") else sheet.markdown
        output.deliver(made(ground, found), out)
    if json is not None:
        output.deliver(as_json.text(sheet.as_json(ground, found)), json)
    return 0


def _drill(session: Session, count: int, notes: str | None) -> int:
    """Ask one question after another, and write the notebook after each answer."""
    from wirecheck.questions.drill.notebook import as_json as kept
    from wirecheck.report import as_json
    from wirecheck.report.drilling import page
    from wirecheck.report.readings.rungs import Ladder

    ladder, wide = Ladder(session.ground.circuit), output.width()
    _ = ladder.lines  # laid out before the first answer waits for it
    output.show(page.opening(session.ground, wide))
    right = asked = 0
    for number in range(1, count + 1):
        key = session.following()
        q = session.question(key) if key is not None else None
        if key is None or q is None:
            output.say("This unit has no more questions.")
            break
        output.show(page.asked(session.ground, key, q, number, wide))
        good = _answered(session.ground, ladder, q, wide)
        if good is None:
            break
        session.take(key, good)
        asked, right = asked + 1, right + good
        if notes is not None:
            output.deliver(as_json.text(kept(session.notebook)), notes)
    output.show(page.closing(asked, right, session.notebook, wide))
    return 0


def _answered(ground: Ground, ladder: Ladder, q: Question, wide: int) -> bool | None:
    """Was a question answered right? None where somebody stops."""
    from wirecheck.questions.drill import plainly
    from wirecheck.report.drilling import page

    taken: list[Measured] = []
    while True:
        said = output.prompt(">")
        if said is None or said.lower() in ("stop", "quit", "q"):
            return None
        if said.lower() in ("", "help"):
            output.show(page.how(ground, q, wide))
            continue
        if said.lower() == "lines":
            output.show(page.ladder_lines(ladder, wide))
            continue
        try:
            good = False if said.lower() in ("skip", "?") else _judged(ground, q, said, taken)
        except plainly.NotUnderstood as unclear:
            output.say(output.clean(str(unclear)))
            continue
        if good is not None:
            more = page.measured(q, len(taken))
            output.show(page.corrected(ground, ladder, q, said, good, wide, more))
            return good


def _judged(ground: Ground, q: Question, said: str, taken: list[Measured]) -> bool | None:
    """Right or wrong; None where it was a measurement, which is then told."""
    from wirecheck.questions.drill.fault import Hunt, left, measurement
    from wirecheck.report.drilling import words

    found = measurement(ground, q, said) if isinstance(q, Hunt) else None
    if found is None or not isinstance(q, Hunt):
        return q.judge(ground, said).right
    taken.append(found)
    output.say(f"{words.evidence(ground.circuit, found)}. {left(ground, q, taken)} faults still fit.")
    return None
