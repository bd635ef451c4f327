"""The shape of a thread along its axis, as its form gives it.

Each flank is straight; crest and root are rounded by the circle that touches both flanks and reaches just to the major
or the core diameter, except where the form has a flat. The circle's radius follows: with the sharp corner cut off by t
and half angle a it is t sin a / (1 - sin a).

Source: BS 84 (rounded crest and root), BS 93, ISO 68-1 and ISO 965-1 (flat crest of P/8, rounded root of the male).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin, tan

from trialfit.tables.threads import Thread, thread_forms

_FLAT_CRESTS = ("ISO60",)
_STEPS = 8


@dataclass(frozen=True)
class ThreadProfile:
    """One pitch of a male thread, from root to root.

    Parameters
    ----------
    points_mm
        Along the axis from the crest, and radius. [mm]
    crest_radius_mm, root_radius_mm
        Radii of the rounding; nought where it is flat. [mm]
    """

    points_mm: tuple[tuple[float, float], ...]
    crest_radius_mm: float
    root_radius_mm: float


def thread_profile(thread: Thread) -> ThreadProfile:
    """Give the shape of a male thread of basic size.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    ThreadProfile
        One pitch, the crest at nought.
    """
    pitch_mm, half = thread.pitch_mm, radians(thread.angle_deg / 2)
    sharp_mm = thread_forms()[thread.form].height_per_pitch * pitch_mm
    apex_mm = (thread.effective_mm + sharp_mm) / 2
    crest_cut_mm = apex_mm - thread.major_mm / 2
    root_cut_mm = thread.core_mm / 2 - (apex_mm - sharp_mm)
    flat = thread.form in _FLAT_CRESTS
    crest_mm, root_mm = 0.0 if flat else _rounding(crest_cut_mm, half), _rounding(root_cut_mm, half)
    if flat:
        crest = [(crest_cut_mm * tan(half), thread.major_mm / 2)]
    else:
        crest = [(z, apex_mm - crest_mm / sin(half) + r) for z, r in _arc(crest_mm, half)]
    root = [(pitch_mm / 2 - z, apex_mm - sharp_mm + root_mm / sin(half) - r) for z, r in reversed(_arc(root_mm, half))]
    right = [*crest, *root]
    left = [(-z, r) for z, r in reversed(right)]
    if not flat:
        left = left[:-1]
    return ThreadProfile((*left, *right), crest_mm, root_mm)


def _rounding(cut_mm: float, half: float) -> float:
    return cut_mm * sin(half) / (1 - sin(half))


def _arc(radius_mm: float, half: float) -> list[tuple[float, float]]:
    """From the top of the circle to where it touches the flank, from its centre."""
    turn = pi / 2 - half
    return [(radius_mm * sin(turn * k / _STEPS), radius_mm * cos(turn * k / _STEPS)) for k in range(_STEPS + 1)]
