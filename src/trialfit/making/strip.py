"""What a tapped thread holds before it strips, and what it costs to tap it.

Source: shear areas of `trialfit.strength.strip` (FED-STD-H28/2); limits of real threads assumed, see
`trialfit.parts.thread_limits`; tapping torque by a tap catalogue's formula, ``figures/cutting_and_tapping.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians, tan
from typing import Literal

from trialfit.errors import Refusal
from trialfit.finding import Band, Basis, Reason
from trialfit.parts.cited import cite
from trialfit.parts.thread_limits import thread_limits
from trialfit.strength.strip import ShearAreas, shear_areas, strip_force_n
from trialfit.tables.metals import Metal
from trialfit.tables.rules import rule
from trialfit.tables.threads import Thread

# A drill cuts over its size by up to this (assumed).
_DRILLED_OVER_MM = 0.05
_COARSE = ("M", "UNC", "BSW", "BA")
# Which printed cutting force is taken for a metal of the tables; bronze, gunmetal and copper have none.
_CUTTING = {
    "CW614N": "CuZn40",
    "CW612N": "CuZn40",
    "MS070M20": "steel Ck15",
    "SS303": "stainless 18/10",
    "SS316": "stainless 18/10",
}


@dataclass(frozen=True)
class Strip:
    """What a tapped hole and a solid screw in it hold.

    Parameters
    ----------
    engaged_mm
        Full thread engaged. [mm]
    pull
        Pull at which the first of the two threads strips. [N]
    first
        Which of them it is.
    core
        Pull at which a solid screw of the same thread parts at its core. [N]
    match_mm
        Engagement at which thread and core are a match, likely figures. [mm]
    because
        What the figures rest on.
    """

    engaged_mm: float
    pull: Band
    first: Literal["hole", "screw"]
    core: Band
    match_mm: float
    because: Reason


@dataclass(frozen=True)
class TappingTorque:
    """What it costs to cut a thread.

    Parameters
    ----------
    torque_n_m
        Torque at a sharp hand tap; None where no cutting force is printed for the metal. [N·m]
    times_usual
        The same over that of a hole which leaves 75 % of the form's depth. [-]
    because
        What the figure rests on.
    """

    torque_n_m: float | None
    times_usual: float
    because: Reason


def strip_strength(
    thread: Thread, hole_mm: float, engaged_mm: float, tapped: Metal, screw: Metal | None = None
) -> Strip:
    """Pull at which a tapped thread strips.

    Parameters
    ----------
    thread
        The thread; not a taper one.
    hole_mm
        Diameter of the hole before tapping. [mm]
    engaged_mm
        Length of full thread engaged. [mm]
    tapped
        Metal with the hole.
    screw
        Metal of the screw; None for the same.

    Returns
    -------
    Strip
        Low: threads at the limits that leave least metal, weakest metal. High: basic sizes, strongest metal. Likely:
        half way between.

    Raises
    ------
    Refusal
        The hole leaves no thread, or the engagement is nought or less.

    Valid
    -----
    The load spread over the whole engagement, as in metal that yields before it shears.
    """
    if not hole_mm < thread.major_mm:
        wanted = f"less than the {thread.major_mm:.2f} mm of the screw"
        raise Refusal(
            f"hole for {thread.designation}", f"{hole_mm:.2f} mm", wanted, "No thread is left: drill smaller."
        )
    if not engaged_mm > 0:
        raise Refusal("depth of thread", f"{engaged_mm:g} mm", "more than nought", "Give the length of full thread.")
    screw = screw or tapped
    basic, least = _areas(thread, hole_mm, 0.0), _areas(thread, hole_mm, 1.0)
    half = _areas(thread, hole_mm, 0.5)

    def pull(areas: ShearAreas, end: Literal["low", "likely", "high"]) -> float:
        return strip_force_n(areas, engaged_mm, getattr(screw.uts, end), getattr(tapped.uts, end))

    band = Band(pull(least, "low"), pull(half, "likely"), pull(basic, "high"), "N", 0)
    core_mm2 = pi / 4 * thread.core_mm**2
    core = Band(core_mm2 * screw.uts.low, core_mm2 * screw.uts.likely, core_mm2 * screw.uts.high, "N", 0)
    screw_first = half.male_mm2_per_mm * screw.uts.likely < half.female_mm2_per_mm * tapped.uts.likely
    return Strip(
        engaged_mm, band, "screw" if screw_first else "hole", core, engaged_mm * core.likely / band.likely, _rests_on(),
    )  # fmt: skip


def tapping_torque(thread: Thread, hole_mm: float, metal: Metal) -> TappingTorque:
    """Torque that cutting a thread takes.

    Parameters
    ----------
    thread
        The thread.
    hole_mm
        Diameter of the hole. [mm]
    metal
        Metal that is tapped.

    Returns
    -------
    TappingTorque
        Torque, and how it compares with the usual hole.

    Source
    ------
    Tap catalogue [S-TAPTQ]: kc K tan(half angle) (D - d)^2 (D + 2 d) / 24000, D of the tap and d of the hole.
    """
    usual_mm = thread.major_mm - 0.75 * (thread.major_mm - thread.core_internal_mm)
    times = _bite_mm3(thread, hole_mm) / _bite_mm3(thread, usual_mm)
    name = _CUTTING.get(metal.key)
    if name is None:
        said = f"No cutting force is printed for {metal.name}, so the torque is only compared."
        return TappingTorque(None, times, Reason(said, cite(("S-TAPTQ",)), Basis.HANDBOOK))
    force = rule("tapping torque", name)
    grade = "coarse" if thread.series in _COARSE else "fine"
    shape = rule("tapping torque", f"{'brass' if name == 'CuZn40' else 'steel'} {grade}")
    torque = (force.low or 0.0) * (shape.low or 0.0) * _bite_mm3(thread, hole_mm) / 24000
    said = (
        f"Tapping torque by a catalogue's formula with the cutting force of {name} and a sharp hand tap's factor "
        f"{shape.low:g}, {shape.note}"
    )
    return TappingTorque(torque, times, Reason(f"{said}.", cite(force.sources), Basis.HANDBOOK))


def _areas(thread: Thread, hole_mm: float, worst: float) -> ShearAreas:
    """Shear areas with this share of the tolerances used up, to the side that leaves less metal."""
    limits = thread_limits(thread)
    return shear_areas(
        thread.pitch_mm, thread.angle_deg,
        thread.major_mm - worst * (limits.gap_mm + limits.major_mm),
        thread.effective_mm - worst * (limits.gap_mm + limits.male_effective_mm),
        hole_mm + worst * _DRILLED_OVER_MM,
        thread.effective_mm + worst * limits.female_effective_mm,
    )  # fmt: skip


def _bite_mm3(thread: Thread, hole_mm: float) -> float:
    """What the formula of the catalogue makes of the section that is cut away."""
    major_mm = thread.major_mm
    return tan(radians(thread.angle_deg / 2)) * max(0.0, major_mm - hole_mm) ** 2 * (major_mm + 2 * hole_mm)


def _rests_on() -> Reason:
    said = (
        "Strip strength by the shear areas of FED-STD-H28/2, shear strength taken as tensile strength over root three; "
        "the low end with the limits of ISO 965-1 put on every form, the high end with basic sizes"
    )
    return Reason(f"{said}.", "FED-STD-H28/2", Basis.ASSUMED)
