"""How a bench measures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter


@dataclass(frozen=True)
class Row:
    """One line of a bench.

    Parameters
    ----------
    what
        What was run, and by whom.
    ms
        Least time of several runs. [ms]
    note
        What to bear in mind, or empty.
    """

    what: str
    ms: float
    note: str = ""


def least_ms(run: Callable[[], object], times: int = 7) -> float:
    """Time a function.

    Parameters
    ----------
    run
        What to time; run once beforehand to warm up.
    times
        How often to run it. [-]

    Returns
    -------
    float
        The least time. [ms]
    """
    run()
    best = float("inf")
    for _ in range(times):
        begin = perf_counter()
        run()
        best = min(best, perf_counter() - begin)
    return 1000.0 * best
