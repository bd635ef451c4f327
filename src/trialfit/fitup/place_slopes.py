"""How ports move when their parts take small steps, for the rows of an adjustment.

A part's place is six small steps: a shift and a turn about the job's axes, at its own origin.

Source: rigid motion to first order; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross, cross_matrix, square_to
from trialfit.parts.envelope import PortPlace
from trialfit.parts.placement import Placement


@dataclass(frozen=True, eq=False)
class Rows:
    """What one tie says of the places as they are now.

    Parameters
    ----------
    off
        (n,) how far they disagree with it. [mm or rad]
    by_part
        (n, 6) slopes by the steps of each part it ties. [-, mm, 1/mm]
    by_point
        (n, 3) slopes by each surveyed figure it rests on. [-]
    own_sigma
        (n,) how far it may be out by itself, one standard deviation. [mm or rad]
    units
        Unit of each: mm or rad.
    """

    off: Array
    by_part: Mapping[str, Array]
    by_point: Mapping[str, Array]
    own_sigma: Array
    units: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Moved:
    """A vector of a part in the job frame, and how it follows the part's steps.

    Parameters
    ----------
    value
        (3,) the vector. [mm or -]
    slopes
        (3, 6) its slopes. [-, mm or 1/mm]
    """

    value: Array
    slopes: Array


def port_at(place: PortPlace, places: Mapping[str, Placement]) -> tuple[Moved, Moved]:
    """Position and direction of a port in the job frame.

    Parameters
    ----------
    place
        The port in its part.
    places
        Where the parts are now.

    Returns
    -------
    tuple of Moved
        Middle of its face [mm], and the way it looks [-].
    """
    placement = places[place.port.part]
    lever = placement.directions(place.at_mm)
    way = placement.directions(place.direction)
    at = Moved(lever + placement.shift_mm, np.hstack([np.eye(3), -cross_matrix(lever)]))
    return at, Moved(way, np.hstack([np.zeros((3, 3)), -cross_matrix(way)]))


def across_of(way: Array) -> Array:
    """Give two directions square to a third.

    Parameters
    ----------
    way
        (3,) unit vector. [-]

    Returns
    -------
    Array
        (2, 3) unit vectors square to it and to each other. [-]
    """
    one = square_to(way)
    return np.vstack([one, cross(way, one)])


def tilt_of(way: Array) -> Array:
    """Give the turn of a part less its roll about a direction.

    Parameters
    ----------
    way
        (3,) unit vector. [-]

    Returns
    -------
    Array
        (3, 6) slopes of that turn by the part's steps. [-]
    """
    return np.hstack([np.zeros((3, 3)), np.eye(3) - np.outer(way, way)])
