"""What is printed and written: to a terminal, a file, a pipe that closes; and what is not."""

from __future__ import annotations

import json
import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.conftest import ROOT, wirecheck
from wirecheck import api, cli
from wirecheck.cli import output
from wirecheck.problem import BadInput

DATA = Path(__file__).parent / "data"
UNIT, CHANGE = DATA / "unit.yaml", DATA / "change.yaml"


def test_names_in_brackets_are_printed_as_they_are() -> None:
    assert "on CU-9 [bold]" in wirecheck("verify", UNIT, CHANGE).out


def test_nothing_else_beside_json() -> None:
    done = wirecheck("verify", UNIT, CHANGE, "--json", "-")
    assert json.loads(done.out)["verdict"] == "pass"
    assert done.err == ""


def test_json_file_beside_the_text(tmp_path: Path) -> None:
    out = tmp_path / "answer.json"
    out.write_text("old")
    done = wirecheck("verify", UNIT, CHANGE, "--json", out)
    assert done.out.startswith("pass: ")
    assert json.loads(out.read_text(encoding="utf-8"))["verdict"] == "pass"
    assert list(tmp_path.iterdir()) == [out]


def test_what_cannot_be_written(tmp_path: Path) -> None:
    done = wirecheck("states", UNIT, "--json", tmp_path)
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"{tmp_path}:1:1: is-directory: ")
    done = wirecheck("states", UNIT, "--json", tmp_path / "none" / "a.json")
    assert (done.code, done.out) == (2, "")
    assert "cannot-write" in done.err
    assert list(tmp_path.iterdir()) == []


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "a.json"
    out.write_text("old")

    def fail(self: Path, target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(BadInput, match="No space left"):
        output.write(out, "new")
    assert out.read_text() == "old"
    assert list(tmp_path.iterdir()) == [out]


def test_a_new_file_has_ordinary_rights_and_a_link_stays(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    output.write(real, "a")
    mask = os.umask(0)
    os.umask(mask)
    assert real.stat().st_mode & 0o777 == 0o666 & ~mask
    link.symlink_to(real)
    real.chmod(0o600)
    output.write(link, "b")
    assert link.is_symlink()
    assert real.read_text() == "b"
    assert real.stat().st_mode & 0o777 == 0o600


def on_a_terminal(**env: str) -> str:
    """What `verify` prints on a terminal of 80 columns."""
    ours, theirs = pty.openpty()
    environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS", "TERM")}
    with subprocess.Popen(
        [sys.executable, "-m", "wirecheck", "verify", str(UNIT), str(CHANGE)],
        stdout=theirs, stderr=theirs, cwd=ROOT,
        env={**environment, "COLUMNS": "80", "TERM": "xterm", "PYTHONUTF8": "1", **env},
    ) as process:  # fmt: skip
        os.close(theirs)
        found = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:
                break
            if not part:
                break
            found += part
        process.wait()
    os.close(ours)
    return found.decode().replace("\r\n", "\n")


def test_colour_only_on_a_terminal_that_wants_it() -> None:
    plain = wirecheck("verify", UNIT, CHANGE).out
    coloured = on_a_terminal()
    assert coloured.startswith("\x1b[1;32mpass\x1b[0m: ")
    assert on_a_terminal(NO_COLOR="1") == plain
    assert on_a_terminal(TERM="dumb") == plain


def test_a_reader_that_goes_away() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "wirecheck", "devices"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 0


def test_standard_output_closed_or_full() -> None:
    command = f'"{sys.executable}" -m wirecheck devices'
    closed = subprocess.run(["sh", "-c", f"{command} >&-"], cwd=ROOT, capture_output=True, check=False)  # noqa: S607
    assert (closed.returncode, closed.stderr) == (0, b"")
    full = subprocess.run(["sh", "-c", f"{command} >/dev/full"], cwd=ROOT, capture_output=True, check=False)  # noqa: S607
    assert full.returncode == 2
    assert full.stderr.startswith(b"-:1:1: cannot-write: ")


def test_an_ascii_terminal() -> None:
    done = wirecheck("lift", UNIT, "FAN", PYTHONUTF8="0", LC_ALL="C", PYTHONIOENCODING="ascii")
    assert done.code == 0
    assert done.out.startswith("Lift W7 at K1.T2 ? yellow, 18 AWG")


def test_what_could_steer_the_terminal_is_not_printed(tmp_path: Path) -> None:
    unit = tmp_path / "unit.yaml"
    unit.write_text('unit: {name: "a\\e[31mb\\nc"}\n', encoding="utf-8")
    done = wirecheck("states", unit)
    assert done.code == 0
    assert "\x1b" not in done.out


def test_our_own_fault(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    def broken(*args: object) -> None:
        raise ZeroDivisionError("oh")

    monkeypatch.setattr(api, "verify", broken)
    assert cli.run(["verify", "a", "b"]) == 70
    told = capfd.readouterr()
    assert told.out == ""
    assert "ZeroDivisionError: oh" in told.err
    assert "fault of wirecheck, not of your files" in told.err
    assert "keep the files" in told.err.replace("\n", " ")


def test_interrupted(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    def interrupted(*args: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(api, "verify", interrupted)
    assert cli.run(["verify", "a", "b"]) == 130
    assert capfd.readouterr() == ("", "")


HEEDS_SIGINT = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
from wirecheck.cli import main
main(sys.argv[1:])
"""


def write_end(fifo: Path) -> int:
    """The writing end of a named pipe, once somebody has opened the other to read."""
    until = time.monotonic() + 60
    while True:
        try:
            return os.open(fifo, os.O_WRONLY | os.O_NONBLOCK)
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)


def test_interrupted_by_a_signal(tmp_path: Path) -> None:
    fifo = tmp_path / "unit.yaml"
    os.mkfifo(fifo)  # reading it waits, so the signal finds the command at work
    with subprocess.Popen(
        # A shell's background job ignores the signal, and so would what it starts.
        [sys.executable, "-c", HEEDS_SIGINT, "states", str(fifo)],
        stderr=subprocess.PIPE,
        cwd=ROOT,
    ) as process:
        end = write_end(fifo)
        process.send_signal(signal.SIGINT)
        # A signal that comes between Python's opening and its reading is told once the read ends.
        os.close(end)
        try:
            _, told = process.communicate(timeout=60)
        finally:
            process.kill()
        assert (process.returncode, told) == (130, b"")


@pytest.mark.parametrize("columns", ["40", "80", "200"])
def test_every_width(columns: str) -> None:
    done = wirecheck("verify", UNIT, CHANGE, COLUMNS=columns)
    most = max(map(len, done.out.splitlines()))
    assert most <= min(int(columns), 100)


@pytest.mark.parametrize("module", ["wirecheck", "wirecheck.cli"])
def test_as_a_module(module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", module, "--help"], cwd=ROOT, capture_output=True, check=False
    )
    assert done.returncode == 0
    assert done.stdout.startswith(b"Usage: wirecheck ")
