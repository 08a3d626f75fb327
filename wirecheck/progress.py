"""How far a long piece of work is: who works says it, who shows it sets `showing`. Nobody need listen."""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

T = TypeVar("T")

_showing: ContextVar[Callable[[str, int, int], None] | None] = ContextVar("showing", default=None)


@contextmanager
def showing(show: Callable[[str, int, int], None]) -> Iterator[None]:
    """Call `show` with each step of the work done within."""
    token = _showing.set(show)
    try:
        yield
    finally:
        _showing.reset(token)


def steps(what: str, of: Sequence[T]) -> Iterable[T]:
    """Each of a sequence, the work on it counted: what "conductors", of the conductors."""
    show = _showing.get()
    for k, one in enumerate(of):
        if show is not None:
            show(what, k, len(of))
        yield one
    if show is not None:
        show(what, len(of), len(of))
