"""`verify` in the terminal: the verdict and why, what a technician must know, then the checks."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from wirecheck.report.lines import CALLED, LAST, Line, columns, fold, head, items, para, said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.finding import Finding, Witness
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.verify import Verified

SHOWN = 3  # states told at length; the others stand in the table of checks
NOT_CHECKED = "not checked"


def page(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """The whole answer, folded to a width."""
    return [
        *first_line(changed, answer, width),
        *cases(changed, answer, width),
        *steps(changed, width),
        *effect(changed, answer, width),
        *checks(answer, width),
        *not_checked(answer, width),
        *assumes(answer, width),
        Line(),
        *para(LAST, width),
    ]


def first_line(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """The verdict and why, on a line that stands alone."""
    word = CALLED[answer.verdict].lower()
    whole = para(f"{word}: {why(answer)}", width, "", answer.verdict, len(word))
    return [*whole, *para(f"{changed.name}, on {changed.before.name}", width, "  ")]


def why(answer: Verified) -> str:
    """The first reason, and how many more there are."""
    if answer.verdict == "pass":
        return f"every check holds, in {answer.states} states"
    found = [f for f in answer.findings if f.verdict == answer.verdict]
    reasons = [_reason(f) for f in found] + list(answer.why_unknown if answer.verdict == "unknown" else ())
    more = f" (and {len(reasons) - 1} more)" if len(reasons) > 1 else ""
    return f"{reasons[0]}{more}"


def _reason(finding: Finding) -> str:
    """What a finding says, its subject named."""
    if finding.subject in finding.says or finding.subject == "unit":
        return finding.says
    return f"{finding.subject}: {finding.says}"


# --- what is wrong -------------------------------------------------------------------------------------


def cases(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """What fails or is not decided: each state once, with every check that it decides."""
    lines: list[Line] = []
    for verdict, title in (("fail", "What fails"), ("unknown", "What is not decided")):
        found = [f for f in answer.findings if f.verdict == verdict]
        if found:
            lines += head(title)
            lines += [line for k, group in enumerate(_by_state(found)) for line in
                      case(changed, group, width, k < SHOWN)]  # fmt: skip
    if answer.verdict == "unknown" and answer.why_unknown:
        lines += [*head("Why it cannot be decided"), *items(answer.why_unknown, width)]
    return lines


def _by_state(found: list[Finding]) -> list[list[Finding]]:
    """Findings that show the same state together, in their order."""
    groups: dict[object, list[Finding]] = defaultdict(list)
    for k, finding in enumerate(found):
        w = finding.witness
        key = k if w is None else (tuple(w.inputs.items()), tuple(w.ranges.items()), w.earlier == ())
        groups[key].append(finding)
    return list(groups.values())


def case(changed: Changed, group: list[Finding], width: int, whole: bool) -> Iterator[Line]:
    """One state: what the checks say of it, where the switches stand, loads before and after, the way."""
    for finding in group:
        yield from para(f"{_reason(finding)} [{finding.check}]", width, "  * ", finding.verdict, 3)
    witness = next((f.witness for f in group if f.witness is not None), None)
    if witness is None or not whole:
        return
    for earlier in witness.earlier:
        yield from _stood(changed, earlier, width, "First")
    yield from _stood(changed, witness, width, "Then" if witness.earlier else "In this state")
    yield from _words(changed, witness)
    routes = dict.fromkeys(f.witness.route for f in group if f.witness is not None and f.witness.route)
    for route in routes:
        yield from _route(route, width)
    yield Line()


def _stood(changed: Changed, witness: Witness, width: int, when: str) -> Iterator[Line]:
    """Where switches stand: those away from ordinary operation first."""
    normal = _normal(changed)
    away = [f"{n} {w}" for n, w in witness.inputs.items() if normal.get(n, w) != w]
    usual = [f"{n} {w}" for n, w in witness.inputs.items() if normal.get(n, w) == w]
    quantities = [f"{q} {words}" for q, words in witness.ranges.items()]
    move = f" ({witness.move})" if witness.move else ""
    yield from para(f"{when}{move}: {', '.join([*away, *quantities]) or 'all as usual'}", width, "    ")
    if usual:
        yield from para(f"the others as usual: {', '.join(usual)}", width, "    ")


def _normal(changed: Changed) -> dict[str, str]:
    """Input -> its word in ordinary operation; delays rest."""
    found = {f"{n} (before)": i.word(i.normal) for n, i in changed.before.inputs.items()}
    found |= {n: i.word(i.normal) for c in (changed.before, changed.after) for n, i in c.inputs.items()}
    return found | {n: "rest" for c in (changed.before, changed.after) for n in c.delays}


def _words(changed: Changed, witness: Witness) -> Iterator[Line]:
    """Each load and relay, before and after; what differs is marked."""
    old = {r.new: r.old for r in changed.replaced}
    names = list(dict.fromkeys((*witness.after, *witness.before)))
    gone = {old.get(n, n) for n in witness.after} - set(witness.after)
    rows = []
    for name in names:
        if name in gone:
            continue
        before = witness.before.get(name, witness.before.get(old.get(name, ""), "-"))
        after = witness.after.get(name, "-")
        rows.append((name, before, after, "<- differs" if before != after else ""))
    wide = max((len(n) for n in names), default=4)
    yield Line("    " + "  ".join(("".ljust(wide), "before".ljust(9), "after")))
    for name, before, after, mark in rows:
        text = "  ".join((name.ljust(wide), before.ljust(9), after.ljust(9), mark)).rstrip()
        yield Line("    " + text, "head" if mark else "")


def _route(route: tuple[str, ...], width: int) -> Iterator[Line]:
    yield Line("    The current goes")
    for k, hop in enumerate(route):
        yield from para(hop, width, "      from " if k == 0 else "      ")


# --- what is done, and what it does ----------------------------------------------------------------------


def steps(changed: Changed, width: int) -> list[Line]:
    lines = head("What is done")
    for step in changed.steps:
        of = f"  (of {step.of})" if step.of else ""
        lines += para(f"{step.words}{of}", width, f"  {step.number:2}. ")
    return lines


def effect(changed: Changed, answer: Verified, width: int) -> list[Line]:
    if not answer.effect:
        return []
    lines = head("What it does")
    for load, found in answer.effect.items():
        if found.before == found.after:
            lines += para(f"{load} works as before: {_when(found.after)}", width, "  ")
            continue
        lines += para(f"{load} before: {_when(found.before) if found.before else 'not there'}", width, "  ")
        lines += para(f"{load} after:  {_when(found.after)}", width, "  ")
    return lines


def _when(words: str) -> str:
    plain = words in ("always", "never") or words.startswith("depends")
    return words if plain else f"when {words}"


# --- the checks --------------------------------------------------------------------------------------------


def checks(answer: Verified, width: int) -> list[Line]:
    """The table: findings of a check that say the same stand on one row."""
    rows: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for finding in answer.findings:
        if not finding.says.startswith(NOT_CHECKED):
            rows[finding.check, finding.verdict, _bare(finding)].append(finding.subject)
    lines = head("Checks")
    wide = max((len(check) for check, _, _ in rows), default=0)
    for (check, verdict, text), subjects in rows.items():
        words = f"{', '.join(subjects)}: {text}" if subjects != ["unit"] else text
        word = CALLED[verdict]
        lines += para(words, width, f"  {word.ljust(11)}  {check.ljust(wide)}  ", verdict, 2 + len(word))  # type: ignore[arg-type]
    return lines


def _bare(finding: Finding) -> str:
    """What it says without its subject at the start, so that equal ones can be joined."""
    for start in (f"{finding.subject}: ", f"{finding.subject} "):
        if finding.says.startswith(start):
            return finding.says.removeprefix(start)
    return finding.says.replace(finding.subject, "it") if finding.check == "no-stall" else finding.says


def not_checked(answer: Verified, width: int) -> list[Line]:
    names = [f.check for f in answer.findings if f.says.startswith(NOT_CHECKED)]
    return [*head("Not checked"), *para(said(names), width, "  ")] if names else []


def assumes(answer: Verified, width: int) -> list[Line]:
    return [*head("Assumed"), *items(answer.assumes, width)] if answer.assumes else []
