"""Whether one thread goes on another.

Source: the forms and sizes of `trialfit.tables.threads`; ISO 228-1 and ISO 7-1 for parallel and taper pipe threads.
"""

from __future__ import annotations

from math import isclose

from trialfit.finding import Answer, Basis, Figure, Reason
from trialfit.parts.cited import cite
from trialfit.parts.records import Check, Port
from trialfit.tables.threads import Thread, thread_forms

# Diameters and pitches nearer than this are easily taken for one another with a rule and a thread gauge (assumed).
_ALIKE = 0.04
_SAME = 1e-6


def thread_checks(a: Port, b: Port) -> tuple[Check, ...]:
    """Hold two threaded ports against each other.

    Parameters
    ----------
    a, b
        The two ports; both have a thread.

    Returns
    -------
    tuple of Check
        The thread, then the gender.
    """
    if a.thread is None or b.thread is None:
        return ()
    return _thread(a, b, a.thread, b.thread), _gender(a, b)


def _gender(a: Port, b: Port) -> Check:
    for port in (a, b):
        if port.gender is None:
            reason = Reason(f"Whether the thread of {port.full_name} is male or female is not given.")
            return Check("gender", Answer.LOOK, reason, f"Give the gender of {port.full_name}.")
    if a.gender == b.gender:
        reason = Reason(f"Both threads are {a.gender}: {a.full_name} and {b.full_name}.")
        need = "female" if a.gender == "male" else "male"
        return Check("gender", Answer.STOP, reason, f"Make an adaptor with two {need} ends, or look at both again.")
    return Check("gender", Answer.GO, Reason("One thread is male, the other female."))


def _thread(a: Port, b: Port, one: Thread, other: Thread) -> Check:
    names = f"{one.designation} on {other.designation}"
    if one.is_same_as(other):
        alias = "" if one.designation == other.designation else ", which are one thread under two names"
        return Check("thread", Answer.GO, Reason(f"{names}{alias}.", _standard(one), _basis(one, other)))
    differences = _differences(one, other)
    if not differences:
        return _taper(a, b, one, other)
    figure, limit = _deciding(one, other)
    said = f"{names}: {'; '.join(differences)}."
    if _look_alike(one, other):
        said += " They are easily taken for one another: the one starts on the other and then binds or strips."
    reason = Reason(said, "", _basis(one, other))
    do = f"Make one of the two anew, or make an adaptor from {one.designation} to {other.designation}."
    return Check("thread", Answer.STOP, reason, do, figure, limit)


def _differences(one: Thread, other: Thread) -> list[str]:
    said = []
    if not _same(one.major_mm, other.major_mm):
        apart = abs(one.major_mm - other.major_mm)
        said.append(f"diameters {one.major_mm:.2f} and {other.major_mm:.2f} mm, {apart:.2f} mm apart")
    if not _same(one.pitch_mm, other.pitch_mm):
        apart = abs(one.pitch_mm - other.pitch_mm)
        said.append(f"pitches {one.pitch_mm:.3f} and {other.pitch_mm:.3f} mm, {apart:.3f} mm out at every turn")
    if one.angle_deg != other.angle_deg:
        said.append(f"flanks of {one.angle_deg:g} and {other.angle_deg:g} deg, which bear on an edge only")
    return said


def _deciding(one: Thread, other: Thread) -> tuple[Figure, Figure]:
    if not _same(one.pitch_mm, other.pitch_mm):
        return Figure(one.pitch_mm, "mm", None, 3), Figure(other.pitch_mm, "mm", None, 3)
    if not _same(one.major_mm, other.major_mm):
        return Figure(one.major_mm, "mm"), Figure(other.major_mm, "mm")
    return Figure(one.angle_deg, "deg", None, 1), Figure(other.angle_deg, "deg", None, 1)


def _look_alike(one: Thread, other: Thread) -> bool:
    pairs = ((one.major_mm, other.major_mm), (one.pitch_mm, other.pitch_mm))
    return all(isclose(first, second, rel_tol=_ALIKE) for first, second in pairs)


def _taper(a: Port, b: Port, one: Thread, other: Thread) -> Check:
    """Same form, diameter and pitch, one of them taper."""
    taper, parallel = (one, other) if one.taper else (other, one)
    tapered = a if one.taper else b
    if tapered.gender == "female":
        said = (
            f"{parallel.designation} is parallel and {taper.designation} taper: the parallel one binds on the first "
            "threads of the taper hole, a joint no standard provides for"
        )
    else:
        said = (
            f"{taper.designation} is taper and {parallel.designation} parallel: they go together, but a G thread is "
            "not made to seal on the thread"
        )
    do = f"Seal on a face with a washer, or make both {taper.designation}."
    return Check("thread", Answer.LOOK, Reason(f"{said}.", cite(("S-ISO228SCOPE",)), Basis.STANDARD), do)


def _same(one: float, other: float) -> bool:
    return isclose(one, other, rel_tol=_SAME)


def _standard(thread: Thread) -> str:
    return thread_forms()[thread.form].standard


def _basis(one: Thread, other: Thread) -> Basis:
    """The weaker of what the two sizes rest on."""
    return max((one.basis, other.basis), key=list(Basis).index)
