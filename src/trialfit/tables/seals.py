"""What seal stands what heat, dry and in steam.

Source: seal makers' charts, by the rows of ``figures/elastomers.csv``; tape, anaerobics and gaskets are rules in
``figures/sealing.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from trialfit.finding import Answer, Basis
from trialfit.tables.rows import Row, rows


@dataclass(frozen=True)
class Seal:
    """A material for rings and seats.

    Parameters
    ----------
    key
        Its letters: ``EPDM``.
    name
        Its name in words.
    dry_low_c, dry_high_c
        Highest continuous temperature when dry: the lower and the higher that charts give. [°C]
    steam
        Suitable, limited or unsuitable in saturated steam.
    steam_most_c
        Highest steam temperature it is listed for; None unless limited. [°C]
    steam_marginal_c
        Up to here it is marginal in steam; None unless limited. [°C]
    sources, basis, note
        Where the figures come from.
    """

    key: str
    name: str
    dry_low_c: float
    dry_high_c: float
    steam: str
    steam_most_c: float | None
    steam_marginal_c: float | None
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def seals() -> Mapping[str, Seal]:
    """Give the materials for seals.

    Returns
    -------
    Mapping
        Materials by their letters.
    """
    return {row["seal"]: _seal(row) for row in rows("elastomers.csv")}


def in_steam(seal: Seal, temperature_c: float) -> Answer:
    """Say whether a material is for steam of a temperature.

    Parameters
    ----------
    seal
        The material.
    temperature_c
        Temperature of the saturated steam. [°C]

    Returns
    -------
    Answer
        Go, look where the charts call it marginal or differ, stop.
    """
    sure, most = {
        "suitable": (seal.dry_low_c, seal.dry_high_c),
        "limited": (seal.steam_most_c or 0.0, seal.steam_marginal_c or 0.0),
        "unsuitable": (0.0, 0.0),
    }[seal.steam]
    if temperature_c <= sure:
        return Answer.GO
    return Answer.LOOK if temperature_c <= most else Answer.STOP


def _seal(row: Row) -> Seal:
    return Seal(
        key=row["seal"],
        name=row["name"],
        dry_low_c=row.number("dry_low_c"),
        dry_high_c=row.number("dry_high_c"),
        steam=row["steam"],
        steam_most_c=row.number_if_any("steam_most_c"),
        steam_marginal_c=row.number_if_any("steam_marginal_c"),
        sources=row.sources,
        basis=row.basis,
        note=row.note,
    )
