"""`verify` in the terminal: the verdict and why, what a technician must know, then the checks."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Capacitor, Coil, Resistor, Winding
from wirecheck.report.lines import CALLED, COUNTED, LAST, Line, head, items, para, said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.finding import Finding, Verdict, Witness
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.verify import Effect, Verified

FIRST = (
    "keeps", "takes-effect", "expects", "protections", "no-stall", "no-chatter", "no-sneak", "isolation",
    "set-points", "live-parts",
)  # fmt: skip
IDLE = "no load does otherwise"
SHOWN = 3  # states told at length; the others by what the checks say of them
DEPENDS = re.compile(r"depends on what the file does not say \([^)]*\): ")
CURRENT = "The current, after the change, goes"
WAYS = {
    "no-short": "The short goes",
    "no-cross-feed": "{} hang together, after the change, by",
    "no-earth-return": "The current of {}, after the change, goes",
}
KINDS = {Coil: "coil", Resistor: "resistor", Capacitor: "capacitor", Winding: "winding"}


def page(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """The whole answer, folded to a width."""
    return [
        *first_lines(changed, answer, width),
        *cases(changed, answer, width),
        *steps(changed, width),
        *effect(answer, width),
        *notes(answer, width),
        *checks(answer, width),
        *assumes(answer, width),
        Line(),
        *(para(COUNTED, width) if answer.states else []),
        *para(LAST, width),
    ]


def first_lines(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """The verdict and why, in a line that stands alone; then what it is about."""
    word = CALLED[answer.verdict].lower()
    return [
        *para(f"{word}: {why(answer)}", width, "", answer.verdict, len(word)),
        *para(f"{changed.name}, on {changed.before.name}", width, "  "),
    ]


def why(answer: Verified) -> str:
    """The first reason, and how many more there are; of a pass, over how many states."""
    if answer.verdict == "pass":
        if not answer.states:
            return "every check made holds, proved for every state and history"
        return f"every check made holds, in {answer.states} states"
    found = [f for f in answer.findings if f.verdict == answer.verdict]
    doubts = answer.why_unknown if answer.verdict == "unknown" else ()
    reasons = [f"{reason(f)} [{f.check}]" for f in found if f.says not in doubts] + list(doubts)
    more = f" (and {len(reasons) - 1} more)" if len(reasons) > 1 else ""
    fields = dict.fromkeys(field for f in found for field in f.fields)
    needs = f"needs {said(fields)}. " if fields and answer.verdict == "unknown" else ""
    return f"{needs}{reasons[0]}{more}"


def reason(finding: Finding) -> str:
    """What a finding says, its subject named; the fields that it needs are told apart from it."""
    says = DEPENDS.sub("", finding.says) if finding.fields else finding.says
    if finding.check == "expects":
        return (
            f'"{finding.subject}" is {says}'
            if says.startswith(("false", "true"))
            else f'"{finding.subject}": {says}'
        )
    if finding.subject in says or finding.subject == "unit":
        return says
    return f"{finding.subject}: {says}"


# --- what is wrong -------------------------------------------------------------------------------------


def cases(changed: Changed, answer: Verified, width: int) -> list[Line]:
    """What fails or is not decided: each state once, with every check that it decides."""
    lines: list[Line] = []
    for verdict, title in (("fail", "What fails"), ("unknown", "What is not decided: it may be that")):
        found = [f for f in answer.findings if f.verdict == verdict]
        shown = SHOWN if verdict == answer.verdict else 0
        lines += head(title) if found else []
        for k, group in enumerate(_by_state(found)):
            lines += [Line()] if 0 < k < shown else []
            lines += case(changed, group, width, k < shown)
    if answer.verdict == "unknown" and answer.why_unknown:
        lines += [*head("Why it cannot be decided"), *items(answer.why_unknown, width)]
    return lines


def _by_state(found: list[Finding]) -> list[list[Finding]]:
    """Findings that show the same state together, in their order."""
    groups: dict[object, list[Finding]] = defaultdict(list)
    for k, finding in enumerate(found):
        w = finding.witness
        alone = w is None or w.earlier
        key: object = k
        if w is not None and not alone:
            key = tuple(tuple(part.items()) for part in (w.inputs, w.ranges, w.after))
        groups[key].append(finding)
    return list(groups.values())


def case(changed: Changed, group: list[Finding], width: int, whole: bool) -> Iterator[Line]:
    """One state: what the checks say of it, where the switches stand, loads before and after, the way."""
    for k, finding in enumerate(group):
        yield from para(f"{reason(finding)} [{finding.check}]", width, "  * ", finding.verdict, 3)
        last = k + 1 == len(group) or group[k + 1].fields != finding.fields
        if finding.fields and last:
            yield from para(said(finding.fields), width, "    needs ")
    witness = next((f.witness for f in group if f.witness is not None), None)
    if witness is None or not whole:
        return
    first = witness.earlier[0] if witness.earlier else witness
    if first.reached:
        yield from para("; ".join(first.reached), width, "    reached by moves: ")
    for earlier in witness.earlier:
        yield from para(", ".join(stands(changed, earlier)[0]), width, f"    {_moved('from', earlier)}: ")
    yield from _stood(
        changed, witness, width, _moved("then" if witness.earlier else "in this state", witness)
    )
    yield from _words(changed, witness)
    for line in witness.parted:
        yield from para(line, width, "    ")
    yield from _ways(changed, group, width)


def _ways(changed: Changed, group: list[Finding], width: int) -> Iterator[Line]:
    """The first way of each kind that the findings of a state show, and why the coils on it are in."""
    told: set[str] = set()
    for finding in group:
        title = WAYS.get(finding.check, CURRENT).format(finding.subject)
        if finding.witness is None or not finding.witness.route or title in told:
            continue
        told.add(title)
        yield from para(title, width, "    ")
        yield from _route(changed, finding.witness.route, width)
        for line in finding.witness.because:
            yield from para(line, width, "    ")


def _moved(when: str, witness: Witness) -> str:
    return f"{witness.move}" if witness.move else when


def _stood(changed: Changed, witness: Witness, width: int, when: str) -> Iterator[Line]:
    """Where every switch stands."""
    first, usual = stands(changed, witness)
    if first:
        yield from para(", ".join(first), width, f"    {when}: ")
        yield from para(", ".join(usual), width, "    and as usual: ") if usual else ()
    else:
        yield from para(", ".join(usual), width, f"    {when}, all as usual: ")


def stands(changed: Changed, witness: Witness) -> tuple[list[str], list[str]]:
    """Where switches stand: those of the change and those away from ordinary operation first."""
    normal = _normal(changed)
    first = [n for n, w in witness.inputs.items() if normal.get(n) != w or _is_brought(changed, n)]
    usual = [f"{n} {w}" for n, w in witness.inputs.items() if n not in first]
    away = [f"{n} {witness.inputs[n]}" for n in first]
    return away + [f"{q} {words}" for q, words in witness.ranges.items()], usual


def _is_brought(changed: Changed, name: str) -> bool:
    switch = changed.after.inputs.get(name)
    return switch is not None and switch.device in changed.brought


def _normal(changed: Changed) -> dict[str, str]:
    """Input -> its word in ordinary operation; delays rest."""
    found = {f"{n} (before)": i.word(i.normal) for n, i in changed.before.inputs.items()}
    found |= {n: i.word(i.normal) for c in (changed.before, changed.after) for n, i in c.inputs.items()}
    return found | {n: "rest" for c in (changed.before, changed.after) for n in c.delays}


def _words(changed: Changed, witness: Witness) -> Iterator[Line]:
    """Each load and relay, before and after; what differs is marked."""
    old = {r.new: r.old for r in changed.replaced}
    followed = {old[n] for n in witness.after if n in old}
    names = [*witness.after, *(n for n in witness.before if n not in witness.after and n not in followed)]
    wide = max((len(n) for n in names), default=4)
    yield Line("    " + "  ".join((" " * wide, "before".ljust(8), "after")))
    for name in names:
        before = witness.before.get(name, witness.before.get(old.get(name, ""), "-"))
        after = witness.after.get(name, "-")
        mark = "<- differs" if "-" != before != after else ""
        text = "  ".join((name.ljust(wide), before.ljust(8), after.ljust(8), mark)).rstrip()
        yield Line("    " + text, "head" if mark else "")


def _route(changed: Changed, route: tuple[str, ...], width: int) -> Iterator[Line]:
    """A way after the change, a conductor or contact on each line."""
    for k, hop in enumerate(route):
        yield from para(_hop(changed, hop), width, "      from " if k == 0 else "      ")


def _hop(changed: Changed, hop: str) -> str:
    """An element's bare id is told with what it is: winding FAN.main to FAN.main."""
    element = changed.after.elements.get(hop.partition(" to ")[0])
    return hop if element is None else f"{KINDS.get(type(element), 'element')} {hop}"


