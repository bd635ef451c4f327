"""What fittings cost in pressure, as ranges: at a model's size such a figure is good to a factor of two.

Source: the rows of ``figures/fitting_losses.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import sqrt

from trialfit.errors import Refusal
from trialfit.feed.flow_three import three
from trialfit.finding import Band, Basis
from trialfit.tables.rows import rows


@dataclass(frozen=True)
class FittingLoss:
    """Loss of one fitting.

    Parameters
    ----------
    name
        What it is.
    k
        Velocity heads lost in fast flow: low, likely (their geometric mean), high. [-]
    k_slow
        Velocity heads times Reynolds' number lost in slow flow. [-]
    sources, basis, note
        Where it comes from.
    """

    name: str
    k: Band
    k_slow: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def fitting_losses() -> dict[str, FittingLoss]:
    """Give the losses of the fittings the tables have.

    Returns
    -------
    dict
        By the fitting's name.
    """
    found = {}
    for row in rows("fitting_losses.csv"):
        low, high = row.number("k_low"), row.number("k_high")
        k = Band(low, sqrt(low * high), high, "-", 1)
        found[row["fitting"]] = FittingLoss(row["fitting"], k, row.number("k_slow"), row.sources, row.basis, row.note)
    return found


def together(*fittings: str) -> tuple[Band, float]:
    """Loss of several fittings of one bore in a row.

    Parameters
    ----------
    *fittings
        Their names; one named twice counts twice.

    Returns
    -------
    tuple of Band and float
        Their loss in fast flow as velocity heads, and in slow flow as velocity heads times Reynolds' number. [-]

    Raises
    ------
    Refusal
        The tables have no such fitting.

    Valid
    -----
    All low together and all high together: what is not known of one is not known of the next.
    """
    known = fitting_losses()
    for name in fittings:
        if name not in known:
            raise Refusal("fitting", name, f"one of {', '.join(known)}", "Name the one nearest to it.")
    found = [known[name] for name in fittings]
    k = three((sum(getattr(each.k, end) for each in found) for end in ("low", "likely", "high")), "-", 1)
    return k, sum(each.k_slow for each in found)
