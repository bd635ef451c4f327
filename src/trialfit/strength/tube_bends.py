"""What a bend takes off a tube: a thinner wall outside, a thicker one inside, and a section no longer round.

Source: wall by constant volume with the neutral line in the middle; stress in a torus by Lorenz, as ASME B31.3-2016
304.2.1 (equations 3c to 3e) and worked sheets print it; flattened tube by B. P. Haigh (1936), as vessel codes print
it, from memory.
Thinning and torus together make the outside as strong as a straight wall of t / (1 + D/(4R)).
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal

ASSUMED_OVALITY = 0.08
"""Greatest less least diameter over the nominal one: the most ASME B31.3 allows a bend; a US federal guide
specification prints as much for steel pipe bent to five diameters or more. [-]"""


@dataclass(frozen=True)
class BentWall:
    """The wall of a tube in a bend.

    Parameters
    ----------
    radius_mm
        Centre-line radius. [mm]
    outer_mm, inner_mm
        Wall outside and inside the bend. [mm]
    as_straight_outer_mm, as_straight_inner_mm
        Wall of the straight tube that is as strong as the bend outside and inside. [mm]
    """

    radius_mm: float
    outer_mm: float
    inner_mm: float
    as_straight_outer_mm: float
    as_straight_inner_mm: float

    @property
    def as_straight_mm(self) -> float:
        """The weaker of the two: what the bend is worth. [mm]"""
        return min(self.as_straight_outer_mm, self.as_straight_inner_mm)


def bent_wall(od_mm: float, wall_mm: float, radius_mm: float) -> BentWall:
    """Find what is left of a wall in a bend.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall of the straight tube. [mm]
    radius_mm
        Centre-line radius. [mm]

    Returns
    -------
    BentWall
        Wall outside and inside, and the straight walls they are worth.

    Raises
    ------
    Refusal
        The radius is no more than the tube's own: the inside would have no length.

    Valid
    -----
    A sound bend without a kink or wrinkle. Flattening comes on top: `flattened`.
    """
    if radius_mm <= od_mm / 2:
        raise Refusal(
            "bend radius", f"{radius_mm:.2f} mm", f"more than half of {od_mm:.2f} mm",
            "Give the radius of the centre line.",
        )  # fmt: skip
    share = od_mm / (2.0 * radius_mm)
    outer, inner = wall_mm / (1.0 + share), wall_mm / (1.0 - share)
    x = 4.0 * radius_mm / od_mm
    return BentWall(radius_mm, outer, inner, outer * (x + 2.0) / (x + 1.0), inner * (x - 2.0) / (x - 1.0))


def flattened(ovality: float, od_mm: float, wall_mm: float) -> float:
    """How many times the stress rises at the ends of a flattened section's axes.

    Parameters
    ----------
    ovality
        Greatest less least diameter over the nominal one. [-]
    od_mm, wall_mm
        Outside diameter and wall. [mm]

    Returns
    -------
    float
        Stress over that of the round tube; 1 for a round one. [-]

    Raises
    ------
    Refusal
        The ovality is no share of the diameter.

    Valid
    -----
    Elastic, and it leaves out that pressure makes the section rounder. Soft copper rounds itself before it bursts, so
    this says when it begins to move, not when it fails.

    Source
    ------
    Haigh (1936): 1 + 1.5 u D/t, D over the middle of the wall.
    """
    if not 0 <= ovality < 0.5:
        raise Refusal("ovality", f"{100 * ovality:.0f} %", "0 to 50 %", "Measure across both ways in the bend.")
    return 1.0 + 1.5 * ovality * (od_mm - wall_mm) / wall_mm
