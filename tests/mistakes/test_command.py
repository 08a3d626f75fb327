"""`wirecheck mistakes`, on the command line."""

from __future__ import annotations

import json

from tests.cli.conftest import ROOT, wirecheck

PUMPS = ROOT / "examples" / "two-pumps"


def test_json() -> None:
    done = wirecheck("mistakes", PUMPS / "unit.yaml", PUMPS / "change.yaml", "--json", "-")
    assert (done.code, done.err) == (0, "")
    answer = json.loads(done.out)
    ids = {m["id"] for m in answer["mistakes"]}
    assert answer["method"] == "exact"
    assert [s["step"] for s in answer["acceptance"]] == [1, 2]
    assert answer["not_shown"] == []
    for mistake in answer["mistakes"]:
        shown = [s["step"] for s in answer["acceptance"] if mistake["id"] in s["shows"]]
        assert mistake["shown_by"] == shown
        assert mistake["verify"]["verdict"] in ("pass", "fail", "unknown")
    for step in answer["acceptance"]:
        assert set(step) == {"step", "do", "observe", "expect", "shows"}
        assert set(step["shows"]) <= ids


def test_page() -> None:
    done = wirecheck("mistakes", PUMPS / "unit.yaml", PUMPS / "change.yaml")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("85 of 85 mistakes that matter show in 2 observations")
    assert "   1. Before power: DS open, F1 closed, FL1 open, FL2 closed; then power on;" in done.out
    assert "look at which loads run: P1 off, P2 runs" in done.out
    assert max(map(len, done.out.splitlines())) <= 80


def test_bad_input_is_told_as_by_verify() -> None:
    done = wirecheck("mistakes", PUMPS / "unit.yaml", PUMPS / "unit.yaml")
    assert done.code == 2
    assert "Traceback" not in done.err
