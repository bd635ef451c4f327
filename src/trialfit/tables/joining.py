"""Silver-brazing fillers, soft solders and fluxes.

Source: the rows of ``figures/fillers.csv``, ``solders.csv`` and ``fluxes.csv``; the rules of the joint, and the
cautions for cadmium, in ``figures/brazing.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from trialfit.finding import Basis
from trialfit.tables.rows import rows


@dataclass(frozen=True)
class Filler:
    """A silver-brazing filler.

    Parameters
    ----------
    name
        Its code by ISO 17672, or its silver content with Cd.
    silver_pct
        Silver by weight. [%]
    solidus_c, liquidus_c
        Melting range; the standard itself calls these approximate. [°C]
    cadmium
        Whether it holds cadmium: old stock, its fume is poison.
    sources, basis, note
        Where the range comes from.
    """

    name: str
    silver_pct: float
    solidus_c: float
    liquidus_c: float
    cadmium: bool
    sources: tuple[str, ...]
    basis: Basis
    note: str


@dataclass(frozen=True)
class Solder:
    """A soft solder, as one authority gives it.

    Parameters
    ----------
    name
        Its composition.
    solidus_c, liquidus_c
        Melting range. [°C]
    sources, basis, note
        Whose figures these are.
    """

    name: str
    solidus_c: float
    liquidus_c: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@dataclass(frozen=True)
class Flux:
    """A brazing flux.

    Parameters
    ----------
    name
        Its kind, or its code.
    low_c, high_c
        Between these it works. [°C]
    sources, basis, note
        Where the range comes from.
    """

    name: str
    low_c: float
    high_c: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def fillers() -> tuple[Filler, ...]:
    """Give the silver-brazing fillers.

    Returns
    -------
    tuple of Filler
        Cadmium-free ones first.
    """
    return tuple(
        Filler(
            row["filler"], row.number("silver_pct"), row.number("solidus_c"), row.number("liquidus_c"),
            row["cadmium"] == "yes", row.sources, row.basis, row.note,
        )
        for row in rows("fillers.csv")
    )  # fmt: skip


@cache
def solders() -> tuple[Solder, ...]:
    """Give the soft solders.

    Returns
    -------
    tuple of Solder
        One a row; a solder on which authorities differ stands once for each.
    """
    return tuple(
        Solder(
            row["solder"], row.number("solidus_c"), row.number("liquidus_c"), row.sources, row.basis, row.note
        )
        for row in rows("solders.csv")
    )  # fmt: skip


@cache
def fluxes() -> tuple[Flux, ...]:
    """Give the fluxes.

    Returns
    -------
    tuple of Flux
        In the order of the file.
    """
    return tuple(
        Flux(row["flux"], row.number("low_c"), row.number("high_c"), row.sources, row.basis, row.note)
        for row in rows("fluxes.csv")
    )
