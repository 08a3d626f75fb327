"""python -m tests.benchmark.peak UNIT CHANGE: megabytes that the comparison takes above the read files."""

import gc
import resource
import sys
from pathlib import Path

from tests.benchmark import ours
from tests.benchmark.generator import Job
from tests.benchmark.measure import GIGABYTES, hold_to


def held() -> float:
    """The most that this process has held so far, MB. Linux counts in KiB, macOS in bytes."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1 << 20 if sys.platform == "darwin" else 1 << 10)


def main() -> None:
    hold_to(GIGABYTES)
    changed = ours.load(Job(*map(Path, sys.argv[1:])))
    gc.collect()
    before = held()
    try:
        ours.compared(changed)
    except MemoryError:
        raise SystemExit(f"not done in {GIGABYTES:g} GB") from None
    print(held() - before)


if __name__ == "__main__":
    main()
