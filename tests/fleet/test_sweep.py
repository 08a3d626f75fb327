"""The whole of a sweep: its lines, its restart, its exit code, its other forms."""

from __future__ import annotations

import hashlib
import json
import os
import xml.etree.ElementTree as Xml
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema
import junitparser
import pytest

from tests.fleet.conftest import BRIDGED, GOOD, NOT_DONE, UNDECIDED, UNIT, put
from wirecheck import api, cli
from wirecheck.api import fleet as work
from wirecheck.report.fleet import junit, line, page, sarif

if TYPE_CHECKING:
    from wirecheck.design.fleet import Job

SCHEMA = json.loads((Path(__file__).parent / "data" / "sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8"))
HOSTILE = "<script>alert(1)</script>\\u202e\\x1b[31m&amp; ]]>"


def lines(out: Path) -> list[dict[str, Any]]:
    return [json.loads(row) for row in (out / "results.jsonl").read_text(encoding="utf-8").splitlines()]


def verdicts(out: Path) -> dict[tuple[str, str | None], str]:
    return {(row["unit"], row["change"]): row["verdict"] for row in lines(out)}


@pytest.fixture
def swept(fleet: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> Path:
    """The results of the fleet, by one process."""
    out = tmp_path / "out"
    assert cli.run(["sweep", str(fleet), "-o", str(out), "--jobs", "1"]) == cli.FAIL
    told = capfd.readouterr().out
    assert told.startswith("4 pairs: 1 FAIL, 1 bad input, 2 pass\n")
    assert "FAIL  one/bridged.yaml, on one/unit.yaml" in told
    return out


def test_a_line_for_each_pair(swept: Path, fleet: Path) -> None:
    assert verdicts(swept) == {
        ("one/unit.yaml", "one/bridged.yaml"): "fail",
        ("two/unit.yaml", "two/changes/wrong.yaml"): "bad input",
        ("one/unit.yaml", "one/good.yaml"): "pass",
        ("three/unit.yaml", None): "pass",
    }
    for row in lines(swept):
        files = {"unit": row["unit"], "change": row["change"]}
        assert row["digests"] == {
            name: None if path is None else hashlib.sha256((fleet / path).read_bytes()).hexdigest()
            for name, path in files.items()
        }
        assert row["seconds"] >= 0
        assert row["version"] == work.version()


def test_findings_have_their_place(swept: Path) -> None:
    """The bridge is the first step, line 3; the sentence stands in line 12 of the unit."""
    (row,) = (r for r in lines(swept) if r["verdict"] == "fail")
    found = {f["check"]: [(p["file"], p["line"]) for p in (f["at"], f["about"])] for f in row["findings"]}
    assert found["keeps"] == [("one/bridged.yaml", 3), ("one/unit.yaml", 6)]
    assert found["expects"] == [("one/bridged.yaml", 3), ("one/unit.yaml", 12)]
    (refused,) = (r for r in lines(swept) if r["verdict"] == "bad input")
    (problem,) = refused["problems"]
    assert (problem["code"], problem["at"]["file"], problem["at"]["line"]) == (
        "unknown-wire", "two/changes/wrong.yaml", 3,
    )  # fmt: skip


def test_verdicts_are_those_of_verify(swept: Path, fleet: Path) -> None:
    for row in lines(swept):
        if row["change"] and row["verdict"] in ("pass", "fail", "unknown"):
            answer = api.verify(str(fleet / row["unit"]), str(fleet / row["change"]))[1]
            assert row["verdict"] == answer.verdict
            bad = {(f.check, f.subject, f.says) for f in answer.findings if f.verdict in ("fail", "unknown")}
            assert {(f["check"], f["subject"], f["says"]) for f in row["findings"]} == bad


def test_started_again_it_does_only_what_is_new(
    swept: Path, fleet: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    done: list[str] = []
    real = work.judged
    monkeypatch.setattr(work, "judged", lambda root, job: done.append(job.name[1]) or real(root, job))
    args = ["sweep", str(fleet), "-o", str(swept), "--jobs", "1"]
    assert cli.run(args) == cli.FAIL
    assert done == []
    assert capfd.readouterr().out.startswith("4 pairs, 4 of them from before: ")
    put(fleet, one__bridged=GOOD)
    cli.run(args)
    assert [Path(name).name for name in done] == ["bridged.yaml"]
    assert verdicts(swept)["one/unit.yaml", "one/bridged.yaml"] == "pass"
    cli.run([*args, "--anew"])
    assert len(done) == 5
    monkeypatch.setattr(work, "version", lambda: "9.9")
    cli.run(args)
    assert len(done) == 9


def test_broken_off_it_goes_on_where_it_ended(
    fleet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third job is interrupted; a line that was cut short is done again."""
    out, done = tmp_path / "out", []
    real = work.judged

    def judged(root: str, job: Job) -> line.Line:
        done.append(job.name)
        if len(done) == 3:
            raise KeyboardInterrupt
        return real(root, job)

    monkeypatch.setattr(work, "judged", judged)
    args = ["sweep", str(fleet), "-o", str(out), "--jobs", "1"]
    assert cli.run(args) == cli.INTERRUPTED
    assert len(lines(out)) == 2
    assert not (out / "summary.html").exists()
    text = (out / "results.jsonl").read_text(encoding="utf-8")
    (out / "results.jsonl").write_text(text[:-20] + '\n{"verdict": 5}\n[]\nnull\n', encoding="utf-8")
    assert cli.run(args) == cli.FAIL
    assert len(done) == 3 + 3
    assert len(lines(out)) == 4


@pytest.mark.parametrize(("texts", "code"), [
    ({"change": GOOD}, cli.PASS),
    ({"change": UNDECIDED}, cli.NOT_DECIDED),
    ({"change": NOT_DONE, "other": UNDECIDED}, cli.BAD_INPUT),
    ({"change": NOT_DONE, "other": BRIDGED}, cli.FAIL),
])  # fmt: skip
def test_the_exit_code_tells_the_worst(texts: dict[str, str], code: int, tmp_path: Path) -> None:
    put(tmp_path / "jobs", unit=UNIT, **texts)
    assert cli.run(["sweep", str(tmp_path / "jobs"), "-o", str(tmp_path / "out"), "--jobs", "1"]) == code


def test_a_fault_of_ours_stops_nothing_and_is_the_worst(
    fleet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def verified(job: Job) -> None:
        raise ZeroDivisionError("of all things")

    monkeypatch.setattr(work, "_verified", verified)
    out = tmp_path / "out"
    assert cli.run(["sweep", str(fleet), "-o", str(out), "--jobs", "1"]) == cli.OUR_FAULT
    assert {(row["verdict"], row["says"]) for row in lines(out)} == {
        ("fault", "ZeroDivisionError: of all things")
    }


def test_processes_side_by_side_say_the_same(swept: Path, fleet: Path, tmp_path: Path) -> None:
    out = tmp_path / "other"
    assert cli.run(["sweep", str(fleet), "-o", str(out), "--jobs", "2"]) == cli.FAIL
    one, other = (
        [{k: v for k, v in row.items() if k != "seconds"} for row in lines(o)] for o in (swept, out)
    )
    assert one == other


def dies(root: str, job: Job) -> line.Line:
    """A process that is ended from outside, as by a machine without memory."""
    if job.name[1].endswith("bridged.yaml"):
        os._exit(9)
    return {"unit": job.name[0], "change": job.name[1], "verdict": "pass", "seconds": 0.0}


def test_a_process_that_dies_takes_no_other_job_with_it(fleet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "judged", dies)
    found = [row for row, _ in api.swept(api.sweep_of(str(fleet)), (), 2)]
    assert sorted(row["verdict"] for row in found) == ["fault", "pass", "pass", "pass"]
    (dead,) = (row for row in found if row["verdict"] == "fault")
    assert (dead["change"], dead["says"]) == (
        "one/bridged.yaml",
        "the process died; was there memory enough?",
    )


# --- the other forms ------------------------------------------------------------------------------------


def test_sarif_is_valid_by_the_published_schema(swept: Path) -> None:
    log = json.loads((swept / "results.sarif").read_text(encoding="utf-8"))
    jsonschema.Draft4Validator(SCHEMA).validate(log)
    (run,) = log["runs"]
    ids = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    assert {r["ruleId"] for r in run["results"]} == set(ids)
    assert all(ids[r["ruleIndex"]] == r["ruleId"] for r in run["results"])
    assert {(r["ruleId"], r["level"]) for r in run["results"]} >= {
        ("keeps", "error"),
        ("unknown-wire", "error"),
    }
    (keeps,) = (r for r in run["results"] if r["ruleId"] == "keeps")
    assert keeps["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "one/bridged.yaml", "uriBaseId": "%SRCROOT%"},
        "region": {"startLine": 3, "startColumn": 5, "endColumn": 40},
    }
    assert keeps["relatedLocations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "one/unit.yaml"


def test_the_schema_refuses_what_is_not_sarif(swept: Path) -> None:
    log = json.loads((swept / "results.sarif").read_text(encoding="utf-8"))
    log["runs"][0]["results"][0]["level"] = "bad"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft4Validator(SCHEMA).validate(log)


def test_every_check_that_is_not_decided_is_a_warning(tmp_path: Path) -> None:
    put(tmp_path / "jobs", **{"unit": UNIT, "a b": UNDECIDED})
    found = [row for row, _ in api.swept(api.sweep_of(str(tmp_path / "jobs")), (), 1)]
    log = sarif.log(found, "not installed", api.titles())
    jsonschema.Draft4Validator(SCHEMA).validate(log)
    assert {r["level"] for r in log["runs"][0]["results"]} == {"warning"}
    uris = {
        r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in log["runs"][0]["results"]
    }
    assert uris == {"a%20b.yaml"}


def test_junit_as_another_library_reads_it(swept: Path) -> None:
    suites = junitparser.JUnitXml.fromfile(str(swept / "results.xml"))
    assert (suites.tests, suites.failures, suites.errors, suites.skipped) == (4, 1, 1, 0)
    for suite in suites:
        told = suite.tests, suite.failures, suite.errors
        suite.update_statistics()
        assert told == (suite.tests, suite.failures, suite.errors)
    cases = {(case.classname, case.name): case.result for suite in suites for case in suite}
    (failure,) = cases["one/unit.yaml", "one/bridged.yaml"]
    assert isinstance(failure, junitparser.Failure)
    assert "one/bridged.yaml:3:5: keeps: LA: off before, on after" in failure.text
    assert cases["three/unit.yaml", "as it stands"] == []
    (error,) = cases["two/unit.yaml", "two/changes/wrong.yaml"]
    assert isinstance(error, junitparser.Error)
    assert error.text.startswith("two/changes/wrong.yaml:3:18: unknown-wire: ")


def test_what_is_not_decided_is_no_pass_for_junit() -> None:
    row = line.NOTHING | {"unit": "u", "change": "c", "verdict": "unknown", "says": "x", "seconds": 1.0}
    root = Xml.fromstring(junit.xml([row]))  # noqa: S314 - our own
    assert root[0].get("failures") == "1"
    assert root[0][0][0].get("type") == "not decided"


def test_a_hostile_name_is_inert_in_every_form(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    change = f'change: {{name: Hostile}}\nsteps:\n  - lift: {{wire: "{HOSTILE}", end: LA.1}}\n'
    put(tmp_path / "jobs", unit=UNIT, change=change)
    out = tmp_path / "out"
    assert cli.run(["sweep", str(tmp_path / "jobs"), "-o", str(out), "--jobs", "1"]) == cli.BAD_INPUT
    told = capfd.readouterr().out
    html, xml = ((out / name).read_text(encoding="utf-8") for name in ("summary.html", "results.xml"))
    for text in (told, html, xml):
        assert "\u202e" not in text
        assert "\x1b" not in text
    assert "<script" not in html
    assert "&lt;script&gt;" in html
    assert "<script" in Xml.fromstring(xml)[0][0][0].get("message", "")  # noqa: S314 - our own
    jsonschema.Draft4Validator(SCHEMA).validate(
        json.loads((out / "results.sarif").read_text(encoding="utf-8"))
    )


def test_the_page_names_every_pair_the_worst_first(swept: Path) -> None:
    html = (swept / "summary.html").read_text(encoding="utf-8")
    at = [html.index(f"<td>{name}</td>") for name in
          ("one/bridged.yaml", "two/changes/wrong.yaml", "one/good.yaml", "as it stands")]  # fmt: skip
    assert at == sorted(at)
    assert "<b>1 FAIL</b>, <b>1 bad input</b>, <b>2 pass</b>" in html
    assert "default-src 'none'" in html
    assert 'keeps: LA: off before, on after\n<span class="small">(at 3:5)</span>' in html


def test_the_screen_tells_how_many_more_there_are() -> None:
    rows = [
        {"unit": "u", "change": f"c{k:02}", "verdict": "fail", "says": "no", "seconds": 0.0}
        for k in range(14)
    ]
    text = "\n".join(shown.text for shown in page.screen(rows, 0, "out", 80))
    assert "c09" in text
    assert "c10" not in text
    assert "and 4 more" in text
