"""All that one hollow threaded tail stands: torque, pull and pressure, each as low, likely and high.

Low takes the weakest metal and the slipperiest thread together, high the strongest and the driest: a slippery thread
turns more of the torque into stretch.

Source: `trialfit.strength.tightening` and `trialfit.strength.strip`; bending by what hangs on the tail is a
cantilever's, force times arm; weight by standard gravity, 9.80665 m/s2.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

from trialfit.finding import Band
from trialfit.strength.assumed import FRICTION
from trialfit.strength.metal_state import MetalState
from trialfit.strength.section import Ring, Side, threaded_ring, without
from trialfit.strength.strip import LEAST_SHARE, basic_shear_areas, engagement_to_match_mm, strip_force_n
from trialfit.strength.tightening import Screwing, preload_at_n, torque_at_nm, twist_off_torque_nm
from trialfit.tables.threads import Thread

GRAVITY_N_KG = 9.80665


@dataclass(frozen=True)
class Tail:
    """A hollow threaded tail.

    Parameters
    ----------
    thread
        Its male thread.
    bore_mm
        Its bore under the thread. [mm]
    state
        Its metal as it stands.
    offset_mm
        How far the bore stands off the thread's axis. [mm]
    share_lost
        Share of the section that no longer carries: zinc gone, or cracked. [-]
    lost_from
        From which side that share is gone.
    engaged_mm
        Length of full thread in the other part; None where not known. [mm]
    into
        The other part's metal; None where not known.
    """

    thread: Thread
    bore_mm: float
    state: MetalState
    offset_mm: float = 0.0
    share_lost: float = 0.0
    lost_from: Side = "outside"
    engaged_mm: float | None = None
    into: MetalState | None = None

    @property
    def ring(self) -> Ring:
        """The metal that carries."""
        return without(threaded_ring(self.thread, self.bore_mm, self.offset_mm), self.share_lost, self.lost_from)


@dataclass(frozen=True)
class Duty:
    """What a tail is asked to stand.

    Parameters
    ----------
    pressure_mpa
        Gauge pressure inside. [MPa]
    shoulder_mm
        Outside diameter of the face it tightens against; None where no face bears. [mm]
    spanner_mm
        From the tail's axis to the hand; None where not known. [mm]
    height_mm
        From the first thread that carries to the plane of the spanner. [mm]
    mass_kg
        Mass of what hangs on it. [kg]
    arm_mm
        From the first thread that carries to that mass, or to where a hand would catch it; None where not known. [mm]
    friction
        Friction of thread and face. [-]
    """

    pressure_mpa: float = 0.0
    shoulder_mm: float | None = None
    spanner_mm: float | None = None
    height_mm: float = 0.0
    mass_kg: float = 0.0
    arm_mm: float | None = None
    friction: Band = FRICTION


@dataclass(frozen=True)
class TailStrength:
    """What a tail stands.

    Parameters
    ----------
    tail, duty
        What was asked.
    ring
        The metal that carries.
    yield_torque, break_torque
        Tightening torque at which it yields, and at which it parts. [N·m]
    twist_off_torque
        Torque that twists it off without stretching it, as when it is stuck and being unscrewed. [N·m]
    break_pull
        Straight pull that parts it. [N]
    pressure_pull_n
        Pull of the pressure. [N]
    hoop_mpa
        Stress of the pressure round the bore. [MPa]
    yield_force, break_force
        Force across the far end that bends it for good, and that breaks it; None where no arm is known. [N]
    jolt
        Jolt under which the weight hung on it bends it for good, in multiples of gravity; None where no weight or arm
        is known. [g]
    strip_pull
        Pull at which the threads shear out; None where the engagement is not known. [N]
    engagement_mm
        Engagement at which the thread holds as much as the tail, at the lowest; None where the other metal is not
        known. [mm]
    """

    tail: Tail
    duty: Duty
    ring: Ring
    yield_torque: Band
    break_torque: Band
    twist_off_torque: Band
    break_pull: Band
    pressure_pull_n: float
    hoop_mpa: float
    yield_force: Band | None
    break_force: Band | None
    jolt: Band | None
    strip_pull: Band | None
    engagement_mm: float | None


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
    bend_yields = _of(state.proof, lambda mpa: ring.bending_mm3 * mpa / 1000, "N·m", 2)
    bend_breaks = _of(state.uts, lambda mpa: ring.bending_plastic_mm3 * mpa / 1000, "N·m", 2)
    weight_n = duty.mass_kg * GRAVITY_N_KG
    yield_force = None if at_arm is None else _of(bend_yields, lambda nm: nm / at_arm, "N", 0)
    return TailStrength(
        tail=tail,
        duty=duty,
        ring=ring,
        yield_torque=_with_friction(state.proof, duty.friction, lambda mu, mpa: torque(mu, mpa, breaking=False)),
        break_torque=_with_friction(state.uts, duty.friction, lambda mu, mpa: torque(mu, mpa, breaking=True)),
        twist_off_torque=_of(state.uts, lambda mpa: twist_off_torque_nm(ring, mpa), "N·m", 2),
        break_pull=_of(state.uts, lambda mpa: ring.area_mm2 * mpa, "N", 0),
        pressure_pull_n=pull_n,
        hoop_mpa=hoop_mpa(ring, duty.pressure_mpa),
        yield_force=yield_force,
        break_force=None if at_arm is None else _of(bend_breaks, lambda nm: nm / at_arm, "N", 0),
        jolt=_of(yield_force, lambda n: n / weight_n, "g", 0) if yield_force is not None and weight_n > 0 else None,
        strip_pull=_strip_pull(tail),
        engagement_mm=_engagement_mm(tail, ring),
    )


def yield_preload_n(tail: Tail, duty: Duty) -> Band:
    """Preload in a tail that is tightened until it yields.

    Parameters
    ----------
    tail
        The tail.
    duty
        What it is asked to stand.

    Returns
    -------
    Band
        The preload. [N]
    """
    ring, screwing, pull_n = tail.ring, screwing_of(tail, duty), pressure_pull_n(tail, duty)
    ends = [
        preload_at_n(ring, screwing, friction, stress_mpa, pull_n)
        for friction, stress_mpa in zip(_ends(duty.friction), _ends(tail.state.proof), strict=True)
    ]
    return Band(min(ends), ends[1], max(ends), "N", 0)


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
    return Band(ends[0], ends[1], ends[2], "N", 0)


def _engagement_mm(tail: Tail, ring: Ring) -> float | None:
    if tail.into is None:
        return None
    areas, male_mpa, female_mpa = basic_shear_areas(tail.thread), tail.state.uts.likely, tail.into.uts.likely
    return engagement_to_match_mm(areas, ring.area_mm2 * male_mpa, male_mpa, female_mpa) / LEAST_SHARE


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high


def _of(band: Band, law: Callable[[float], float], unit: str, places: int) -> Band:
    low, likely, high = (law(value) for value in _ends(band))
    return Band(low, likely, high, unit, places)


def _with_friction(stress: Band, friction: Band, law: Callable[[float, float], float]) -> Band:
    low, likely, high = (law(mu, mpa) for mu, mpa in zip(_ends(friction), _ends(stress), strict=True))
    return Band(low, likely, high, "N·m")
