"""Long work that can be broken off: it asks here, now and then, whether it is still wanted.

Nothing that is computed depends on the answer. Who has no reason to ask gets the result as if nothing were asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_wanted: ContextVar[Callable[[], bool] | None] = ContextVar("wanted", default=None)


class BrokenOffError(Exception):
    """The work is not wanted any more."""


@contextmanager
def as_long_as(wanted: Callable[[], bool]) -> Iterator[None]:
    """Within it, work of this thread ends with `BrokenOffError` soon after `wanted()` is false."""
    token = _wanted.set(wanted)
    try:
        yield
    finally:
        _wanted.reset(token)


def checkpoint() -> None:
    """Go on, or end with `BrokenOffError` if the work is not wanted any more."""
    wanted = _wanted.get()
    if wanted is not None and not wanted():
        raise BrokenOffError