# --- what is done, and what it does ----------------------------------------------------------------------


def steps(changed: Changed, width: int) -> list[Line]:
    """The plain steps, numbered."""
    lines = head("What is done") if changed.steps else []
    for step in changed.steps:
        of = f" ({step.of})" if step.of else ""
        lines += para(f"{step.words}{of}", width, f"  {step.number:2}. ")
    return lines


def effect(answer: Verified, width: int) -> list[Line]:
    """When each load that the change is about runs, before and after."""
    lines = head("What it does") if answer.effect else []
    wide = max(map(len, answer.effect), default=0)
    for load, found in answer.effect.items():
        name = load.ljust(wide)
        if found.before == found.after and not found.less and not found.more:
            lines += para(_when(found.after, found.may_after), width, f"  {name} as before, ")
            continue
        before = _when(found.before, found.may_before) if found.before else "was not there"
        lines += para(before, width, f"  {name} before  ")
        lines += para(_when(found.after, found.may_after), width, f"  {name} after   ")
        if found.before == found.after:
            lines += para(_unlike(found), width, f"  {name}         ")
        elif more := _also(found):
            lines += para(f"so it needs {more} too", width, f"  {name}         ")
    return lines


def _also(found: Effect) -> str:
    """What the load needs beside what it needed before, where that is all that changed."""
    start = f"{found.before} and "
    plain = " or " not in found.after and found.before and found.after.startswith(start)
    return found.after.removeprefix(start) if plain else ""


