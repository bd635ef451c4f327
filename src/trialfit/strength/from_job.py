"""From the broken tails of a job to what is worked out of them.

Source: what the job leaves out is assumed here, each with its sentence.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Basis, Reason
from trialfit.job.breaks import BreakEntry, Repaired
from trialfit.job.records import Job
from trialfit.strength.metal_state import MetalState, metal_state
from trialfit.strength.reasons import mm
from trialfit.strength.records import Duty, Tail
from trialfit.tables.designations import find_thread
from trialfit.tables.metals import find_metal
from trialfit.units import Quantity

COMMON_METAL = "CW614N"
# Where the broken section is not the one that is reckoned with.
_ELSEWHERE = {
    "in the plain tube": "It broke in the plain tube: these figures are those of the thread, which held.",
    "at a cross hole": "It broke at a cross hole: the hole is reckoned with only where its share is entered as lost.",
}


@dataclass(frozen=True)
class BreakCase:
    """One broken tail, ready to be worked out.

    Parameters
    ----------
    name
        Its name in the job.
    what
        Which one, in words.
    found
        The tail as found.
    repaired
        The tail as it is to be; None where the job does not say.
    duty
        What both are asked to stand.
    seen
        Names of the clues.
    assumed
        What the job left out and is assumed.
    """

    name: str
    what: str
    found: Tail
    repaired: Tail | None
    duty: Duty
    seen: tuple[str, ...]
    assumed: tuple[Reason, ...]


def break_case(job: Job, name: str, entry: BreakEntry) -> BreakCase:
    """Make one broken tail of a job ready.

    Parameters
    ----------
    job
        The job.
    name
        The tail's name.
    entry
        What the job says of it.

    Returns
    -------
    BreakCase
        With what had to be assumed.
    """
    assumed = []
    metal = entry.metal or _metal_of_part(job, entry.part)
    if metal is None:
        metal = COMMON_METAL
        text = f"The metal is not known; {COMMON_METAL}, {find_metal(COMMON_METAL).name}, is taken."
        assumed.append(Reason(text, "", Basis.ASSUMED))
    thread = find_thread(entry.thread, f"break {name}, thread")
    into = _state(entry.into, softened=False)
    found = Tail(
        thread=thread,
        bore_mm=_mm(entry.bore) or 0.0,
        state=metal_state(find_metal(metal), entry.soldered),
        offset_mm=_mm(entry.off_centre) or 0.0,
        share_lost=float(entry.lost.to("%")) / 100 if entry.lost else 0.0,
        lost_from=entry.lost_from,
        engaged_mm=_mm(entry.engaged),
        into=into,
    )
    if entry.shoulder is None:
        text = "No shoulder is entered: all the torque is taken to go into the thread, which is the harder case."
        assumed.append(Reason(text, "", Basis.ASSUMED))
    if entry.where in _ELSEWHERE:
        assumed.append(Reason(_ELSEWHERE[entry.where]))
    height_mm = thread.major_mm
    if entry.spanner is not None and entry.spanner.height is not None:
        height_mm = float(entry.spanner.height.to("mm"))
    elif entry.spanner is not None:
        text = f"The spanner is taken to sit one thread's diameter, {mm(height_mm)}, above the first thread."
        assumed.append(Reason(text, "", Basis.ASSUMED))
    duty = Duty(
        pressure_mpa=float(job.engine.working_pressure.to("MPa")),
        shoulder_mm=_mm(entry.shoulder),
        spanner_mm=_mm(entry.spanner.length) if entry.spanner else None,
        height_mm=height_mm,
        mass_kg=float(entry.hangs.mass.to("kg")) if entry.hangs else 0.0,
        arm_mm=_mm(entry.hangs.arm) if entry.hangs else None,
    )
    seen = (*([entry.where] if entry.where else []), *entry.evidence)
    repaired = None if entry.repaired is None else _repaired(entry.repaired, found, metal)
    return BreakCase(name, entry.what or name, found, repaired, duty, seen, tuple(assumed))


def _repaired(entry: Repaired, found: Tail, metal: str) -> Tail:
    """A new tail is sound, bored true, and of the metal named or the old one's."""
    return Tail(
        thread=find_thread(entry.thread) if entry.thread else found.thread,
        bore_mm=found.bore_mm if entry.bore is None else float(entry.bore.to("mm")),
        state=metal_state(find_metal(entry.metal or metal), entry.soldered),
        engaged_mm=found.engaged_mm if entry.engaged is None else float(entry.engaged.to("mm")),
        into=found.into,
    )


def _metal_of_part(job: Job, part: str | None) -> str | None:
    return job.parts[part].metal if part is not None and part in job.parts else None


def _state(metal: str | None, softened: bool) -> MetalState | None:
    return None if metal is None else metal_state(find_metal(metal), softened)


def _mm(length: Quantity | None) -> float | None:
    return None if length is None else float(length.to("mm"))
