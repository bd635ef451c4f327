"""The metal left in a hollow threaded tail: a ring from the bottom of the thread to the bore.

Source: areas and moduli of a round hollow section in any strength of materials; the fully plastic torsion modulus is
the one VDI 2230 part 1 uses (pi d3/12 for a solid screw).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from trialfit.errors import Refusal
from trialfit.tables.threads import Thread

At = Literal["core", "stress"]
Side = Literal["inside", "outside"]


@dataclass(frozen=True)
class Ring:
    """A round hollow section.

    Parameters
    ----------
    outside_mm, bore_mm
        Outside diameter and bore; the bore may be nought. [mm]
    """

    outside_mm: float
    bore_mm: float

    def __post_init__(self) -> None:
        """Refuse a ring without metal.

        Raises
        ------
        Refusal
            The bore leaves no wall.
        """
        if not 0 <= self.bore_mm < self.outside_mm:
            raise Refusal(
                "bore", f"{self.bore_mm:.2f} mm", f"less than {self.outside_mm:.2f} mm, where the metal ends",
                f"Nothing would be left to hold: bore it less than {self.outside_mm:.2f} mm, or take a larger thread.",
            )  # fmt: skip

    @property
    def wall_mm(self) -> float:
        """Thickness of the wall. [mm]"""
        return (self.outside_mm - self.bore_mm) / 2

    @property
    def area_mm2(self) -> float:
        """Area of metal. [mm²]"""
        return pi / 4 * (self.outside_mm**2 - self.bore_mm**2)

    @property
    def bending_mm3(self) -> float:
        """Section modulus: bending moment at first yield over the stress. [mm³]"""
        return pi / 32 * (self.outside_mm**4 - self.bore_mm**4) / self.outside_mm

    @property
    def bending_plastic_mm3(self) -> float:
        """The same when the whole section has yielded. [mm³]"""
        return (self.outside_mm**3 - self.bore_mm**3) / 6

    @property
    def torsion_mm3(self) -> float:
        """Torsion modulus: torque at first yield over the shear stress. [mm³]"""
        return pi / 16 * (self.outside_mm**4 - self.bore_mm**4) / self.outside_mm

    @property
    def torsion_plastic_mm3(self) -> float:
        """The same when the whole section has yielded. [mm³]"""
        return pi / 12 * (self.outside_mm**3 - self.bore_mm**3)


def metal_diameter_mm(thread: Thread, at: At = "core") -> float:
    """Diameter taken as the outside of the metal in a male thread.

    Parameters
    ----------
    thread
        The thread.
    at
        ``core``: the bottom of the thread, for a thin-walled tail, whose wall ends there. ``stress``: half way between
        core and effective diameter, to which VDI 2230 refers the tightening of solid screws: a screw in tension proves
        stronger than its core, because the helix never crosses a whole plane at the bottom of the thread.

    Returns
    -------
    float
        Diameter. [mm]
    """
    return thread.core_mm if at == "core" else (thread.core_mm + thread.effective_mm) / 2


def threaded_ring(thread: Thread, bore_mm: float, offset_mm: float = 0.0, at: At = "core") -> Ring:
    """Metal of a hollow threaded tail.

    Parameters
    ----------
    thread
        The male thread.
    bore_mm
        Bore; nought for a solid tail. [mm]
    offset_mm
        How far the bore's axis stands from the thread's. [mm]
    at
        Which diameter of the thread the metal reaches to.

    Returns
    -------
    Ring
        The largest ring about the bore that lies wholly in the metal: its wall is the least wall. By the lower-bound
        theorem of plasticity the true section carries at least what this ring carries.

    Raises
    ------
    Refusal
        The bore breaks out into the thread.
    """
    outside_mm = metal_diameter_mm(thread, at) - 2 * abs(offset_mm)
    if not 0 <= bore_mm < outside_mm:
        off = f" standing {abs(offset_mm):.2f} mm off its axis" if offset_mm else ""
        raise Refusal(
            f"bore of a {thread.designation} tail", f"{bore_mm:.2f} mm{off}", f"less than {max(outside_mm, 0):.2f} mm",
            f"The thread is cut down to {metal_diameter_mm(thread, at):.2f} mm: bore it less, or use a larger thread.",
        )  # fmt: skip
    return Ring(outside_mm, bore_mm)


def without(ring: Ring, share_lost: float, side: Side) -> Ring:
    """Metal left when a share of the section no longer carries.

    Parameters
    ----------
    ring
        The section as made.
    share_lost
        Share of its area that has lost its zinc or is cracked through, from 0 up to but not including 1. [-]
    side
        From which side it is gone: ``inside``, as where water took the zinc, or ``outside``, as a crack round the
        bottom of the thread, which costs more strength for the same area.

    Returns
    -------
    Ring
        The sound ring.

    Raises
    ------
    Refusal
        The share is not between 0 and 1.
    """
    if not 0 <= share_lost < 1:
        raise Refusal(
            "share of the section lost", f"{100 * share_lost:g} %", "from 0 % to less than 100 %",
            "Write how much of the broken face is pink or dark, for instance 40 %.",
        )  # fmt: skip
    outside2, bore2 = ring.outside_mm**2, ring.bore_mm**2
    gone2 = share_lost * (outside2 - bore2)
    if side == "inside":
        return Ring(ring.outside_mm, sqrt(bore2 + gone2))
    return Ring(sqrt(outside2 - gone2), ring.bore_mm)
