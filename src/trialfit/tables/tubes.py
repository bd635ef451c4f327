"""Small copper tube: sizes stocked, published ratings, mass, and the yardstick for pressure.

Source: ASME B31 form of the thin-wall formula, as the Copper Tube Handbook uses it; ratings by the rows of
``figures/tube_ratings.csv``; stocked sizes common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.rows import Row, rows
from trialfit.units import pressure_mpa

_INCH_MM = 25.4


@dataclass(frozen=True)
class StockTube:
    """A size of tube commonly stocked.

    Parameters
    ----------
    od
        Outside diameter as asked for: ``3/16 in``.
    od_mm
        Outside diameter. [mm]
    gauge
        Wall in standard wire gauge. [swg]
    sources, basis
        Where it comes from.
    """

    od: str
    od_mm: float
    gauge: int
    sources: tuple[str, ...]
    basis: Basis


@dataclass(frozen=True)
class TubeRating:
    """A published pressure rating.

    Parameters
    ----------
    tube
        Kind of tube and its standard.
    size
        Nominal size by which the standard calls it; empty where it goes by its outside diameter.
    od_mm, wall_mm
        Nominal outside diameter and wall. [mm]
    wall_thin_mm, od_over_mm
        Tolerances: how much thinner and how much greater it may be; None where not known. [mm]
    tolerances
        How the tolerances are known: published, wall fitted, inferred, none.
    stress_mpa
        Stress the rating was made with. [MPa]
    temperature_c
        Temperature it holds at; for a row of the small tubes, up to. [°C]
    rating_mpa
        Gauge pressure. [MPa]
    rating_psi
        The same as printed. [psi]
    sources, basis
        Where it comes from.
    """

    tube: str
    size: str
    od_mm: float
    wall_mm: float
    wall_thin_mm: float | None
    od_over_mm: float | None
    tolerances: str
    stress_mpa: float
    temperature_c: float
    rating_mpa: float
    rating_psi: float
    sources: tuple[str, ...]
    basis: Basis


@dataclass(frozen=True)
class BendRadius:
    """A published least radius of bend.

    Parameters
    ----------
    od_mm
        Outside diameter of the tube. [mm]
    radius_mm
        Least radius of the centre line. [mm]
    how
        How it is bent.
    sources, basis, note
        Where it comes from.
    """

    od_mm: float
    radius_mm: float
    how: str
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def stock_tubes() -> tuple[StockTube, ...]:
    """Give the sizes of tube commonly stocked.

    Returns
    -------
    tuple of StockTube
        From small to large.
    """
    return tuple(
        StockTube(row["od"], row.length_mm("od"), int(row["gauge"]), row.sources, row.basis)
        for row in rows("tubes.csv")
    )


@cache
def tube_ratings() -> tuple[TubeRating, ...]:
    """Give the published ratings.

    Returns
    -------
    tuple of TubeRating
        In the order of the file.
    """
    return tuple(_rating(row) for row in rows("tube_ratings.csv"))


@cache
def bend_radii() -> tuple[BendRadius, ...]:
    """Give the published least radii of bend; all are for tube larger than a model's.

    Returns
    -------
    tuple of BendRadius
        In the order of the file.
    """
    return tuple(
        BendRadius(row.length_mm("od"), row.length_mm("radius"), row["how"], row.sources, row.basis, row.note)
        for row in rows("bend_radii.csv")
    )


def bore_mm(od_mm: float, wall_mm: float) -> float:
    """Bore of a tube.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall. [mm]

    Returns
    -------
    float
        Bore. [mm]

    Raises
    ------
    Refusal
        The wall is half the outside diameter or more: there is no bore.
    """
    if not 0 < wall_mm < od_mm / 2:
        raise Refusal(
            "wall", f"{wall_mm:.2f} mm", f"less than half of {od_mm:.2f} mm", "Was the wall typed in the right unit?"
        )
    return od_mm - 2 * wall_mm


def mass_g_m(od_mm: float, wall_mm: float, density_kg_m3: float) -> float:
    """Mass of a metre of tube.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall. [mm]
    density_kg_m3
        Density of its metal. [kg/m³]

    Returns
    -------
    float
        Mass of one metre. [g/m]

    Source
    ------
    Arithmetic: section times density; a square millimetre of one kg/m³ is a milligram a metre.
    """
    section_mm2 = pi / 4 * (od_mm**2 - bore_mm(od_mm, wall_mm) ** 2)
    return section_mm2 * density_kg_m3 / 1000


def b31_mpa(stress_mpa: float, wall_mm: float, od_mm: float) -> float:
    """Pressure by the yardstick of ASME B31: P = 2 S t / (D - 0.8 t).

    Parameters
    ----------
    stress_mpa
        Allowed stress at the temperature of the tube. [MPa]
    wall_mm
        Least wall: nominal less its tolerance and what a bend thins. [mm]
    od_mm
        Greatest outside diameter. [mm]

    Returns
    -------
    float
        Gauge pressure. [MPa]

    Raises
    ------
    Refusal
        The wall leaves no bore.

    Valid
    -----
    Straight, round, plain tube. It says nothing of joints, threads, dents and bends.

    Source
    ------
    Copper Tube Handbook, text to tables 14.3a to 14.3e (ASME B31).
    """
    bore_mm(od_mm, wall_mm)
    return 2 * stress_mpa * wall_mm / (od_mm - 0.8 * wall_mm)


def _rating(row: Row) -> TubeRating:
    thin_in, over_in = row.number_if_any("wall_thin_in"), row.number_if_any("od_over_in")
    return TubeRating(
        tube=row["tube"],
        size=row["size"],
        od_mm=row.number("od_in") * _INCH_MM,
        wall_mm=row.number("wall_in") * _INCH_MM,
        wall_thin_mm=None if thin_in is None else thin_in * _INCH_MM,
        od_over_mm=None if over_in is None else over_in * _INCH_MM,
        tolerances=row["tolerances"],
        stress_mpa=pressure_mpa(f"{row['stress_psi']} psi"),
        temperature_c=row.temperature_c("temperature"),
        rating_mpa=pressure_mpa(f"{row['rating_psi']} psi"),
        rating_psi=row.number("rating_psi"),
        sources=row.sources,
        basis=row.basis,
    )
