"""python -m tests.benchmark.peak UNIT CHANGE: megabytes that the comparison takes above the read files."""

import gc
import sys
from pathlib import Path

from tests.benchmark import ours
from tests.benchmark.generator import Job
from tests.benchmark.measure import GIGABYTES, hold_to

# Not `getrusage`: its peak is handed down from the process that started this one.
STATUS = Path("/proc/self/status")


def held(what: str) -> float:
    """VmRSS, what this process holds, or VmHWM, the most it has held: MB."""
    row = next(line for line in STATUS.read_text(encoding="ascii").splitlines() if line.startswith(what))
    return int(row.split()[1]) / 1024


def main() -> None:
    if not STATUS.exists():
        raise SystemExit(f"there is no {STATUS} here to read memory from")
    hold_to(GIGABYTES)
    changed = ours.load(Job(*map(Path, sys.argv[1:])))
    gc.collect()
    before = held("VmRSS")
    try:
        ours.compared(changed)
    except MemoryError:
        raise SystemExit(f"not done in {GIGABYTES:g} GB") from None
    print(held("VmHWM") - before)


if __name__ == "__main__":
    main()
