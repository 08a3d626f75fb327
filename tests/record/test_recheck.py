"""`record` and `recheck` on the command line: files that stayed, changed and moved; exit codes."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import ROOT
from tests.record.conftest import edit
from wirecheck.report.record import make

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Result

    Here = Callable[..., Result]


@pytest.fixture
def made(here: Here, fan: Path) -> Path:
    assert here("record", "unit.yaml", "change.yaml", "-o", "r.json", "--reviewed-by", "R. View").code == 0
    return fan


def test_nothing_changed(here: Here, made: Path) -> None:
    done = here("recheck", "r.json")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("same: the files mean what they meant, and the result is the same: pass\n")
    assert done.out.count("the same, byte for byte") == 2
    assert "reviewed by R. View" in done.out
    assert "no signature. Whoever alters a record" in done.out
    assert here("recheck", "r.json", "--bytes").code == 0


def test_a_changed_comment_is_told_apart_from_a_changed_conductor(here: Here, made: Path) -> None:
    edit(made / "unit.yaml", "invented bakery", "invented bakery in a harbour")
    done = here("recheck", "r.json")
    assert (done.code, "means the same; other bytes" in done.out) == (0, True)
    strict = here("recheck", "r.json", "--bytes")
    assert (strict.code, strict.out.partition("\n")[0]) == (
        1, "differs: the files mean the same, and are not the same byte for byte",
    )  # fmt: skip
    edit(made / "unit.yaml", "to: HTR.1, color: red", "to: HTR.1, color: blue")
    done = here("recheck", "r.json")
    assert done.code == 1
    assert "MEANS SOMETHING ELSE: conductor W2" in done.out
    assert done.out.startswith(
        "differs: what was checked is not what is here: the unit file and changed unit"
    )


def test_another_result_is_told_check_by_check(here: Here, made: Path) -> None:
    edit(made / "change.yaml", "on: DOOR.1", "on: DOOR.2")
    done = here("recheck", "r.json", "--json", "-")
    found = json.loads(done.out)
    assert (done.code, found["outcome"]) == (1, "differs")
    assert found["verdict"] == {"was": "pass", "is": "fail"}
    rows = {(d["what"], d["subject"], d["was"], d["now"]) for d in found["differences"]}
    assert ("takes-effect", "DOOR", "pass", "fail") in rows
    assert found["unit"] == {"file": "unit.yaml", "same_bytes": True, "same_meaning": True, "parts": []}
    assert (found["change"]["same_meaning"], "steps/3" in found["change"]["parts"]) == (False, True)


def test_a_record_altered_on_purpose_and_not_sealed(here: Here, fan: Path) -> None:
    assert here("record", "unit.yaml", "change-across.yaml", "-o", "r.json").code == 1
    edit(fan / "r.json", ' "verdict": "fail",\n "says"', ' "verdict": "pass",\n "says"')
    done = here("recheck", "r.json")
    assert (done.code, done.out.partition("\n")[0]) == (
        1, "differs: the record was altered: its seal does not fit its content",
    )  # fmt: skip


def test_altered_and_sealed_anew_the_result_still_tells(here: Here, fan: Path) -> None:
    assert here("record", "unit.yaml", "change-across.yaml", "-o", "r.json").code == 1
    found = json.loads((fan / "r.json").read_text(encoding="utf-8"))
    found["verdict"] = "pass"
    (fan / "r.json").write_text(make.laid_out(found | {"seal": make.seal(found)}), encoding="utf-8")
    done = here("recheck", "r.json")
    assert (done.code, "was pass; is fail" in done.out) == (1, True)


def test_a_record_laid_out_anew_is_told(here: Here, made: Path) -> None:
    found = json.loads((made / "r.json").read_text(encoding="utf-8"))
    (made / "r.json").write_text(json.dumps(found, indent=4), encoding="utf-8")
    done = here("recheck", "r.json")
    assert (done.code, "its content is as sealed, its layout is not" in done.out) == (1, True)


def test_what_was_decided_and_is_no_more(here: Here, tmp_path: Path) -> None:
    """A record that says pass where today's answer lacks a figure: only results differ, towards unknown."""
    for name in ("unit.yaml", "change-borderline-relay.yaml"):
        shutil.copy(ROOT / "examples" / "lockout" / name, tmp_path)
    assert here("record", "unit.yaml", "change-borderline-relay.yaml", "-o", "r.json").code == 3
    found = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    assert any(text.startswith("not decided: protections of HP; needs") for text in found["not_checked"])
    found["verdict"] = "pass"
    found["checks"] = [c | {"verdict": "pass"} if c["verdict"] == "unknown" else c for c in found["checks"]]
    (tmp_path / "r.json").write_text(make.laid_out(found | {"seal": make.seal(found)}), encoding="utf-8")
    done = here("recheck", "r.json")
    assert (done.code, done.out.partition("\n")[0]) == (
        3, "not decided: what the record has as decided is not decided today",
    )  # fmt: skip


