"""All that one hollow threaded tail stands: torque, pull and pressure, each as low, likely and high.

Low takes the weakest metal and the slipperiest thread together, high the strongest and the driest: a slippery thread
turns more of the torque into stretch.

Source: `trialfit.strength.tightening` and `trialfit.strength.strip`; bending by what hangs on the tail is a
cantilever's, force times arm; weight by standard gravity, 9.80665 m/s2.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

from trialfit.finding import Band, places_for
from trialfit.strength.records import Duty, Tail, TailStrength
from trialfit.strength.section import Ring
from trialfit.strength.strip import LEAST_SHARE, basic_shear_areas, engagement_to_match_mm, strip_force_n
from trialfit.strength.tightening import Screwing, torque_at_nm, twist_off_torque_nm

GRAVITY_N_KG = 9.80665


def screwing_of(tail: Tail, duty: Duty) -> Screwing:
    """Say how a tail is turned.

    Parameters
    ----------
    tail
        The tail.
    duty
        What it is asked to stand.

    Returns
    -------
    Screwing
        With the mean diameter of the face that bears, from the thread's crests to the shoulder's edge.
    """
    bearing_mm = 0.0
    if duty.shoulder_mm is not None:
        bearing_mm = (max(duty.shoulder_mm, tail.thread.major_mm) + tail.thread.major_mm) / 2
    return Screwing(tail.thread, bearing_mm, duty.spanner_mm or 0.0, duty.height_mm)


def tail_strength(tail: Tail, duty: Duty) -> TailStrength:
    """Work out what a tail stands.

    Parameters
    ----------
    tail
        The tail.
    duty
        What it is asked to stand.

    Returns
    -------
    TailStrength
        Complete.

    Raises
    ------
    Refusal
        The bore leaves no metal.

    Valid
    -----
    Loads applied once, in metal that stretches before it breaks. No fatigue, no season cracking, no notch.
    """
    ring, screwing, state = tail.ring, screwing_of(tail, duty), tail.state
    pull_n = pressure_pull_n(tail, duty)

    def torque(friction: float, stress_mpa: float, breaking: bool) -> float:
        return torque_at_nm(ring, screwing, friction, stress_mpa, pull_n, breaking)

    arm_mm = duty.arm_mm
    at_arm = None if arm_mm is None else arm_mm / 1000
    bend_yields = _of(state.proof, lambda mpa: ring.bending_mm3 * mpa / 1000, "N·m")
    bend_breaks = _of(state.uts, lambda mpa: ring.bending_plastic_mm3 * mpa / 1000, "N·m")
    weight_n = duty.mass_kg * GRAVITY_N_KG
    yield_force = None if at_arm is None else _of(bend_yields, lambda nm: nm / at_arm, "N")
    return TailStrength(
        tail=tail,
        duty=duty,
        ring=ring,
        yield_torque=_with_friction(state.proof, duty.friction, lambda mu, mpa: torque(mu, mpa, breaking=False)),
        break_torque=_with_friction(state.uts, duty.friction, lambda mu, mpa: torque(mu, mpa, breaking=True)),
        twist_off_torque=_of(state.uts, lambda mpa: twist_off_torque_nm(ring, mpa), "N·m"),
        break_pull=_of(state.uts, lambda mpa: ring.area_mm2 * mpa, "N"),
        pressure_pull_n=pull_n,
        hoop_mpa=hoop_mpa(ring, duty.pressure_mpa),
        yield_force=yield_force,
        break_force=None if at_arm is None else _of(bend_breaks, lambda nm: nm / at_arm, "N"),
        jolt=_jolt(yield_force, weight_n),
        strip_pull=_strip_pull(tail),
        engagement_mm=_engagement_mm(tail, ring),
    )


def pressure_pull_n(tail: Tail, duty: Duty) -> float:
    """Pull of the pressure along a tail.

    Parameters
    ----------
    tail
        The tail.
    duty
        What it is asked to stand.

    Returns
    -------
    float
        Pressure over the circle of the face that bears, or of the thread's crests where none does. [N]
    """
    return duty.pressure_mpa * pi / 4 * max(screwing_of(tail, duty).bearing_mm, tail.thread.major_mm) ** 2


def hoop_mpa(ring: Ring, pressure_mpa: float) -> float:
    """Stress of the pressure round the bore.

    Parameters
    ----------
    ring
        The metal that carries.
    pressure_mpa
        Gauge pressure. [MPa]

    Returns
    -------
    float
        Hoop stress at the bore. [MPa]

    Source
    ------
    Lamé's thick cylinder.
    """
    outside2, bore2 = ring.outside_mm**2, ring.bore_mm**2
    return pressure_mpa * (outside2 + bore2) / (outside2 - bore2) if ring.bore_mm > 0 else 0.0


def _strip_pull(tail: Tail) -> Band | None:
    if tail.engaged_mm is None or tail.into is None:
        return None
    areas, engaged_mm = basic_shear_areas(tail.thread), tail.engaged_mm
    shares = (LEAST_SHARE, (LEAST_SHARE + 1) / 2, 1.0)
    strengths = zip(shares, _ends(tail.state.uts), _ends(tail.into.uts), strict=True)
    ends = [share * strip_force_n(areas, engaged_mm, male, female) for share, male, female in strengths]
    return Band(ends[0], ends[1], ends[2], "N", places_for(ends[1]))


def _engagement_mm(tail: Tail, ring: Ring) -> float | None:
    if tail.into is None:
        return None
    areas, male_mpa, female_mpa = basic_shear_areas(tail.thread), tail.state.uts.likely, tail.into.uts.likely
    return engagement_to_match_mm(areas, ring.area_mm2 * male_mpa, male_mpa, female_mpa) / LEAST_SHARE


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high


def _jolt(yield_force: Band | None, weight_n: float) -> Band | None:
    """Not in g: beside masses in grams that would be read as grams."""
    if yield_force is None or weight_n <= 0:
        return None
    return _of(yield_force, lambda n: n / weight_n, "times its weight")


def _of(band: Band, law: Callable[[float], float], unit: str) -> Band:
    low, likely, high = (law(value) for value in _ends(band))
    return Band(low, likely, high, unit, places_for(likely))


def _with_friction(stress: Band, friction: Band, law: Callable[[float, float], float]) -> Band:
    low, likely, high = (law(mu, mpa) for mu, mpa in zip(_ends(friction), _ends(stress), strict=True))
    return Band(low, likely, high, "N·m", places_for(likely))
