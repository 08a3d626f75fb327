"""Answers as the JSON of contract section 6. Further keys are ours."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wirecheck.checks.finding import Finding, Witness
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions.leaving import Leaving
    from wirecheck.questions.lift import Lift
    from wirecheck.questions.lookalikes import Advice
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.ohms import Ohms
    from wirecheck.questions.states import Row, States
    from wirecheck.questions.verify import Verified


def text(answer: dict[str, Any]) -> str:
    """The text of the file; what could steer a terminal or the direction of reading is escaped."""
    found = json.dumps(answer, ensure_ascii=False, indent=1) + "\n"
    return "".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in found)


def verified(changed: Changed, answer: Verified) -> dict[str, Any]:
    """The counterexample of a `stays` sentence is the list of states in order."""
    stays = {s.text for s in changed.after.expects if s.form in ("stays off", "stays in")}
    return {
        "verdict": answer.verdict,
        "checks": [_finding(f, f.check == "expects" and f.subject in stays) for f in answer.findings],
        "effect": {n: {"before": e.before or None, "after": e.after} for n, e in answer.effect.items()},
        "assumes": list(answer.assumes),
        "states": answer.states,
        "steps": [{"number": s.number, "kind": s.kind, "says": s.words} for s in changed.steps],
    }


def _finding(finding: Finding, as_list: bool) -> dict[str, Any]:
    witness = finding.witness
    shown: Any = None
    if witness is not None and as_list:
        shown = [state(w) for w in (*witness.earlier, witness)]
    elif witness is not None:
        shown = state(witness)
    found = {
        "check": finding.check,
        "subject": finding.subject,
        "verdict": finding.verdict,
        "says": finding.says,
        "counterexample": shown,
    }
    return found | ({"fields": list(finding.fields)} if finding.fields else {})


def state(of: Witness) -> dict[str, Any]:
    """A state of a counterexample; of what it lacks no key."""
    found: dict[str, Any] = {"inputs": of.inputs, "before": of.before, "after": of.after}
    found |= {"quantities": of.ranges} if of.ranges else {}
    found |= {"route": list(of.route)} if of.route else {}
    found |= {"because": list(of.because)} if of.because else {}
    found |= {"parted": list(of.parted)} if of.parted else {}
    found |= {"reached": list(of.reached)} if of.reached else {}
    found |= {"move": of.move} if of.move else {}
    return found | ({"earlier": [state(w) for w in of.earlier]} if of.earlier else {})


def states(answer: States) -> dict[str, Any]:
    """`short` and `fields` only where a row has them."""
    return {"inputs": list(answer.inputs), "rows": [_row(row) for row in answer.rows]}


def _row(row: Row) -> dict[str, Any]:
    found: dict[str, Any] = {
        "inputs": row.inputs,
        "loads": row.loads,
        "relays": row.relays,
        "power_up": row.power_up,
    }
    found |= {"short": list(row.short)} if row.short else {}
    return found | ({"fields": list(row.fields)} if row.fields else {})


def lift(answer: Lift, advice: Advice, says: str) -> dict[str, Any]:
    """`lift` is the conductor to take off, null where none is clean; `says` the answer in words."""
    rows = [
        {
            "wire": row.wire,
            "stops": row.stops,
            "leaves": list(row.leaves),
            "others": list(row.others),
            "relays": list(row.relays),
            "clean": row.clean,
        }
        for row in answer.conductors
    ]
    best = advice.best
    choice = None if best is None else {"wire": best.wire.id, "at": best.at, "to": best.far}
    near = [{"wire": n.row.wire, **_leaves(n.leaves)} for n in advice.near]
    return {"load": answer.load, "conductors": rows, "lift": choice, "near": near, "says": says}


def _leaves(leaves: Leaving | None) -> dict[str, Any]:
    """How a conductor that comes near leaves the unit."""
    if leaves is None:
        return {}
    return {
        "starts": list(leaves.starts),
        "stalls": list(leaves.stalls),
        "stops": list(leaves.loses),
        "live": leaves.live,
        "breaks": list(leaves.breaks),
    }


def meter(answer: Reading, a: str, b: str) -> dict[str, Any]:
    """With the volts to earth of both terminals, null where they float."""
    volts = None if answer.volts is None else round(answer.volts, 6)
    found = {"reads": answer.reads, "volts": volts, **_reading(answer)}
    earth = [None if v is None else round(v, 6) for v in answer.to_earth]
    return found | {"to_earth": dict(zip((a, b), earth, strict=True))} | standing(answer)


def standing(answer: Reading) -> dict[str, Any]:
    """The state that was read: relays, loads, and what is live in it."""
    stands = answer.standing
    return {
        "relays": stands.relays,
        "loads": stands.loads,
        "could_hold": list(stands.could_hold),
        "live": [
            {"volts": round(g.volts, 6), "terminals": list(g.terminals), "to_earth": g.earthed}
            for g in stands.live
        ],
    }


def live(answer: Reading) -> dict[str, Any]:
    """What is live, no meter put anywhere."""
    reads = answer.reads if answer.reads in ("short", "chatters") else "live"
    return {"reads": reads, "inputs": dict(answer.inputs), **standing(answer)}


def ohms(answer: Ohms) -> dict[str, Any]:
    """`ohms` is null where open or unknown."""
    value = None if answer.ohms is None else round(answer.ohms, 6)
    return {"reads": answer.reads, "ohms": value, **_reading(answer)}


def _reading(answer: Reading | Ohms) -> dict[str, Any]:
    return {"remark": answer.remark, "fields": list(answer.fields), "inputs": dict(answer.inputs)}
