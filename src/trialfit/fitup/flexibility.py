"""How a pipe gives at its far end when it is held at its start: six by six, forces and moments to shifts and turns.

A wrench (F, M) at the far end puts the force F and the moment M + d x F on every section, d being the way from the
section to the far end. With the section's own give S, and H taking the wrench to the section, the far end gives
the integral of H^T S H along the centre line: straights and arcs as they are, eight Gauss points on each.

Source: Castigliano's theorem; Timoshenko, Strength of Materials I (curved bars); thin curved tubes ovalise after von
Karman (1911). Shear of the section is neglected, as slender bars allow.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin

import numpy as np

from trialfit.fitup.bends import BendTable, Pose
from trialfit.fitup.records import Array, TubeStock
from trialfit.fitup.vectors import cross, turned
from trialfit.tables.metals import find_metal

# Of copper and its alloys; from memory. It enters only through torsion.
POISSON = 0.34

_GAUSS_AT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class TubeSection:
    """What a section of tube sets against bending, twisting and pulling.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall. [mm]
    modulus_mpa
        Young's modulus. [MPa]
    poisson
        Poisson's ratio. [-]
    """

    od_mm: float
    wall_mm: float
    modulus_mpa: float
    poisson: float = POISSON

    @property
    def area_mm2(self) -> float:
        """Metal in the section. [mm2]"""
        return pi / 4 * (self.od_mm**2 - self.bore_mm**2)

    @property
    def bore_mm(self) -> float:
        """Bore. [mm]"""
        return self.od_mm - 2 * self.wall_mm

    @property
    def second_moment_mm4(self) -> float:
        """Second moment of area in bending; twice it in torsion. [mm4]"""
        return pi / 64 * (self.od_mm**4 - self.bore_mm**4)

    @property
    def shear_modulus_mpa(self) -> float:
        """Modulus in shear. [MPa]"""
        return self.modulus_mpa / (2 * (1 + self.poisson))


@dataclass(frozen=True)
class Stations:
    """Sections along a pipe, in order from its start.

    Parameters
    ----------
    at_mm
        (n,) how far along the centre line. [mm]
    position_mm
        (n, 3) where. [mm]
    direction
        (n, 3) unit vectors the way the pipe is followed. [-]
    weight_mm
        (n,) length of centre line each stands for; nought at the ends of a piece. [mm]
    in_bend
        (n,) number of the bend, or 0 on a straight. [-]
    """

    at_mm: Array
    position_mm: Array
    direction: Array
    weight_mm: Array
    in_bend: Array


def section_of(tube: TubeStock) -> TubeSection:
    """Take a tube's section with the modulus its metal has in the tables.

    Parameters
    ----------
    tube
        What the pipe is bent from.

    Returns
    -------
    TubeSection
        The section.

    Raises
    ------
    Refusal
        The tables do not know the metal.
    """
    return TubeSection(tube.od_mm, tube.wall_mm, 1000.0 * find_metal(tube.metal).modulus.likely)


def stations(table: BendTable, start: Pose) -> Stations:
    """Lay sections along a pipe: both ends of every straight and arc, and eight Gauss points between.

    Parameters
    ----------
    table
        The pipe from face to face.
    start
        Where it begins.

    Returns
    -------
    Stations
        In order.
    """
    local = np.concatenate([[-1.0], _GAUSS_AT, [1.0]])
    weight = np.concatenate([[0.0], _GAUSS_WEIGHT, [0.0]])
    begun, position, along, normal = 0.0, start.position_mm, start.direction, start.normal
    rows: list[tuple[Array, Array, Array, Array, int]] = []
    straights = table.straights_mm
    for number, straight in enumerate(straights):
        way = (local + 1) / 2 * straight
        rows.append((begun + way, position + way[:, None] * along, np.tile(along, (10, 1)), weight * straight / 2, 0))
        begun, position = begun + straight, position + straight * along
        if number == len(table.lines):
            break
        line = table.lines[number]
        normal = turned(normal, along, radians(line.rotation_deg))
        inward, angle, radius = cross(normal, along), radians(line.angle_deg), table.radius_mm
        turns = ((local + 1) / 2 * angle)[:, None]
        arc = position + radius * (np.sin(turns) * along + (1 - np.cos(turns)) * inward)
        ways = np.cos(turns) * along + np.sin(turns) * inward
        length = radius * angle
        rows.append((begun + (local + 1) / 2 * length, arc, ways, weight * length / 2, number + 1))
        begun += length
        position = position + radius * (sin(angle) * along + (1 - cos(angle)) * inward)
        along = turned(along, normal, angle)
    return Stations(
        np.concatenate([row[0] for row in rows]),
        np.concatenate([row[1] for row in rows]),
        np.concatenate([row[2] for row in rows]),
        np.concatenate([row[3] for row in rows]),
        np.repeat([row[4] for row in rows], 10).astype(np.float64),
    )


def end_flexibility(table: BendTable, start: Pose, section: TubeSection, ovalises: bool = False) -> Array:
    """How the far end gives, the start held fast.

    Parameters
    ----------
    table
        The pipe from face to face.
    start
        Where it begins.
    section
        Its section.
    ovalises
        Whether the bends are let flatten under load, which makes them give more (von Karman). Left out, the force
        comes out on the high side.

    Returns
    -------
    Array
        (6, 6) shift and turn of the far end by force and moment on it, in the frame of `start`. [mm/N, 1/N, 1/(N·mm)]
    """
    laid = stations(table, start)
    lever = laid.position_mm[-1] - laid.position_mm
    bend, twist, pull = _gives(section)
    bends = np.where(laid.in_bend > 0, bend * (karman_factor(section, table.radius_mm) if ovalises else 1.0), bend)
    along = np.einsum("ni,nj->nij", laid.direction, laid.direction)
    turning = bends[:, None, None] * (np.eye(3) - along) + twist * along
    crossing = np.zeros((len(lever), 3, 3))
    crossing[:, 0, 1], crossing[:, 0, 2], crossing[:, 1, 2] = -lever[:, 2], lever[:, 1], -lever[:, 0]
    crossing -= crossing.transpose(0, 2, 1)
    arm = turning @ crossing
    weight = laid.weight_mm[:, None, None]
    by_force = np.sum(weight * (pull * along - crossing @ arm), axis=0)
    mixed = np.sum(weight * arm, axis=0)
    by_moment = np.sum(weight * turning, axis=0)
    return np.block([[by_force, mixed.T], [mixed, by_moment]])


def karman_factor(section: TubeSection, radius_mm: float) -> float:
    """How many times more a bend of round tube gives than a solid bar of the same second moment would.

    Parameters
    ----------
    section
        The tube.
    radius_mm
        Centre-line radius of the bend. [mm]

    Returns
    -------
    float
        (12 h^2 + 10) / (12 h^2 + 1) with h = wall R / r^2, r the mean radius of the tube. [-]

    Valid
    -----
    First approximation of the series: h over about 0.3, which small thick tube never falls under.

    Source
    ------
    Th. von Karman, Zeitschrift des VDI 55 (1911), from memory.
    """
    mean = (section.od_mm - section.wall_mm) / 2
    square = 12 * (section.wall_mm * radius_mm / mean**2) ** 2
    return (square + 10) / (square + 1)


def _gives(section: TubeSection) -> tuple[float, float, float]:
    """What a millimetre of the tube gives in bending, twisting and pulling."""
    second = section.second_moment_mm4
    return (
        1 / (section.modulus_mpa * second),
        1 / (section.shear_modulus_mpa * 2 * second),
        1 / (section.modulus_mpa * section.area_mm2),
    )
