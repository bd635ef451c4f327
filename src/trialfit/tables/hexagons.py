"""Hexagons: across flats by thread.

Source: BS 1083, ISO 4014 and ISO 4032, and what print has of BA hexagons, by the rows of ``figures/hexagons.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from trialfit.finding import Basis
from trialfit.tables.rows import Row, rows
from trialfit.tables.threads import Thread


@dataclass(frozen=True)
class Hexagon:
    """The hexagon of a thread, as one authority gives it.

    Parameters
    ----------
    series
        Series it belongs to.
    size
        Size of the thread as the table writes it.
    across_flats_mm
        Across flats; the greatest where a least is printed too. [mm]
    least_mm
        Least across flats; None where not printed. [mm]
    sources, basis, note
        Where it comes from.
    """

    series: tuple[str, ...]
    size: str
    across_flats_mm: float
    least_mm: float | None
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def hexagons() -> tuple[Hexagon, ...]:
    """Give every hexagon of the tables.

    Returns
    -------
    tuple of Hexagon
        In the order of the file.
    """
    return tuple(_hexagon(row) for row in rows("hexagons.csv"))


def hexagons_of(thread: Thread) -> tuple[Hexagon, ...]:
    """Give the hexagons print has for a thread.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    tuple of Hexagon
        One for each authority; none where no table has the thread, as none has for model threads.
    """
    name = thread.designation.split("x")[0] if thread.series in ("M", "MF") else thread.designation
    names = {name, name.replace(f" {thread.series}", " in")}
    return tuple(hexagon for hexagon in hexagons() if thread.series in hexagon.series and hexagon.size in names)


def _hexagon(row: Row) -> Hexagon:
    least_mm = row.length_mm("least") if row["least"] else None
    series = tuple(row["series"].split())
    return Hexagon(series, row["size"], row.length_mm("across_flats"), least_mm, row.sources, row.basis, row.note)
