"""Why a tail stands what it stands, in sentences.

Source: `trialfit.strength.tail` for the figures.
"""

from __future__ import annotations

from trialfit.finding import Band, Figure, Reason, places_for
from trialfit.strength.records import TailStrength

METHOD = "VDI 2230 part 1; core diameter less bore"
_LITTLE = 0.05


def said(band: Band) -> str:
    """Write a band for a sentence.

    Parameters
    ----------
    band
        Low, likely, high.

    Returns
    -------
    str
        One figure where the three are alike.
    """
    return str(single(band))


def single(band: Band) -> Band | Figure:
    """Give a band whose three are alike as the one figure it is.

    Parameters
    ----------
    band
        Low, likely, high.

    Returns
    -------
    Band or Figure
        The band, or the figure.
    """
    return Figure(band.likely, band.unit, None, band.places) if band.low == band.high else band


def torque(torque_nm: float) -> Figure:
    """Give a torque no more figures than a hand or a soft tail deserves.

    Parameters
    ----------
    torque_nm
        Torque. [N·m]

    Returns
    -------
    Figure
        The torque, written with two figures.
    """
    return Figure(torque_nm, "N·m", None, places_for(torque_nm))


def mm(length_mm: float) -> str:
    """Write a diameter so that a fraction of an inch keeps its value.

    Parameters
    ----------
    length_mm
        Length. [mm]

    Returns
    -------
    str
        To a thousandth, without idle noughts.
    """
    return f"{round(length_mm, 3):g} mm"


def section_reasons(strength: TailStrength) -> list[Reason]:
    """Say what metal there is, and how strong.

    Parameters
    ----------
    strength
        What the tail stands.

    Returns
    -------
    list of Reason
        Section, metal, and what was taken off.
    """
    tail, ring = strength.tail, strength.ring
    thread, state = tail.thread, tail.state
    text = (
        f"{thread.designation} with a bore of {mm(tail.bore_mm)}: {ring.wall_mm:.2f} mm of wall between the bottom "
        f"of the thread and the bore, {ring.area_mm2:.1f} mm² of metal."
    )
    reasons = [Reason(text, METHOD), state.because]
    if tail.offset_mm:
        least = f"The bore stands {tail.offset_mm:.2f} mm off the axis: the least wall is reckoned all round."
        reasons.append(Reason(least))
    if tail.share_lost:
        lost = f"{100 * tail.share_lost:.0f} % of the section is taken as gone from the {tail.lost_from}."
        reasons.append(Reason(lost))
    if state.soft:
        reasons.append(Reason("The tail is soft from the torch: silver solder anneals it, soft solder would not."))
    return reasons


def load_reasons(strength: TailStrength) -> list[Reason]:
    """Say what each load does.

    Parameters
    ----------
    strength
        What the tail stands.

    Returns
    -------
    list of Reason
        Tightening, undoing, bending by what hangs on it, pressure.
    """
    duty = strength.duty
    text = (
        f"Tightened, it yields at {said(strength.yield_torque)} and parts at {said(strength.break_torque)}; stuck "
        f"and being undone, it twists off at {said(strength.twist_off_torque)}."
    )
    reasons = [Reason(text, METHOD)]
    if duty.arm_mm is not None and strength.yield_force is not None and strength.break_force is not None:
        bends = (
            f"Across its far end, {duty.arm_mm:.0f} mm out, {said(strength.yield_force)} bends it for good "
            f"and {said(strength.break_force)} breaks it."
        )
        reasons.append(Reason(bends, "cantilever; plastic section modulus at breaking"))
    if strength.jolt is not None:
        weight = f"The {1000 * duty.mass_kg:.0f} g on it bend it for good under a jolt of {said(strength.jolt)}."
        reasons.append(Reason(weight))
    if duty.pressure_mpa:
        little = strength.pressure_pull_n < _LITTLE * strength.break_pull.low
        beside = ": little beside the spanner" if little else ""
        pressure = (
            f"The pressure pulls with {strength.pressure_pull_n:.0f} N and stresses the bore by "
            f"{strength.hoop_mpa:.1f} MPa{beside}."
        )
        reasons.append(Reason(pressure, "Lamé"))
    return reasons
