"""Linear algebra held to one thread. Source: none; `docs/decisions/0005-one-thread-for-small-matrices.md` says why."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import cache, wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

Given = ParamSpec("Given")
Made = TypeVar("Made")


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()


def one_thread() -> AbstractContextManager[object]:
    """Hold the linear algebra to one thread: the matrices are too small to share out.

    Returns
    -------
    AbstractContextManager
        For a ``with`` statement.
    """
    limit: AbstractContextManager[object] = _threads().limit(limits=1, user_api="blas")
    return limit


def on_one_thread(work: Callable[Given, Made]) -> Callable[Given, Made]:
    """Hold the linear algebra to one thread for as long as a function runs.

    Parameters
    ----------
    work
        The function.

    Returns
    -------
    Callable
        The same, so held.
    """

    @wraps(work)
    def held(*given: Given.args, **named: Given.kwargs) -> Made:
        with one_thread():
            return work(*given, **named)

    return held
