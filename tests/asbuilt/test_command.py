"""`apply` as a command: what it says, what it will not write over."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import pytest

from wirecheck import api, cli
from wirecheck.api import starting

if TYPE_CHECKING:
    from pathlib import Path

CHANGE = "change: {name: A lamp less}\nsteps:\n  - remove: {wire: C2.1}\n"
BAD = "change: {name: C}\nsteps:\n  - lift: {wire: W4, end: K1.T1}\n"


@pytest.fixture
def files(tmp_path: Path, proofer: str) -> tuple[Path, Path]:
    unit, change = tmp_path / "unit.yaml", tmp_path / "change.yaml"
    unit.write_text(proofer, encoding="utf-8")
    change.write_text(CHANGE, encoding="utf-8")
    return unit, change


def run(files: tuple[Path, Path], *more: str | Path) -> int:
    return cli.run(["apply", *map(str, (*files, *more))])


def test_it_writes_and_says_what(files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]) -> None:
    out = files[0].with_name("new.yaml")
    assert run(files, "-o", out) == 0
    told = " ".join(capfd.readouterr().out.split())
    assert f"{out}: Proofer, as changed by: A lamp less 1 step carried out" in told
    assert "`wirecheck verify` tells that" in told
    assert datetime.datetime.now().astimezone().date().isoformat() in out.read_text(encoding="utf-8")
    assert "C2.1" not in api.unit_of(str(out)).conductors
    assert sorted(p.name for p in files[0].parent.iterdir()) == ["change.yaml", "new.yaml", "unit.yaml"]


def test_to_standard_output_it_is_the_file_alone(
    files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(files, "-o", "-", "--date", "in May") == 0
    text = capfd.readouterr().out
    assert text.startswith("# The proofer's panel")
    assert "#   date: in May\n" in text


def test_the_unit_is_written_over_only_when_that_is_said(
    files: tuple[Path, Path], proofer: str, capfd: pytest.CaptureFixture[str]
) -> None:
    linked = files[0].with_name("other.yaml")
    linked.symlink_to(files[0])
    for out in (files[0], linked):
        assert run(files, "-o", out) == cli.BAD_INPUT
        assert "--overwrite" in capfd.readouterr().err
        assert files[0].read_text(encoding="utf-8") == proofer
    assert run(files, "-o", files[0], "--overwrite") == 0
    assert "# Changed: A lamp less" in files[0].read_text(encoding="utf-8")


def test_the_change_is_never_written_over(
    files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(files, "-o", files[1], "--overwrite") == cli.BAD_INPUT
    assert "the change itself" in capfd.readouterr().err
    assert files[1].read_text(encoding="utf-8") == CHANGE


def test_what_a_unit_file_cannot_say_leaves_no_file(
    files: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    files[1].write_text(BAD, encoding="utf-8")
    assert run(files, "-o", files[0].with_name("new.yaml")) == cli.BAD_INPUT
    assert ":3:5: not-in-a-unit-file: the end of W4 from K1.T1 is left loose" in capfd.readouterr().err
    assert len(list(files[0].parent.iterdir())) == 2


def test_a_file_that_reads_otherwise_is_our_fault_and_is_not_written(
    files: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(
        "wirecheck.report.asbuilt.wires.Wires._name", lambda self, node: node.replace("T1", "T2")
    )
    files[1].write_text(BAD + "  - land: {wire: W4, on: K1.L1}\n", encoding="utf-8")
    assert run(files, "-o", files[0].with_name("new.yaml")) == cli.OUR_FAULT
    assert starting.NotWritten.__name__ in capfd.readouterr().err
    assert len(list(files[0].parent.iterdir())) == 2
