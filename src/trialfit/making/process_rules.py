"""The rules of an order of work: heat, acid, captive nuts, bends, swarf, flux and the test.

Source: the trade's, each with its sentence; figures by `trialfit.making.process_stands`, a nut's passing by
`trialfit.making.process_passing`.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from trialfit.finding import Basis
from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.making.process_exposure import exposure_rules
from trialfit.making.process_order import Rule
from trialfit.making.process_passing import hole_to_pass_mm
from trialfit.making.process_words import body_words, listed, work_words
from trialfit.units import Quantity

_CUTS = ("machine", "lap")
_KEPT_CLEAN = ("fit seal", "retaining compound")


def rules_of(entry: AssemblyEntry) -> tuple[Rule, ...]:
    """Give every rule of an assembly.

    Parameters
    ----------
    entry
        The assembly.

    Returns
    -------
    tuple of Rule
        What the job itself asks for first.
    """
    return (
        *_asked(entry),
        *exposure_rules(entry),
        *_captive_nuts(entry),
        *_flux_off(entry),
        *_soft_before_bending(entry),
        *_swarf(entry),
        *_tests(entry),
    )


def _asked(entry: AssemblyEntry) -> Iterator[Rule]:
    for name, step in entry.work.items():
        for before in step.after:
            because = f": {step.because.rstrip('.')}" if step.because else ""
            why = f"The job asks for {work_words(entry, before)} before {work_words(entry, name)}{because}."
            yield Rule(before, (name,), why, f'Take "{before}" out of "after".')


def _captive_nuts(entry: AssemblyEntry) -> Iterator[Rule]:
    """A nut comes on from its own end or from the far one; it must be on before the last of the two is barred."""
    for name, nut in entry.work.items():
        if nut.do != "slide on" or nut.end is None:
            continue
        for tube in nut.on:
            near = _bars(entry, name, nut, tube, own_end=True)
            far = _bars(entry, name, nut, tube, own_end=False)
            together = _two_ways([words for _, words in near], [words for _, words in far])
            for one, why_one in near:
                for other, why_other in far:
                    later = tuple(dict.fromkeys(each for each in (one, other) if each))
                    why = _captive(entry, name, why_one, why_other)
                    yield Rule(name, later, why, _frees_nut(entry, name), together)


def _two_ways(near: list[str], far: list[str]) -> str:
    if not near or not far:
        return ""
    own, other = listed(near, "or"), listed(far, "or")
    return (
        f"The nut has two ways on: from its own end, barred by {own}; from the other, barred by {other}. It must be on "
        "before both are."
    )


def _captive(entry: AssemblyEntry, name: str, near: str, far: str) -> str:
    return f"{work_words(entry, name)}: the nut cannot pass {near} at its own end, nor {far} coming from the other."


def _frees_nut(entry: AssemblyEntry, name: str) -> str:
    return f"Slide the nut of {work_words(entry, name)} on earlier, open its hole, or use a split nut."


def _bars(entry: AssemblyEntry, name: str, nut: Step, tube: str, own_end: bool) -> list[tuple[str, str]]:
    """What bars one of the nut's two ways: the work that puts it there, or nothing where it came so; and its words."""
    end = nut.end if own_end else ("end" if nut.end == "start" else "start")
    found: list[tuple[str, str]] = []
    body = entry.bodies.get(tube)
    if body is not None and end in body.stops:
        found.append(("", f"what came on the {end} of {body_words(entry, tube)}"))
    for other, step in entry.work.items():
        if other == name or tube not in step.on:
            continue
        words = work_words(entry, other)
        if step.do == "bend" and not own_end:
            needed = _hole_for_bend_mm(step, nut, _mm(body.od) if body else None)
            hole_mm = _mm(nut.hole)
            if needed is None or hole_mm is None:
                found.append((other, f"the bend of {words} (sizes not given: taken as too tight)"))
            elif hole_mm < needed:
                tight = f"a hole of {needed:.2f} mm is needed, it has {hole_mm:.2f}"
                if isinf(needed):
                    tight = f"on that radius no hole is wide enough for one {_mm(nut.long):g} mm long"
                found.append((other, f"the bend of {words} ({tight})"))
        elif step.do == "slide on" and step.end == end and not own_end:
            found.append((other, f"the nut of {words}"))
        elif step.do not in ("bend", "slide on") and step.end == end and not _goes_over(nut, step):
            found.append((other, f"what {words} leaves there"))
    return found


def _hole_for_bend_mm(bend: Step, nut: Step, od_mm: float | None) -> float | None:
    radius_mm, long_mm = _mm(bend.radius), _mm(nut.long)
    if od_mm is None or radius_mm is None or long_mm is None:
        return None
    angle_deg = float(bend.angle.to("deg")) if bend.angle else 180.0
    return hole_to_pass_mm(od_mm, radius_mm, long_mm, angle_deg)


def _goes_over(nut: Step, stop: Step) -> bool:
    hole_mm, outside_mm = _mm(nut.hole), _mm(stop.outside)
    return hole_mm is not None and outside_mm is not None and hole_mm > outside_mm


def _flux_off(entry: AssemblyEntry) -> Iterator[Rule]:
    for name, step in entry.work.items():
        if step.do != "silver-solder":
            continue
        pickles = tuple(
            other for other, each in entry.work.items() if each.do == "pickle" and set(each.on) & set(step.on)
        )
        if pickles:
            why = f"The flux of {work_words(entry, name)} has to come off in the pickle afterwards."
            yield Rule(name, pickles, why, "Clean that joint with hot water and a brush.", "", "", Basis.PRACTICE)


def _soft_before_bending(entry: AssemblyEntry) -> Iterator[Rule]:
    for name, step in entry.work.items():
        if step.do != "anneal":
            continue
        for other, bend in entry.work.items():
            # An anneal that is asked for after a bend softens the tube for whoever sets it by hand later.
            if bend.do == "bend" and other not in step.after and set(bend.on) & set(step.on):
                why = f"{work_words(entry, name)} softens the tube for {work_words(entry, other)}."
                yield Rule(name, (other,), why, "Bend it as it is, on a larger radius.", "", "", Basis.PRACTICE)


def _swarf(entry: AssemblyEntry) -> Iterator[Rule]:
    for name, step in entry.work.items():
        if step.do not in _CUTS:
            continue
        for other, clean in entry.work.items():
            if clean.do in _KEPT_CLEAN and set(clean.on) & set(step.on):
                why = f"Swarf and grit of {work_words(entry, name)} must not get into {work_words(entry, other)}."
                yield Rule(name, (other,), why, "Plug the openings while cutting.", "", "", Basis.PRACTICE)


def _tests(entry: AssemblyEntry) -> Iterator[Rule]:
    for test, step in entry.work.items():
        if step.do != "test":
            continue
        for name, each in entry.work.items():
            if each.do == "paint":
                why = f"Paint would hide a leak that {work_words(entry, test)} is to show."
                yield Rule(test, (name,), why, "Paint only what is not under pressure.", "", "", Basis.PRACTICE)
            elif each.do != "test" and not each.after_test:
                why = f"{work_words(entry, test)} proves what is finished."
                frees = f'Mark "{name}" with after_test = true, or test again after it.'
                yield Rule(name, (test,), why, frees, "", "", Basis.PRACTICE)


def _mm(length: Quantity | None) -> float | None:
    return None if length is None else float(length.to("mm"))
