"""Spindle speeds for the shop's lathe.

Source: surface speeds for high-speed steel in ``figures/cutting_speeds.csv``, the low end of each range; turns a minute
are surface speed over circumference, which in feet and inches is 12/pi V/d. Parting at half the turning speed and
reaming at half the drilling speed are common practice, no source.
"""

from __future__ import annotations

from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.records import Speed
from trialfit.tables.cutting import cutting_speeds, turns_per_min
from trialfit.tables.metals import Metal

# What the speed table calls each metal of the metals table: for turning, and for drilling.
_TURNING = {
    "CW614N": "brass on a small lathe",
    "CW612N": "brass on a small lathe",
    "CW451K": "bronze on a small lathe",
    "CC491K": "bronze on a small lathe",
    "CW024A": "copper",
    "SS303": "austenitic stainless steel",
    "SS316": "austenitic stainless steel",
    "MS070M20": "mild steel",
}
_DRILLING = {
    "CW614N": "brass and bronze",
    "CW612N": "brass and bronze",
    "CW451K": "brass and bronze",
    "CC491K": "brass and bronze",
    "CW024A": "copper",
    "SS303": "SS303",
    "SS316": "SS316",
    "MS070M20": "mild steel",
}
# A metal the table does not have is cut as the hardest it has. (Assumed.)
_UNKNOWN = ("austenitic stainless steel", "SS316")


def speed(operation: str, diameter_mm: float, metal: Metal, bench: TurningBench) -> Speed:
    """Choose a spindle speed.

    Parameters
    ----------
    operation
        Turning, parting, drilling or reaming.
    diameter_mm
        Diameter of work or tool. [mm]
    metal
        The metal cut.
    bench
        The shop, with its lathe's speeds.

    Returns
    -------
    Speed
        The next lower speed the lathe has.
    """
    surface = surface_speed_m_min(operation, metal)
    wanted = turns_per_min(surface, diameter_mm)
    lower = [rpm for rpm in bench.spindle_rpm if rpm <= wanted + 1e-9]
    owned = lower[-1] if lower else min(bench.spindle_rpm, default=wanted)
    return Speed(operation, diameter_mm, surface, wanted, owned, not lower and bool(bench.spindle_rpm))


def surface_speed_m_min(operation: str, metal: Metal) -> float:
    """Give the surface speed for an operation.

    Parameters
    ----------
    operation
        Turning, parting, drilling or reaming.
    metal
        The metal cut.

    Returns
    -------
    float
        The low end of the range printed. [m/min]
    """
    share = 0.5 if operation in ("parting", "reaming") else 1.0
    drilled = operation in ("drilling", "reaming")
    named = (_DRILLING if drilled else _TURNING).get(metal.key, _UNKNOWN[drilled])
    rows = [row for row in cutting_speeds("drilling" if drilled else "turning") if row.metal == named]
    return share * rows[0].low_m_min


def is_assumed(metal: Metal) -> bool:
    """Whether no speed is printed for a metal and the hardest's is taken.

    Parameters
    ----------
    metal
        The metal.

    Returns
    -------
    bool
        True where the sheet has to say so.
    """
    return metal.key not in _TURNING
