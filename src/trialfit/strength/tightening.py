"""Tightening a hollow tail: pull and twist together.

A torque on the tail, or on what it is part of, stretches it (preload) and twists it (the thread's own friction and
lead); what the shoulder's friction takes never reaches the thread. A spanner pulled at one side bends it as well.

Source: VDI 2230 part 1, sections on the assembly preload and the tightening torque: with thread friction mu, flank
angle alpha and mean bearing diameter D, torque over preload is P/(2 pi) + mu d2/(2 cos(alpha/2)) + mu D/2; the metal
yields where sqrt(sigma2 + 3 tau2) reaches its proof stress, tau taken over the fully yielded section.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sqrt

from trialfit.strength.section import Ring
from trialfit.tables.threads import Thread


@dataclass(frozen=True)
class Screwing:
    """What is screwed in, and how it is turned.

    Parameters
    ----------
    thread
        The male thread.
    bearing_mm
        Mean diameter of the face it tightens against; nought where no face bears, and all the torque goes into the
        thread. [mm]
    spanner_mm
        From the tail's axis to the hand; nought for a torque without a side pull. [mm]
    height_mm
        From the first thread that carries to the hand's plane, along the axis. [mm]
    """

    thread: Thread
    bearing_mm: float = 0.0
    spanner_mm: float = 0.0
    height_mm: float = 0.0


def thread_arm_mm(thread: Thread, friction: float) -> float:
    """Torque in the thread over the preload.

    Parameters
    ----------
    thread
        The thread.
    friction
        Coefficient of friction of the flanks. [-]

    Returns
    -------
    float
        Torque per newton of preload. [mm]
    """
    flank = cos(radians(thread.angle_deg / 2))
    return thread.pitch_mm / (2 * pi) + friction * thread.effective_mm / (2 * flank)


def torque_arm_mm(screwing: Screwing, friction: float) -> float:
    """Torque at the spanner over the preload.

    Parameters
    ----------
    screwing
        What is screwed in.
    friction
        Coefficient of friction of flanks and face alike. [-]

    Returns
    -------
    float
        Torque per newton of preload. [mm]
    """
    return thread_arm_mm(screwing.thread, friction) + friction * screwing.bearing_mm / 2


def preload_at_n(
    ring: Ring, screwing: Screwing, friction: float, stress_mpa: float, pull_n: float = 0.0, all_yielded: bool = False
) -> float:
    """Preload at which the equivalent stress reaches a value while the tail is being tightened.

    Parameters
    ----------
    ring
        Its metal.
    screwing
        What is screwed in.
    friction
        Coefficient of friction. [-]
    stress_mpa
        Proof stress for yielding; tensile strength for breaking. [MPa]
    pull_n
        Pull along the tail that is there already, as from pressure. [N]
    all_yielded
        Take the bending, too, over the fully yielded section, as at breaking.

    Returns
    -------
    float
        Preload; nought where the pull alone is too much. [N]
    """
    stretch, twist = _stresses(ring, screwing, friction, all_yielded)
    there_mpa = pull_n / ring.area_mm2
    if there_mpa >= stress_mpa:
        return 0.0
    # (there + stretch F)2 + 3 (twist F)2 = stress2, solved for F.
    square, half_linear = stretch**2 + 3 * twist**2, there_mpa * stretch
    return (sqrt(half_linear**2 + square * (stress_mpa**2 - there_mpa**2)) - half_linear) / square


def torque_at_nm(
    ring: Ring, screwing: Screwing, friction: float, stress_mpa: float, pull_n: float = 0.0, all_yielded: bool = False
) -> float:
    """Tightening torque at which the equivalent stress reaches a value.

    Parameters
    ----------
    ring, screwing, friction, stress_mpa, pull_n, all_yielded
        As in `preload_at_n`. [as there]

    Returns
    -------
    float
        Torque at the spanner. [N·m]

    Valid
    -----
    Pulled steadily and once, in metal that stretches before it breaks: no fatigue, no notch effect.
    """
    preload_n = preload_at_n(ring, screwing, friction, stress_mpa, pull_n, all_yielded)
    return preload_n * torque_arm_mm(screwing, friction) / 1000


def twist_off_torque_nm(ring: Ring, stress_mpa: float) -> float:
    """Torque that twists a stuck tail off without stretching it, as when it is being unscrewed.

    Parameters
    ----------
    ring
        Its metal.
    stress_mpa
        Tensile strength. [MPa]

    Returns
    -------
    float
        Torque. [N·m]

    Source
    ------
    The fully yielded section in shear at 1/sqrt 3 of the tensile strength (von Mises). ISO 898-7 gives 0.75 to 0.84 of
    it over the elastic modulus for hard steel screws; 4/(3 sqrt 3) = 0.77 is what this formula comes to.
    """
    return ring.torsion_plastic_mm3 * stress_mpa / sqrt(3) / 1000


def _stresses(ring: Ring, screwing: Screwing, friction: float, all_yielded: bool) -> tuple[float, float]:
    """Normal and shear stress for a preload of one newton."""
    stretch = 1 / ring.area_mm2
    if screwing.spanner_mm > 0:
        modulus_mm3 = ring.bending_plastic_mm3 if all_yielded else ring.bending_mm3
        stretch += torque_arm_mm(screwing, friction) / screwing.spanner_mm * screwing.height_mm / modulus_mm3
    return stretch, thread_arm_mm(screwing.thread, friction) / ring.torsion_plastic_mm3
