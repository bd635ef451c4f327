"""Sources of the tables, written out behind a reason. Source: ``figures/sources.csv``."""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.tables.rows import sources

# The basis beside the reason says these already.
_UNSAID = ("S-MEM", "S-PRACTICE", "S-EXACT")


def cite(keys: Iterable[str]) -> str:
    """Write sources out for a person.

    Parameters
    ----------
    keys
        Keys of sources.

    Returns
    -------
    str
        What each is; empty where there is nothing but memory or practice.
    """
    return "; ".join(sources()[key].what for key in keys if key not in _UNSAID)
