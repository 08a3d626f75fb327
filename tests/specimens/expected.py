"""What an `expected.yaml` beside a unit demands of `verify`; its keys are told in the Tidewater example's."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.finding import Finding
    from wirecheck.questions.verify import Verified

ROOT = Path(__file__).parent.parent.parent
FOLDERS = (ROOT / "examples", ROOT / "tests" / "specimens" / "valid")
KEYS = {"verdict", "because", "fails", "unknown", "later", "may", "effect"}
WHERE = {"check", "subject", "inputs", "because"}
BY_FIGURES = ("ratings", "set-points")


@dataclass(frozen=True, slots=True)
class Specimen:
    """One change of one unit, and what is expected of it."""

    folder: Path
    change: str
    expected: dict[str, Any]

    def __str__(self) -> str:
        return f"{self.folder.name}/{self.change}"


def folders() -> list[Path]:
    """Every folder that holds a unit."""
    return sorted(file.parent for base in FOLDERS for file in base.glob("*/unit.yaml"))


def expectations(folder: Path) -> dict[str, Any]:
    """Change file -> what is expected; no scalar is typed."""
    text = (folder / "expected.yaml").read_text(encoding="utf-8")
    return dict(yaml.load(text, Loader=yaml.BaseLoader))  # noqa: S506 - text only


def specimens() -> list[Specimen]:
    """Every change of every folder."""
    return [Specimen(f, name, e) for f in folders() for name, e in expectations(f).items()]


def differences(expected: dict[str, Any], answer: Verified) -> list[str]:
    """What is wrong with an answer, a line each."""
    verdict = expected["verdict"]
    wrong = [] if answer.verdict == verdict else [f"verdict {answer.verdict}, should be {verdict}"]
    return [*wrong, *_fails(expected, answer), *_unknown(expected, answer), *_effects(expected, answer)]


def _fails(expected: dict[str, Any], answer: Verified) -> Iterator[str]:
    """Every fail named is there, and no other but those that may."""
    wanted = [*expected.get("fails", ()), *expected.get("later", ())]
    pardoned = [*wanted, *expected.get("may", ())]
    found = [f for f in answer.findings if f.verdict == "fail"]
    for want in wanted:
        yield from _missing("fail", want, [f for f in found if _fits(want, f)])
    for finding in found:
        if not any(_fits(want, finding) for want in pardoned):
            yield f"fails, but should not: {finding.check} {finding.subject}: {finding.says}"


def _unknown(expected: dict[str, Any], answer: Verified) -> Iterator[str]:
    found = [f for f in answer.findings if f.verdict == "unknown"]
    for want in expected.get("unknown", ()):
        yield from _missing("unknown", want, [f for f in found if _fits(want, f)])


def _missing(verdict: str, want: dict[str, Any], fitting: list[Finding]) -> Iterator[str]:
    """No finding fits, or none of those that fit shows the inputs."""
    name = f"{want['check']} {want.get('subject', '')}".strip()
    inputs = want.get("inputs", {}).items()
    if not fitting:
        yield f"should be {verdict}: {name}"
    elif not any(inputs <= (f.witness.inputs if f.witness else {}).items() for f in fitting):
        shown = [f.witness and f.witness.inputs for f in fitting]
        yield f"the counterexample of {name} should show {dict(inputs)}, not {shown}"


def _fits(want: dict[str, Any], finding: Finding) -> bool:
    """Is it this check of this subject? A sentence fits word for word; a tag may stand among other words."""
    if want["check"] != finding.check:
        return False
    subject = want.get("subject")
    if subject is None or subject == finding.subject:
        return True
    tag = rf"(?<![\w.]){re.escape(subject)}\b"
    return finding.check != "expects" and re.search(tag, finding.subject) is not None


def _effects(expected: dict[str, Any], answer: Verified) -> Iterator[str]:
    for load, want in expected.get("effect", {}).items():
        found = answer.effect.get(load)
        if found is None or (terms(found.before), terms(found.after)) != (
            terms(want["before"]),
            terms(want["after"]),
        ):
            yield f"effect of {load}: {found}, should be {want}"


def terms(sum_of_products: str) -> set[frozenset[str]]:
    """The products of a sum, whatever their order."""
    return {frozenset(product.split(" and ")) for product in sum_of_products.split(" or ")}
