"""The spanner that goes on a hexagon: the owner's, else the workshop's, else a usual one; what of it is assumed.

Source: what the job and the shop say; usual sizes are the rows ``spanner`` and ``spanner length`` of
``figures/spanners.csv``, from memory: no table of open-ended spanners was at hand.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.job.taking_off import OwnerSpanner
from trialfit.job.tooling import Spanner, fill_tooling
from trialfit.tables.rules import rule, rules
from trialfit.units import Quantity, read

# A hexagon comes round every 60 deg; with the head 15 deg to the handle, turned over between pulls, half is enough.
STRAIGHT_DEG, SLANTED_DEG = 60.0, 30.0
# Jaws this much wider than the flats still hold, and this much narrower still go on. [mm]
_LOOSER_MM, _TIGHTER_MM = 0.3, 0.05
_Owned = TypeVar("_Owned", OwnerSpanner, Spanner)


@dataclass(frozen=True)
class HandSpanner:
    """A spanner in somebody's hand.

    Parameters
    ----------
    flats_mm
        The hexagon it fits. [mm]
    length_mm
        From the nut's middle to the hand. [mm]
    thick_mm
        Thickness of head and handle. [mm]
    head_mm, handle_mm
        Width of its head and of its handle. [mm]
    slanted
        Whether its head stands 15 deg to its handle, so that it can be turned over.
    whose
        Whose it is: the owner's; the workshop's, to be sent; or nobody's, as far as it is known.
    assumed
        Which of its figures are assumed, in words with their sizes: ``4.5 mm thick``.
    """

    flats_mm: float
    length_mm: float
    thick_mm: float
    head_mm: float
    handle_mm: float
    slanted: bool = False
    whose: Literal["owner", "workshop", "nobody"] = "owner"
    assumed: tuple[str, ...] = ()

    @property
    def window_deg(self) -> float:
        """How far its handle must swing to take the next hold. [deg]"""
        return SLANTED_DEG if self.slanted else STRAIGHT_DEG

    def taken(self, on: str) -> str:
        """Say which of its figures are assumed.

        Parameters
        ----------
        on
            What it goes on.

        Returns
        -------
        str
            A sentence; empty where all of it is known.
        """
        sizes = ", ".join(self.assumed)
        return f"The {self.flats_mm:g} mm spanner for {on} is taken as {sizes}." if sizes else ""


@dataclass(frozen=True)
class Spanners:
    """The spanners there are.

    Parameters
    ----------
    owners
        Those the owner has.
    workshops
        Those the workshop has, and could send.
    """

    owners: tuple[OwnerSpanner, ...] = ()
    workshops: tuple[Spanner, ...] = ()


def spanners_of(job: Job, shop: Shop | None) -> Spanners:
    """Gather the spanners there are.

    Parameters
    ----------
    job
        The job document: the owner's.
    shop
        The workshop, or None; what is assumed of it does not count.

    Returns
    -------
    Spanners
        Owner's and workshop's.
    """
    filled = None if shop is None else fill_tooling(shop.tooling)
    workshops = () if filled is None or filled.rests_on("spanners") else filled.tooling.spanners
    return Spanners(job.order.spanners if job.order else (), workshops)


def spanner_for(flats_mm: float, there: Spanners) -> HandSpanner:
    """Choose the spanner for a hexagon.

    Parameters
    ----------
    flats_mm
        Across flats. [mm]
    there
        The spanners there are.

    Returns
    -------
    HandSpanner
        The tightest of the owner's that goes on, else of the workshop's; else a usual one, all of it assumed.
    """
    owners = _tightest(flats_mm, there.owners)
    if owners is not None:
        sizes = (owners.length, owners.thick, owners.head_across, owners.handle_across)
        return _filled(_mm(owners.across_flats), *sizes, slanted=owners.head == "slanted", whose="owner")
    workshops = _tightest(flats_mm, there.workshops)
    if workshops is not None:
        return _filled(_mm(workshops.across_flats), workshops.length, whose="workshop")
    return _filled(flats_mm, whose="nobody")


def usual_length_mm(flats_mm: float) -> float:
    """How long a spanner of a size usually is.

    Parameters
    ----------
    flats_mm
        Across flats. [mm]

    Returns
    -------
    float
        Between the two nearest sizes in proportion; beyond the smallest and largest as those. [mm]
    """
    known = sorted((float(read(each.name, "length").to("mm")), each.low or 0.0) for each in rules("spanner length"))
    return float(np.interp(flats_mm, *np.array(known).T))


def _tightest(flats_mm: float, given: Iterable[_Owned]) -> _Owned | None:
    fits = [each for each in given if -_TIGHTER_MM <= _mm(each.across_flats) - flats_mm <= _LOOSER_MM]
    return min(fits, key=lambda each: _mm(each.across_flats), default=None)


def _filled(
    flats_mm: float,
    length: Quantity | None = None,
    thick: Quantity | None = None,
    head: Quantity | None = None,
    handle: Quantity | None = None,
    slanted: bool = False,
    whose: Literal["owner", "workshop", "nobody"] = "owner",
) -> HandSpanner:
    """What is not said taken as usual, and noted."""
    told = (
        (length, usual_length_mm(flats_mm), "{:.0f} mm long"),
        (thick, _over_flats("thickness") * flats_mm, "{:.1f} mm thick"),
        (head, _over_flats("head across") * flats_mm, "head {:.0f} mm wide"),
        (handle, _over_flats("handle across") * flats_mm, "handle {:.0f} mm wide"),
    )
    long, thickness, wide, handle_wide = (usual if said is None else _mm(said) for said, usual, _ in told)
    assumed = tuple(words.format(usual) for said, usual, words in told if said is None)
    return HandSpanner(flats_mm, long, thickness, wide, handle_wide, slanted, whose, assumed)


def _over_flats(name: str) -> float:
    return rule("spanner", name).low or 0.0


def _mm(length: Quantity) -> float:
    return float(length.to("mm"))
