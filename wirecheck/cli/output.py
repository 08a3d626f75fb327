"""The one place that prints, and the one that writes."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from wirecheck.report.lines import Line

STDOUT = "-"
NARROWEST, WIDEST = 40, 100
COLOURS = {"head": "1", "pass": "1;32", "fail": "1;31", "unknown": "1;33", "note": "36"}


def width() -> int:
    """Columns to fold text to: the terminal's, 80 where there is none."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((80, 24)).columns))


def show(lines: Iterable[Line]) -> None:
    """Print lines to standard output, coloured only on a terminal that wants it."""
    coloured = _coloured(sys.stdout)
    say("\n".join(_painted(line) if coloured else clean(line.text) for line in lines))


def _painted(line: Line) -> str:
    if not line.style:
        return clean(line.text)
    marked = len(line.text) if line.marked is None else line.marked
    start, rest = line.text[:marked], line.text[marked:]
    return f"\x1b[{COLOURS[line.style]}m{clean(start)}\x1b[0m{clean(rest)}"


def _coloured(stream: TextIO | None) -> bool:
    return (
        stream is not None
        and stream.isatty()
        and not os.environ.get("NO_COLOR")
        and os.environ.get("TERM") != "dumb"
    )


def clean(text: str) -> str:
    """Text of a user's file without what could steer the terminal; a tab is one blank."""
    from wirecheck.report.html import inert

    return "\n".join(inert(line) for line in text.split("\n"))


def say(text: str) -> None:
    """Print text to standard output."""
    _put(text + "\n", sys.stdout)


def prompt(text: str) -> str | None:
    """Ask on standard output, and the line answered on standard input; None where there is none any more."""
    _put(clean(text) + " ", sys.stdout)
    line = sys.stdin.readline() if sys.stdin is not None else ""
    return line.strip() if line else None


def is_terminal() -> bool:
    """Does somebody read what is asked, and can they answer?"""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def complain(text: str) -> None:
    """Print text to standard error."""
    _put(clean(text) + "\n", sys.stderr)


def _put(text: str, stream: TextIO | None) -> None:
    """Write text in the stream's encoding, `?` for what it lacks."""
    if stream is not None:  # closed by the caller's shell
        _put_bytes(text.encode(stream.encoding or "utf-8", "replace"), stream)


def _put_bytes(data: bytes, stream: TextIO) -> None:
    """Write; a reader that has gone away (`| head`) ends nothing but the printing. Raises BadInput."""
    try:
        stream.flush()
        stream.buffer.write(data)
        stream.flush()
    except BrokenPipeError:
        _silence(stream)
    except OSError as error:
        _silence(stream)
        message = f"standard output cannot be written: {error.strerror}."
        raise BadInput([Problem("cannot-write", message, Place(STDOUT))]) from None


def _silence(stream: TextIO) -> None:
    """What is still buffered goes nowhere, so that closing the stream at exit says nothing more."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def deliver(text: str, target: str) -> None:
    """Write text to a file, or to standard output as UTF-8 where the target is `-`. Raises BadInput."""
    if target != STDOUT:
        write(Path(target), text)
    elif sys.stdout is not None:
        _put_bytes(text.encode(), sys.stdout)


def write(path: Path, content: str | bytes) -> None:
    """Write a file aside, then put it in place, so that nothing is left half written. Raises BadInput.

    Text is written as UTF-8, its lines ended as they are.
    """
    place = Place(str(path))
    if path.is_dir():
        message = "this is a directory; give the name of a file in it."
        raise BadInput([Problem("is-directory", message, place)])
    try:
        _write_aside(path, content.encode() if isinstance(content, str) else content)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "not the name of a file"
        raise BadInput([Problem("cannot-write", f"the file cannot be written: {why}.", place)]) from None


@contextmanager
def adding(path: Path) -> Iterator[Callable[[str], None]]:
    """Add to the end of a file, each text written before the next; what is there stays. Raises BadInput."""
    try:
        with path.open("a", encoding="utf-8", newline="\n") as stream:

            def add(text: str) -> None:
                stream.write(text)
                stream.flush()

            yield add
    except OSError as error:
        message = f"the file cannot be written: {error.strerror}."
        raise BadInput([Problem("cannot-write", message, Place(str(path)))]) from None


def folder(path: Path) -> None:
    """Make a folder to write into, where there is none. Raises BadInput."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "not the name of a folder"
        message = f"the folder cannot be made: {why}."
        raise BadInput([Problem("cannot-write", message, Place(str(path)))]) from None


def _write_aside(path: Path, data: bytes) -> None:
    path = path.resolve()  # a link is written through, not replaced
    handle, aside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        Path(aside).chmod(_mode(path))
        Path(aside).replace(path)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise


def _mode(path: Path) -> int:
    """The rights of the file that is replaced, else those that a new file gets here."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def same_file(one: str, other: str) -> bool:
    """Are these two names of one file that is there?"""
    try:
        return Path(one).samefile(other)
    except (OSError, ValueError):
        return False


def kept(args: Iterable[str]) -> str:
    """A new folder with a copy of every file that these arguments name."""
    folder = tempfile.mkdtemp(prefix="wirecheck-report-")
    for path in (Path(a) for a in args):
        if path.is_file():
            shutil.copy(path, folder)
    return folder
