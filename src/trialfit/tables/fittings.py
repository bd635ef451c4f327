"""Union cones, balls on seats, O-rings in grooves.

Source: cones by the rows of ``figures/union_cones.csv``; proportions and limits in ``figures/valves_and_rings.csv``;
the rest is geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import acos, degrees, pi, sqrt

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.rows import rows


@dataclass(frozen=True)
class UnionCone:
    """A cone met with in unions.

    Parameters
    ----------
    name
        Kind of union.
    included_deg
        Included angle. [deg]
    sources, basis, note
        Where it comes from.
    """

    name: str
    included_deg: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def union_cones() -> tuple[UnionCone, ...]:
    """Give the cones met with in unions.

    Returns
    -------
    tuple of UnionCone
        No standard was found for small model unions: those are measured, job by job.
    """
    return tuple(
        UnionCone(row["cone"], row.number("included_deg"), row.sources, row.basis, row.note)
        for row in rows("union_cones.csv")
    )


def ball_tangent_deg(ball_mm: float, seat_mm: float) -> float:
    """Angle to the axis at which a ball touches a sharp-edged seat.

    Parameters
    ----------
    ball_mm, seat_mm
        Diameters of ball and hole. [mm]

    Returns
    -------
    float
        Angle between the tangent and the axis. [deg]
    """
    _refuse_small_ball(ball_mm, seat_mm)
    return degrees(acos(seat_mm / ball_mm))


def ball_sinks_mm(ball_mm: float, seat_mm: float) -> float:
    """How far a ball reaches into its hole, below the edge it rests on.

    Parameters
    ----------
    ball_mm, seat_mm
        Diameters of ball and hole. [mm]

    Returns
    -------
    float
        Depth. [mm]
    """
    _refuse_small_ball(ball_mm, seat_mm)
    return (ball_mm - sqrt(ball_mm**2 - seat_mm**2)) / 2


def ring_squeeze_mm(section_mm: float, groove_depth_mm: float) -> float:
    """How much a groove squeezes a ring.

    Parameters
    ----------
    section_mm, groove_depth_mm
        Diameter of the ring's section and depth of the groove, gap included. [mm]

    Returns
    -------
    float
        Squeeze; negative where the ring lies loose. [mm]
    """
    return section_mm - groove_depth_mm


def ring_fill_pct(section_mm: float, groove_depth_mm: float, groove_width_mm: float) -> float:
    """How much of a groove the ring fills.

    Parameters
    ----------
    section_mm, groove_depth_mm, groove_width_mm
        Diameter of the ring's section; depth and width of the groove. [mm]

    Returns
    -------
    float
        Share of the groove's section. [%]
    """
    return 100 * (pi / 4 * section_mm**2) / (groove_depth_mm * groove_width_mm)


def _refuse_small_ball(ball_mm: float, seat_mm: float) -> None:
    if not 0 < seat_mm < ball_mm:
        raise Refusal(
            "ball", f"{ball_mm:.2f} mm on a hole of {seat_mm:.2f} mm", "a ball greater than its hole",
            "Such a ball falls through; measure ball and seat again.",
        )  # fmt: skip
