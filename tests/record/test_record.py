"""A record as a file: its schema, its seal, what is found of an altered one, what another version's reads."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest

from tests.cli.conftest import ROOT
from tests.record.conftest import edit
from wirecheck import api
from wirecheck.limits import RECORD_BYTES
from wirecheck.problem import BadInput
from wirecheck.report.record import make
from wirecheck.report.record.read import read

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Result

    Here = Callable[..., Result]


@pytest.fixture
def made(here: Here, fan: Path) -> Path:
    done = here(
        "record", "unit.yaml", "change.yaml", "-o", "r.json", "--made-by", "A. Hand", "--date", "2026-11-05"
    )
    assert done.code == 0, done.err
    return fan / "r.json"


def content(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def test_the_schema_is_in_step_and_takes_a_record(made: Path) -> None:
    text = api.schemas()["record.schema.json"]
    assert (ROOT / "schemas" / "record.schema.json").read_text(encoding="utf-8") == text
    schema = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    assert [*check.iter_errors(content(made))] == []
    assert [*check.iter_errors(content(made) | {"verdict": "perhaps"})] != []


def test_what_a_record_holds(here: Here, made: Path) -> None:
    found = content(made)
    answer = json.loads(here("verify", "unit.yaml", "change.yaml", "--json", "-").out)
    assert found["people"] == {"made_by": "A. Hand", "reviewed_by": "", "date": "2026-11-05"}
    assert (found["verdict"], found["states"], found["effect"]) == (
        "pass",
        answer["states"],
        answer["effect"],
    )
    told = [(c["check"], c["subject"], c["verdict"], c["says"]) for c in answer["checks"]]
    assert [(c["check"], c["subject"], c["verdict"], c["says"]) for c in found["checks"]] == told
    assert found["assumes"] == answer["assumes"]
    assert any("torque of screws" in text for text in found["not_checked"])
    for key, name in (("unit", "unit.yaml"), ("change", "change.yaml")):
        data = (made.parent / name).read_bytes()
        assert found[key]["file"] == name
        assert found[key]["bytes"] == "sha256:" + hashlib.sha256(data).hexdigest()


def test_the_seal_is_what_it_says(made: Path) -> None:
    """RFC 8785 of ASCII keys, texts and whole numbers is what Python's own writer gives, sorted and close."""
    found = content(made)
    seal = found.pop("seal")
    close = json.dumps(found, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert seal == "sha256:" + hashlib.sha256(close.encode()).hexdigest()


def test_every_byte_altered_is_found(made: Path, tmp_path: Path) -> None:
    """Every one, by one bit: it is refused, or read as altered."""
    data = made.read_bytes()
    found = content(made)
    texts = [data[:k] + bytes([data[k] ^ 1]) + data[k + 1 :] for k in range(0, len(data), 3)]
    assert make.seal(found) == found["seal"]
    for text in texts:
        try:
            other = json.loads(text)
        except ValueError:
            continue
        as_sealed = isinstance(other, dict) and make.seal(other) == other.get("seal")
        assert not (as_sealed and make.laid_out(other).encode() == text)
    for k in range(0, len(texts), 97):
        (tmp_path / "altered.json").write_bytes(texts[k])
        try:
            sealed = read(str(tmp_path / "altered.json"))
        except BadInput as bad:
            assert {p.code for p in bad.problems} <= {"not-json", "not-a-record", "not-utf-8", "binary-file"}
            continue
        assert not (sealed.sealed and sealed.as_written)


def test_a_record_cut_off_anywhere_is_an_error_with_its_position(made: Path, tmp_path: Path) -> None:
    data = made.read_bytes()
    for k in range(len(data) - 2, 0, -397):
        cut = tmp_path / "cut.json"
        cut.write_bytes(data[:k])
        with pytest.raises(BadInput) as bad:
            read(str(cut))
        (problem,) = bad.value.problems
        assert (problem.code, "cut off" in problem.message) == ("not-json", True)
        whole = data[:k].rstrip().decode()
        assert (problem.place.line, problem.place.column) == (
            whole.count("\n") + 1, len(whole.split("\n")[-1]) + 1,
        )  # fmt: skip


REFUSED = {
    "[1]": "holds no record",
    '{"record": 1}': "`seal` is missing",
    '{"record": 1, "seal": 2}': "`tool` is missing",
    '{"record": 1, "record": 2}': "`record` stands twice",
    "{'record': 1}": "expecting property name",
    "[" * 100_000: "too deep",
    '{"record": ' + "9" * 5000 + "}": "too long",
    '{"record": "\\ud800", "seal": 1}': "Invalid JSON",
    "": "empty",
}


@pytest.mark.parametrize("text", REFUSED, ids=REFUSED.values())
def test_what_is_no_record(here: Here, tmp_path: Path, text: str) -> None:
    (tmp_path / "r.json").write_text(text, encoding="utf-8")
    done = here("recheck", "r.json")
    assert done.code == 2
    assert done.err.startswith("r.json:1:")
    assert REFUSED[text] in done.err
    assert "Traceback" not in done.err


def test_the_place_of_what_is_missing_and_of_what_is_wrong(here: Here, made: Path) -> None:
    edit(made, ' "verdict": "pass",\n "says"', ' "verdict": "perhaps",\n "says"')
    line = made.read_text(encoding="utf-8").split("\n").index(' "verdict": "perhaps",') + 1
    done = here("recheck", "r.json")
    assert done.code == 2
    assert f"r.json:{line}:13: not-a-record: `verdict`: input should be 'pass', 'fail'" in done.err
    assert "not as it was written: its seal does not fit" in done.err


def resealed(path: Path, found: dict[str, Any]) -> None:
    path.write_text(make.laid_out(found | {"seal": make.seal(found)}), encoding="utf-8")


def test_a_record_of_another_version_is_read(here: Here, made: Path) -> None:
    """Of a later one too: keys that it adds are let pass, and so is a check that is not made here."""
    found = content(made)
    found["tool"] |= {"version": "9.1", "code": "sha256:" + "0" * 64}
    found["checks"][0]["weight"] = 3
    found["fleet"] = {"site": "bakery"}
    resealed(made, found)
    done = here("recheck", "r.json")
    assert (done.code, "made by wirecheck 9.1" in done.out) == (0, True)
    found["checks"].append({"check": "no-hum", "subject": "HTR", "verdict": "pass", "says": "HTR is quiet"})
    resealed(made, found)
    done = here("recheck", "r.json")
    assert (done.code, "no-hum, HTR: no more: pass" in done.out) == (1, True)


def test_meanings_of_another_form_are_not_compared(here: Here, made: Path) -> None:
    found = content(made) | {"meaning_form": 99}
    found["unit"]["meaning"] = "sha256:" + "1" * 64
    resealed(made, found)
    done = here("recheck", "r.json")
    assert (done.code, " ".join(done.out.split()).count("cannot be compared")) == (0, 3)
    edit(made.parent / "unit.yaml", "# A proofing", "# The proofing")
    done = here("recheck", "r.json")  # nobody can tell whether it was a comment
    assert (done.code, "ANOTHER FILE" in done.out) == (1, True)


def test_a_record_too_long_is_refused(here: Here, tmp_path: Path) -> None:
    (tmp_path / "r.json").write_bytes(b" " * (RECORD_BYTES + 1))
    assert "longer than 40 MB" in here("recheck", "r.json").err
