"""Many units and changes at once. All raise BadInput for what is wrong with the folder or the list itself."""

from __future__ import annotations

import hashlib
import os
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from concurrent.futures import Future, ProcessPoolExecutor

    from wirecheck.circuit.graph import Changed
    from wirecheck.design.fleet import Job
    from wirecheck.report.fleet.line import Line


class Sweep(Struct, frozen=True):
    """The jobs of a folder. root: what the names in the lines are told from."""

    root: Path
    jobs: tuple[Job, ...]


def sweep_of(folder: str, pairs: str | None = None, out: str | None = None) -> Sweep:
    """Every change with the units it is for, and each unit without a change as it stands; or a list of pairs.

    A change is for the unit beside it, else for those of the next folder above; where there are several, for
    those on which its steps can be carried out, and for the first where that is none.
    """
    from wirecheck.design.fleet import Job, found_in, listed, nearest

    root = Path(folder)
    _there(root, folder)
    if pairs is not None:
        return Sweep(root, listed(pairs))
    found = found_in(root, Path(out) if out else None)
    jobs: list[Job] = []
    for change in found.changes:
        near = nearest(change, found.units, root)
        fits = near if len(near) < 2 else [u for u in near if _fits(u, change)] or near[:1]
        jobs += [Job(unit, change) for unit in fits] or [Job(change.parent / "unit.yaml", change)]
    with_change = {job.unit for job in jobs}
    jobs += [Job(unit) for unit in found.units if unit not in with_change]
    if not jobs:
        message = (
            "no unit and no change is in this folder: no .yaml file with `unit` or `change` at its head."
        )
        raise BadInput([Problem("nothing-to-sweep", message, Place(folder))])
    return Sweep(root, tuple(sorted(jobs, key=lambda job: job.name)))


def _there(root: Path, folder: str) -> None:
    try:
        if root.is_dir():
            return
    except (OSError, ValueError):
        pass
    message = "there is no such folder; a folder with units and changes was expected."
    raise BadInput([Problem("no-such-folder", message, Place(folder.replace("\0", "?")))])


def _fits(unit: Path, change: Path) -> bool:
    """Can the steps of a change be carried out on a unit?"""
    from wirecheck.circuit.apply import load_change_pair

    try:
        load_change_pair(unit, change)
    except BadInput:
        return False
    return True


def swept(
    sweep: Sweep, known: Iterable[Line] = (), workers: int | None = None
) -> Iterator[tuple[Line, bool]]:
    """Each job's line, as they are done; and whether it was known before, of the same files and version."""
    from wirecheck.report.fleet.line import key

    before = {key(line): line for line in known}
    left: list[Job] = []
    for job in sweep.jobs:
        line = before.get(key(head_of(sweep.root, job)))
        if line is None:
            left.append(job)
        else:
            yield line, True
    count = min(len(left), workers or os.cpu_count() or 1)
    alone = (judged(str(sweep.root), job) for job in left)
    yield from ((line, False) for line in (_side_by_side(sweep.root, left, count) if count > 1 else alone))


def _side_by_side(root: Path, jobs: list[Job], count: int) -> Iterator[Line]:
    """Each job in one of several processes; where one dies, each that it took with it by itself."""
    from concurrent.futures import as_completed
    from concurrent.futures.process import BrokenProcessPool

    lost: list[Job] = []
    with _pool(count) as pool:
        waiting: dict[Future[Line], Job] = {pool.submit(judged, str(root), job): job for job in jobs}
        try:
            for done in as_completed(waiting):
                try:
                    yield done.result()
                except BrokenProcessPool:
                    lost.append(waiting[done])
        except BaseException:
            _stop(pool)
            raise
    for job in lost:
        yield _alone(root, job)


def _alone(root: Path, job: Job) -> Line:
    """A job in a process of its own, which may die."""
    from concurrent.futures.process import BrokenProcessPool

    from wirecheck.report.fleet.line import broken

    with _pool(1) as pool:
        try:
            return pool.submit(judged, str(root), job).result()
        except BrokenProcessPool:
            return (
                head_of(root, job) | broken("the process died; was there memory enough?") | {"seconds": 0.0}
            )


def _pool(count: int) -> ProcessPoolExecutor:
    import signal
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Begun afresh: a copy of this process would take its locks with it. Ctrl-C is for this one.
    return ProcessPoolExecutor(
        count, mp_context=get_context("spawn"), initializer=signal.signal,
        initargs=(signal.SIGINT, signal.SIG_IGN),
    )  # fmt: skip


def _stop(pool: ProcessPoolExecutor) -> None:
    """End the processes at once, whatever they do."""
    from multiprocessing import active_children

    pool.shutdown(wait=False, cancel_futures=True)
    for child in active_children():
        child.terminate()


def head_of(root: Path, job: Job) -> Line:
    """What a line is about: the files, their digests, the version."""
    named = {"unit": job.unit, "change": job.change}
    return {
        **{name: None if path is None else _from(root, path) for name, path in named.items()},
        "digests": {name: None if path is None else _digest(path) for name, path in named.items()},
        "version": version(),
    }


def _from(root: Path, path: Path) -> str:
    """A file's name as told from the folder, where it is below it."""
    try:
        return path.resolve().relative_to(root.resolve()).as_posix()
    except ValueError:
        return path.as_posix()


def _digest(path: Path) -> str | None:
    """SHA-256 of a file's bytes (FIPS 180-4); None where it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except (OSError, ValueError):
        return None


def version() -> str:
    """The version of wirecheck."""
    from importlib.metadata import PackageNotFoundError
    from importlib.metadata import version as of

    try:
        return of("wirecheck")
    except PackageNotFoundError:
        return "not installed"


def judged(root: str, job: Job) -> Line:
    """One job's line. Nothing that goes wrong with it goes further."""
    from wirecheck.report.fleet.line import answered, broken, refused

    began = time.monotonic()
    told = head_of(Path(root), job)
    try:
        changed, answer = _verified(job)
        line = answered(changed, answer, job.name[1] or job.name[0])
    except BadInput as bad:
        line = refused(bad)
    except Exception as error:  # noqa: BLE001 one bad job does not stop the rest
        line = broken(f"{type(error).__name__}: {error}")
    line = _renamed(line, {name: _from(Path(root), Path(name)) for name in job.name if name})
    return told | line | {"seconds": round(time.monotonic() - began, 3)}


def _verified(job: Job) -> tuple[Changed, Any]:
    from wirecheck.api.files import pair_of, unit_of
    from wirecheck.circuit.graph import Changed
    from wirecheck.questions import verify as question

    if job.change is not None:
        changed = pair_of(*job.name)
    else:
        unit = unit_of(job.name[0])
        changed = Changed("as it stands", unit, unit)
    return changed, question.verify(changed, noted=False)


def _renamed(line: Line, names: dict[str, str]) -> Line:
    """Files in places as the line names them."""
    for row in (*line["findings"], *line["problems"]):
        for place in (row.get("at"), row.get("about")):
            if place is not None:
                place["file"] = names.get(place["file"], place["file"])
    return line


def titles() -> dict[str, str]:
    """What each check and code means, in the first sentence of its page."""
    from wirecheck.design.explain import codes, explain

    return {code: explain(code).split("\n\n")[1].split("\n")[0] for code in codes()}