def _unlike(effect: Effect) -> str:
    """What differs where the words do not tell it, since history decides both."""
    less = "it is off in some states in which it ran" if effect.less else ""
    more = "it runs in some states in which it was off" if effect.more else ""
    return f"but not in the same states: {' and '.join(t for t in (less, more) if t)}"


def _when(words: str, may: str = "") -> str:
    """may: when it may run at all, where history decides."""
    if may and may not in ("always", "never"):
        return f"only when {may}, and then it {words}"
    plain = words in ("always", "never") or words.startswith("depends")
    return words if plain else f"when {words}"


def notes(answer: Verified, width: int) -> list[Line]:
    """What fails nothing and has to be known all the same."""
    found = [f for f in answer.findings if f.verdict == "note"]
    lines = head("To know") if found else []
    for finding in sorted(found, key=_weight):
        lines += para(f"{reason(finding)} [{finding.check}]", width, "  - ", "note", 3)
    return lines


def _weight(finding: Finding) -> int:
    """What may change somebody's mind stands first: that the change does nothing, what is or stays live."""
    if finding.says.endswith(IDLE) or "not given" in finding.says or "not rated" in finding.says:
        return len(FIRST) + 1
    return FIRST.index(finding.check) if finding.check in FIRST else len(FIRST)


# --- the checks --------------------------------------------------------------------------------------------


def checks(answer: Verified, width: int) -> list[Line]:
    """The table of checks."""
    rows = checked(answer)
    wide = max((len(check) for check, *_ in rows), default=0)
    lines = head("Checks")
    for check, verdict, words in rows:
        start = f"  {CALLED[verdict].ljust(4)}  {check.ljust(wide)}  "
        lines += para(words, width, start, verdict, 2 + len(CALLED[verdict]))
    return lines


def checked(answer: Verified) -> list[tuple[str, Verdict, str]]:
    """Check, verdict, words: findings of a check that say the same of several subjects stand on one row."""
    rows: dict[tuple[str, Verdict, str], list[Finding]] = defaultdict(list)
    for finding in answer.findings:
        if finding.verdict != "note":
            alone = finding.subject if finding.check == "expects" else _bare(finding)
            rows[finding.check, finding.verdict, alone].append(finding)
    return [
        (
            check,
            verdict,
            f"{', '.join(f.subject for f in found)}: {text}" if len(found) > 1 else reason(found[0]),
        )
        for (check, verdict, text), found in rows.items()
    ]


def _bare(finding: Finding) -> str:
    """What it says without its subject at the start, so that equal ones can be joined."""
    for start in (f"{finding.subject}: ", f"{finding.subject} "):
        if finding.says.startswith(start):
            return finding.says.removeprefix(start)
    return finding.says


def assumes(answer: Verified, width: int) -> list[Line]:
    """What the verdict rests on."""
    return [*head("Assumed"), *items(answer.assumes, width)] if answer.assumes else []
