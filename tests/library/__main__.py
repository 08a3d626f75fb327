"""python -m tests.library [KIND/CHANGE …]: the acceptance lists of right changes, against `expected.yaml`.

Takes minutes. Prints each with the seconds that it took, and exits with 1 where a list is not as long as
`observations` says or leaves more mistakes that matter unshown than `not_shown` says.
"""

from __future__ import annotations

import sys
import time

from tests.library.shelf import Case, cases
from wirecheck import api


def wrong(case: Case) -> str:
    """What is not as expected of the list of one change, "" where all is."""
    answer = api.mistakes(str(case.unit.path), str(case.path))
    found, told = len(answer.acceptance.steps), case.expected.get("observations")
    left, known = len(answer.not_shown), int(case.expected.get("not_shown", 0))
    said = [f"{found} observations, not {told}"] if str(found) != told else []
    said += [f"{left} mistakes not shown, not {known}"] if left != known else []
    return "; ".join(said)


def main() -> None:
    asked = sys.argv[1:]
    bad = 0
    for case in cases():
        if case.right and (not asked or str(case) in asked):
            began = time.perf_counter()
            says = wrong(case)
            bad += bool(says)
            print(f"{time.perf_counter() - began:6.0f} s  {case}  {says or 'as expected'}", flush=True)
    raise SystemExit(1 if bad else 0)


if __name__ == "__main__":
    main()
