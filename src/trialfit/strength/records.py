"""What a hollow threaded tail is, what it is asked to stand, and what it stands.

Source: none; these are records.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Band
from trialfit.strength.assumed import FRICTION
from trialfit.strength.metal_state import MetalState
from trialfit.strength.section import Ring, Side, threaded_ring, without
from trialfit.tables.threads import Thread


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
        Jolt under which the weight hung on it bends it for good, in multiples of that weight; None where no weight
        or arm is known. [-]
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
