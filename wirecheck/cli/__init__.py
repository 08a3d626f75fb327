"""The command line: options, one call of `api`, print, write, exit."""

from __future__ import annotations

import gc
import sys
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Sequence

# contract section 6; 70 and 130 as a shell knows them (sysexits.h EX_SOFTWARE; 128 + SIGINT).
PASS, FAIL, BAD_INPUT, NOT_DECIDED, OUR_FAULT, INTERRUPTED = 0, 1, 2, 3, 70, 130

# Nearly all that a run makes stays until its end, and little of it is in cycles: to look for them as often as
# Python does by itself took an eighth of the time of a short run, and once more at the end another eighth.
COLLECTED = (200_000, 20, 20)


def main(args: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and exit."""
    gc.set_threshold(*COLLECTED)
    code = run(args)
    gc.freeze()
    sys.exit(code)


def run(args: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    try:
        return _run(args)
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 an uncaught one would exit 1, which means *fail*
        return _told(error, sys.argv[1:] if args is None else args)


def _run(args: Sequence[str] | None) -> int:
    from wirecheck.cli.app import app

    code = app(args=args, standalone_mode=False, prog_name="wirecheck")
    return code if isinstance(code, int) else PASS


def _told(error: Exception, args: Sequence[str]) -> int:
    """Says what went wrong, and whose fault it is."""
    from wirecheck.cli.output import complain, width
    from wirecheck.engine.answers import TooMany
    from wirecheck.problem import BadInput, render

    try:
        if isinstance(error, BadInput):
            complain("\n".join(render(problem, error.texts, width()) for problem in error.problems))
            return BAD_INPUT
        if isinstance(error, TooMany):
            complain(f"not decided: too many states to look at: {error}")
            return NOT_DECIDED
        return _usage(error) or _our_fault(error, args)
    except Exception:  # noqa: BLE001 standard error itself cannot be written
        return OUR_FAULT


def _usage(error: Exception) -> int:
    """A usage error, told in the words of the command line library; 0 where it is none."""
    show = getattr(error, "show", None)
    if show is None or not isinstance(getattr(error, "exit_code", None), int):
        return 0
    show()
    return BAD_INPUT


def _our_fault(error: Exception, args: Sequence[str]) -> int:
    import traceback

    from wirecheck.cli.output import complain, kept
    from wirecheck.engine.fast.replay import Disagreement

    told = "".join(traceback.format_exception(error))
    where = ""
    if isinstance(error, Disagreement):
        where = f" They are kept in {kept(args)}; with --plain the plain evaluator answers alone."
    complain(
        f"{told}\nThis is a fault of wirecheck, not of your files, and no verdict. Please keep "
        f"the files, the command and the lines above, and report them.{where}"
    )
    return OUR_FAULT