def test_files_are_found_from_the_record_beside_it_or_where_they_are_said_to_be(
    here: Here, fan: Path
) -> None:
    (fan / "signed").mkdir()
    assert here("record", "unit.yaml", "change.yaml", "-o", "signed/r.json").code == 0
    assert (
        json.loads((fan / "signed" / "r.json").read_text(encoding="utf-8"))["unit"]["file"] == "../unit.yaml"
    )
    assert here("recheck", "signed/r.json").code == 0
    shutil.copy("change.yaml", fan / "signed")
    (fan / "unit.yaml").rename(fan / "as-it-was.yaml")
    (fan / "change.yaml").unlink()
    lost = here("recheck", "signed/r.json")
    assert (lost.code, lost.err.partition(": ")[0]) == (2, "signed/r.json:1:1")
    assert "the unit file ../unit.yaml of this record is not there; say where it is: --unit FILE" in lost.err
    assert here("recheck", "signed/r.json", "--unit", "as-it-was.yaml").code == 0


@pytest.mark.parametrize("out", ["r.json", "r.html", "R.JSON"])
def test_record_and_page_stand_side_by_side(here: Here, fan: Path, out: str) -> None:
    done = here("record", "unit.yaml", "change.yaml", "-o", out)
    stem = Path(out).stem
    assert done.out == f"pass: record {stem}.json, page to print {stem}.html\n"
    assert (fan / f"{stem}.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_the_same_files_and_date_give_the_same_bytes(here: Here, fan: Path) -> None:
    for name in ("a", "b"):
        here("record", "unit.yaml", "change-across.yaml", "-o", f"{name}.json", "--date", "2026-11-05")
    assert (fan / "a.json").read_bytes() == (fan / "b.json").read_bytes()
    assert (fan / "a.html").read_bytes() == (fan / "b.html").read_bytes()


REFUSED = {
    ("-o", "r.pdf"): "must end in .json or .html",
    ("-o", "r.json", "--date", "5 November"): "no date of the form YYYY-MM-DD",
    ("-o", "-", "--sign", "key"): "what is signed must be a file",
    ("-o", "no/such/folder/r.json"): "cannot be written",
}


@pytest.mark.parametrize("options", REFUSED, ids=REFUSED.values())
def test_options_that_cannot_be(here: Here, fan: Path, options: tuple[str, ...]) -> None:
    before = {*fan.iterdir()}
    done = here("record", "unit.yaml", "change.yaml", *options)
    assert done.code == 2
    assert REFUSED[options] in " ".join(done.err.replace("│", " ").split())
    assert {*fan.iterdir()} == before


def test_bad_files_are_bad_input_of_both(here: Here, made: Path) -> None:
    edit(made / "unit.yaml", "W2, from: K1.NO", "W2, from: K1.NNO")
    for command in (("record", "unit.yaml", "change.yaml", "-o", "x.json"), ("recheck", "r.json")):
        done = here(*command)
        assert (done.code, done.out) == (2, "")
        assert "unknown-terminal" in done.err
    assert not (made / "x.json").exists()
