"""The command line: options, one call of `api`, print, write, exit."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wirecheck.problem import BadInput

# contract section 6; 70 and 130 as a shell knows them (sysexits.h EX_SOFTWARE; 128 + SIGINT).
PASS, FAIL, BAD_INPUT, NOT_DECIDED, OUR_FAULT, INTERRUPTED = 0, 1, 2, 3, 70, 130


def main(args: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and exit."""
    sys.exit(run(args))


def run(args: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    try:
        return _run(args)
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 an uncaught one would exit 1, which means *fail*
        return _our_fault(error)


def _run(args: Sequence[str] | None) -> int:
    from wirecheck.cli.app import app
    from wirecheck.problem import BadInput

    try:
        code = app(args=args, standalone_mode=False, prog_name="wirecheck")
    except BadInput as bad:
        return _bad_input(bad)
    except Exception as error:
        return _other(error)
    return code if isinstance(code, int) else PASS


def _other(error: Exception) -> int:
    """A usage error, told in the words of the command line library; more states than can be listed."""
    from wirecheck.cli.output import complain
    from wirecheck.engine.answers import TooMany

    if isinstance(error, TooMany):
        complain(f"not decided: too many states to look at: {error}")
        return NOT_DECIDED
    show = getattr(error, "show", None)
    if show is None or not isinstance(getattr(error, "exit_code", None), int):
        raise error
    show()
    return BAD_INPUT


def _bad_input(bad: BadInput) -> int:
    from wirecheck.cli.output import complain, width
    from wirecheck.problem import render

    complain("\n".join(render(problem, bad.texts, width()) for problem in bad.problems))
    return BAD_INPUT


def _our_fault(error: Exception) -> int:
    import traceback

    from wirecheck.cli.output import complain

    told = "".join(traceback.format_exception(error))
    complain(
        f"{told}\nThis is a fault of wirecheck, not of your files, and no verdict. Please keep "
        "the files, the command and the lines above, and report them."
    )
    return OUR_FAULT
