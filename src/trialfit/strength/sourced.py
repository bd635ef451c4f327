"""Sources of the tables, written out for a reason.

Source: ``figures/sources.csv``.
"""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.tables.rows import sources

_REMEMBERED = "S-MEM"


def cite(keys: Iterable[str]) -> str:
    """Write sources out in a line.

    Parameters
    ----------
    keys
        Keys of sources.

    Returns
    -------
    str
        What each is, once; empty for what is only remembered, which its basis says.
    """
    return "; ".join(sources()[key].what for key in dict.fromkeys(keys) if key != _REMEMBERED)
