"""Readings of an unknown thread, as they are written at the bench.

Source: what a caliper, a rule and a gauge leaf can be trusted to, where no plus-or-minus is given, is assumed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from re import fullmatch

from trialfit.errors import Refusal
from trialfit.finding import Basis, Reason
from trialfit.parts.thread_readings import Gender, PitchReading, ThreadReadings, Trial
from trialfit.parts.thread_tests import LEAF_SHARE
from trialfit.tables.threads import Thread
from trialfit.units import length_mm, read

_CALIPER_MM = 0.05
_ONE_PITCH_MM = 0.02
_TEN_BY_RULE_MM = 0.2
_FLANKS_DEG = 5.0
_TABLES_MM = (1.0, 22.0)
_PITCHES_MM = (0.25, 3.0)
_INCH_MM = 25.4


@dataclass(frozen=True)
class Asked:
    """Readings, and what was assumed in taking them.

    Parameters
    ----------
    readings
        The readings.
    assumed
        What was not said and had to be assumed.
    """

    readings: ThreadReadings
    assumed: tuple[Reason, ...]


def thread_asked(
    over: str | None = None,
    bore: str | None = None,
    pm: str | None = None,
    tpi: str | None = None,
    pitch: str | None = None,
    pitch_pm: str | None = None,
    ten: str | None = None,
    ten_pm: str | None = None,
    angle: str | None = None,
    tapers: bool | None = None,
    worn: bool = False,
    runs_on: Sequence[str] = (),
    binds: Sequence[str] = (),
) -> Asked:
    """Read what was measured.

    Parameters
    ----------
    over, bore
        Diameter over the crests of a male thread, or bore of a female one: one of the two.
    pm
        Its plus-or-minus, k = 2.
    tpi
        The leaf of a pitch gauge that seats: ``28`` or ``28 tpi``.
    pitch, pitch_pm
        One pitch, or the leaf of a metric gauge that seats, and its plus-or-minus.
    ten, ten_pm
        Length of ten threads, crest to eleventh crest, and its plus-or-minus.
    angle
        Included angle of the flanks, by the leaf that shows no light.
    tapers
        Whether it tapers; None where nobody looked.
    worn
        Whether its crests are worn.
    runs_on, binds
        Threads of nuts or screws that ran on, and that did not start or bound.

    Returns
    -------
    Asked
        The readings.

    Raises
    ------
    Refusal
        No diameter or two; a figure without its unit; a size no thread of the tables is near.
    """
    assumed: list[Reason] = []
    gender, across_mm = _across(over, bore)
    across_k2_mm = (
        length_mm(pm, "plus-or-minus") if pm else _assume(assumed, _CALIPER_MM, "the caliper is within {} mm")
    )
    pitches = []
    if tpi is not None:
        pitches.append(_leaf(tpi))
    if pitch is not None:
        one_mm = _plausible(length_mm(pitch, "pitch"), pitch, "pitch", 1)
        k2_mm = length_mm(pitch_pm, "plus-or-minus of the pitch") if pitch_pm else None
        k2_mm = k2_mm if k2_mm is not None else _assume(assumed, _ONE_PITCH_MM, "one pitch is read within {} mm")
        pitches.append(PitchReading(one_mm, k2_mm, 0, f"a pitch of {pitch}"))
    if ten is not None:
        tenth_mm = _plausible(length_mm(ten, "ten threads"), ten, "ten threads", 10)
        k2_mm = length_mm(ten_pm, "plus-or-minus of ten threads") if ten_pm else None
        k2_mm = k2_mm if k2_mm is not None else _assume(assumed, _TEN_BY_RULE_MM, "ten threads are read within {} mm")
        pitches.append(PitchReading(tenth_mm, k2_mm / 10, 10, f"ten threads of {ten}"))
    if tpi is not None:
        assumed.append(_assumed(f"a gauge leaf that seats is within {100 * LEAF_SHARE:g} % of the pitch"))
    trials = [Trial(_known(name), True) for name in runs_on] + [Trial(_known(name), False) for name in binds]
    angle_deg = _angle(angle, assumed)
    readings = ThreadReadings(
        gender, across_mm, across_k2_mm, tuple(pitches), angle_deg, _FLANKS_DEG, tapers, worn, tuple(trials)
    )
    return Asked(readings, tuple(assumed))


def _across(over: str | None, bore: str | None) -> tuple[Gender, float]:
    if (over is None) == (bore is None):
        got = "neither" if over is None else "both"
        remedy = "Measure a male thread over its crests (over), a female one across its bore (bore)."
        raise Refusal("diameter", got, "one of over and bore", remedy)
    gender: Gender = "male" if over is not None else "female"
    what, written = ("over the crests", over) if over is not None else ("bore", bore)
    across_mm = length_mm(written, what)
    low, high = _TABLES_MM
    if not low <= across_mm <= high:
        other = _other_unit(across_mm, str(written))
        raise Refusal(what, str(written).strip(), f"{low:g} to {high:g} mm, where the tables' threads lie", other)
    return gender, across_mm


def _other_unit(across_mm: float, written: str) -> str:
    """Ask for the other unit, where the figure would be a thread in it."""
    in_inches, in_mm = across_mm * _INCH_MM, across_mm / _INCH_MM
    if _TABLES_MM[0] <= in_inches <= _TABLES_MM[1] and written.endswith("mm"):
        return f"Were inches meant? {across_mm:g} in is {in_inches:.2f} mm."
    if _TABLES_MM[0] <= in_mm <= _TABLES_MM[1] and not written.endswith("mm"):
        return f"Were millimetres meant? Write {in_mm:g} mm."
    return "Measure again; the tables hold no thread of that size."


def _leaf(tpi: str) -> PitchReading:
    plain = tpi.strip()
    count = read(f"{plain} tpi" if fullmatch(r"\d+(\.\d+)?", plain) else plain, "threads per inch", "tpi").number
    if not _INCH_MM / _PITCHES_MM[1] <= count <= _INCH_MM / _PITCHES_MM[0]:
        remedy = "Read the leaf again; for a metric leaf give the pitch instead."
        raise Refusal("tpi", plain, "8.5 to 101 tpi", remedy)
    pitch_mm = _INCH_MM / float(count)
    return PitchReading(pitch_mm, LEAF_SHARE * pitch_mm, 0, f"a leaf of {float(count):g} tpi")


def _plausible(whole_mm: float, written: str, what: str, counted: int) -> float:
    low, high = (counted * each for each in _PITCHES_MM)
    if low <= whole_mm <= high:
        return whole_mm / counted
    remedy = (
        "Measure from one crest to the eleventh; give a single pitch as the pitch."
        if counted > 1
        else "Give the distance from crest to crest; give ten of them as ten threads."
    )
    raise Refusal(what, written.strip(), f"{low:g} to {high:g} mm", remedy)


def _known(name: str) -> Thread:
    from trialfit.tables.designations import find_thread  # a bench question that names no nut does not wait for it

    return find_thread(name, "thread of the trial nut or screw")


def _angle(angle: str | None, assumed: list[Reason]) -> float | None:
    if angle is None:
        return None
    plain = angle.strip()
    angle_deg = float(
        read(f"{plain} deg" if fullmatch(r"\d+(\.\d+)?", plain) else plain, "angle", "flank angle").to("deg")
    )
    if not 40 <= angle_deg <= 70:
        remedy = "Give the included angle, both flanks together: 55 deg for Whitworth, 60 deg for metric."
        raise Refusal("flank angle", plain, "40 to 70 deg", remedy)
    assumed.append(_assumed(f"the flank angle is read within {_FLANKS_DEG:g} deg"))
    return angle_deg


def _assume(assumed: list[Reason], k2_mm: float, said: str) -> float:
    assumed.append(_assumed(said.format(f"{k2_mm:g}")))
    return k2_mm


def _assumed(said: str) -> Reason:
    return Reason(f"No plus-or-minus was given: {said} (k = 2).", "", Basis.ASSUMED)
