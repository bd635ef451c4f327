"""What it takes to pull a pipe onto a face it does not quite meet, and what heat does to it.

Held two ways at the far end: with the nut finger tight the end is drawn onto the face and turns as it likes; with
the cone seated it is turned into line as well. The start is seated throughout.

Source: `trialfit.fitup.flexibility`; von Mises' stress in the tube's outermost fibre; linear expansion.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from trialfit.finding import Figure, places_for
from trialfit.fitup.bends import BendTable, Pose
from trialfit.fitup.flexibility import TubeSection, end_flexibility, stations
from trialfit.fitup.records import Array, Strain
from trialfit.tables.metals import find_metal


@dataclass(frozen=True)
class Held:
    """A pipe with what it gives.

    Parameters
    ----------
    table
        Its shape from face to face.
    start
        Where it begins.
    section
        Its section.
    flexibility
        (6, 6) shift and turn of the far end by force and moment. [mm/N, 1/N, 1/(N·mm)]
    proof_mpa
        Stress at which it begins to take a set. [MPa]
    """

    table: BendTable
    start: Pose
    section: TubeSection
    flexibility: Array
    proof_mpa: float


def held(table: BendTable, start: Pose, section: TubeSection, proof_mpa: float) -> Held:
    """Hold a pipe at its start.

    Parameters
    ----------
    table
        Its shape from face to face.
    start
        Where it begins.
    section
        Its section.
    proof_mpa
        Stress at which it begins to take a set. [MPa]

    Returns
    -------
    Held
        With its flexibility worked out.
    """
    return Held(table, start, section, end_flexibility(table, start, section), proof_mpa)


def soft_proof_mpa(metal: str) -> float:
    """Proof stress of a tube as it comes from annealing.

    Parameters
    ----------
    metal
        Its name in the tables.

    Returns
    -------
    float
        Of the annealed state where print gives one, else the lowest printed. [MPa]

    Raises
    ------
    Refusal
        The tables do not know the metal.
    """
    found = find_metal(metal)
    soft = [strength.proof.low for strength in found.strengths if strength.condition == "annealed"]
    return soft[0] if soft else found.proof.low


def finger_tight(pipe: Held, shift_mm: Array) -> Strain:
    """Strain of a pipe whose far end is drawn onto its face by the nut and turns as it likes.

    Parameters
    ----------
    pipe
        The pipe, held at its start.
    shift_mm
        (3,) way the far end has to go. [mm]

    Returns
    -------
    Strain
        Force, stress, and whether it sets.
    """
    force = np.linalg.solve(pipe.flexibility[:3, :3], shift_mm)
    return _strain(pipe, np.concatenate([force, np.zeros(3)]))


def seated(pipe: Held, shift_mm: Array, turn_rad: Array) -> Strain:
    """Strain of a pipe whose far cone is drawn home: onto the face and into line.

    Parameters
    ----------
    pipe
        The pipe, held at its start.
    shift_mm
        (3,) way the far end has to go. [mm]
    turn_rad
        (3,) turn its end has to make, as a rotation vector. [rad]

    Returns
    -------
    Strain
        Force, moment, stress, and whether it sets.
    """
    return _strain(pipe, np.linalg.solve(pipe.flexibility, np.concatenate([shift_mm, turn_rad])))


def heat_shift_mm(lever_mm: Array, expansion_um_m_k: float, rise_k: float, face_moves_mm: Array) -> Array:
    """How far a pipe's free end falls short of its face when the pipe is warm.

    Parameters
    ----------
    lever_mm
        (3,) from start face to end face. [mm]
    expansion_um_m_k
        Linear expansion of the pipe. [um/(m K)]
    rise_k
        How much warmer the pipe is than when it was fitted. [K]
    face_moves_mm
        (3,) how the end face moves against the start face meanwhile. [mm]

    Returns
    -------
    Array
        (3,) way the far end has to be pushed. [mm]

    Notes
    -----
    A pipe that is warm throughout grows in proportion, bends and all: its end moves along the line between its ends
    however it is bent.
    """
    return np.asarray(face_moves_mm - expansion_um_m_k * 1e-6 * rise_k * lever_mm)


def setting_force_n(pipe: Held, way: Array) -> tuple[float, float]:
    """Force by hand at the far end that sets a soft pipe over, and how far it springs back when let go.

    Parameters
    ----------
    pipe
        The pipe, held fast at its start.
    way
        (3,) unit vector it is pushed. [-]

    Returns
    -------
    tuple
        Force at which the worst section yields right through [N]; the elastic part of the push [mm].

    Notes
    -----
    First yield times the tube's shape factor in bending, (16 / 3 pi) (1 - k^3) / (1 - k^4) with k = bore over outside
    diameter; hardening of the copper while it bends is left out, so expect more on a second try without annealing.
    """
    begins = pipe.proof_mpa / _strain(pipe, np.concatenate([way, np.zeros(3)])).stress.value
    hollow = pipe.section.bore_mm / pipe.section.od_mm
    force = begins * 16 / (3 * pi) * (1 - hollow**3) / (1 - hollow**4)
    return force, float(force * way @ pipe.flexibility[:3, :3] @ way)


def plastic_moment_nm(pipe: Held) -> float:
    """Bending moment at which the soft tube yields right through its section.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    float
        Proof stress times (od^3 - bore^3) / 6; hardening left out. [N·m]
    """
    section = pipe.section
    return pipe.proof_mpa * (section.od_mm**3 - section.bore_mm**3) / 6 / 1000.0


def _strain(pipe: Held, wrench: Array) -> Strain:
    laid, section = stations(pipe.table, pipe.start), pipe.section
    lever = laid.position_mm[-1] - laid.position_mm
    moment = wrench[3:] + np.cross(lever, wrench[:3])
    twist = np.sum(moment * laid.direction, axis=1)
    bending = np.linalg.norm(moment - twist[:, None] * laid.direction, axis=1)
    fibre = section.od_mm / 2 / section.second_moment_mm4
    pull = np.abs(laid.direction @ wrench[:3]) / section.area_mm2
    stress = np.sqrt((pull + bending * fibre) ** 2 + 3 * (twist * fibre / 2) ** 2)
    worst = int(np.argmax(stress))
    sets = laid.at_mm[stress > pipe.proof_mpa]
    whole = np.linalg.norm(moment, axis=1) / 1000.0
    return Strain(
        force=_two_figures(float(np.linalg.norm(wrench[:3])), "N"),
        start_moment=_two_figures(float(whole[0]), "N·m"),
        end_moment=_two_figures(float(whole[-1]), "N·m"),
        stress=_two_figures(float(stress[worst]), "MPa"),
        proof=Figure(pipe.proof_mpa, "MPa", None, 0),
        where=_where(int(laid.in_bend[worst]), float(laid.at_mm[worst])),
        sets_mm=(float(sets[0]), float(sets[-1])) if len(sets) else None,
    )


def _two_figures(value: float, unit: str) -> Figure:
    """What rests on a soft tube's proof stress and on where its faces are deserves no more."""
    return Figure(value, unit, None, places_for(value))


def _where(bend: int, at_mm: float) -> str:
    return f"{'in bend ' + str(bend) if bend else 'on a straight'}, {at_mm:.0f} mm along"
