"""Filler, flux, gap, solder, thin parts and service: what is asked of the joint itself.

Source: `trialfit.heat.filler`, `trialfit.heat.gap`, `trialfit.heat.thin` and `trialfit.heat.service`.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason
from trialfit.heat.filler import fillers_under, flux_suits, fluxes_for, liquid_below_k, step_order
from trialfit.heat.gap import FILLET_MM, hot_gap_mm, solder_mm3, wire_mm
from trialfit.heat.records import Work
from trialfit.heat.service import Leg, Service, joint_service, service, service_c
from trialfit.heat.thin import UNEVEN_K, buckles_k
from trialfit.heat.wording import as_subject
from trialfit.parts.cited import cite
from trialfit.parts.stands import is_silver, melting_c
from trialfit.tables.metals import Metal, find_metal
from trialfit.tables.rules import rule

SAME_FILLER = (
    "Both are of one filler, so that the order keeps neither from running again; only what is kept cool stays."
)

LET_PASS = 0.7
"""Share of the distance asked between flux and solidus that is let pass: makers' ranges are round figures. Assumed."""


def flux_finding(work: Work) -> Iterator[Finding]:
    """Whether the flux is liquid soon enough and lasts hot enough.

    Parameters
    ----------
    work
        The heat.

    Yields
    ------
    Finding
        One, for a silver filler.
    """
    filler, flux = work.entry.filler, work.entry.flux
    if filler is None or not is_silver(filler) or work.entry.do != "silver-solder":
        return
    suit = ", ".join(each.name for each in fluxes_for(filler)[:3])
    ranges = Reason(f"{filler} melts from {melting_c(filler)[0]:.0f} to {melting_c(filler)[1]:.0f} °C.")
    found = rule("flux", "liquid below solidus")
    asked = Reason(found.text, cite(found.sources), found.basis)
    question = f"Does the flux suit {filler}?"
    if flux is None:
        yield _said(work, question, Answer.LOOK, None, None, (ranges, asked), f"Name the flux; these suit: {suit}.")
        return
    below_k, above_k = flux_suits(flux, filler)
    least_k = LET_PASS * liquid_below_k()
    good = below_k >= least_k and above_k >= 0.0
    answer = Answer.GO if good else Answer.STOP if above_k < 0.0 or below_k <= 0.0 else Answer.LOOK
    called = f"{flux[:1].upper()}{flux[1:]}"
    text = f"{called} flux is liquid {below_k:.0f} K below its solidus and lasts {above_k:.0f} K above its liquidus."
    do = "" if good else f"These suit: {suit}."
    figure, limit = Figure(below_k, "K", None, 0), Figure(least_k, "K", None, 0)
    passed = Reason(f"{liquid_below_k():.0f} K is what is asked; {least_k:.0f} K is let pass.", "", Basis.ASSUMED)
    yield _said(work, question, answer, figure, limit, (ranges, Reason(text), asked, passed), do)


def order_finding(work: Work) -> Iterator[Finding]:
    """Whether this filler runs before the joints that are there begin to melt.

    Parameters
    ----------
    work
        The heat.

    Yields
    ------
    Finding
        One, where joints are there.
    """
    there = [each.filler for each in work.entry.there.values() if each.filler is not None]
    if work.entry.filler is None or not there:
        return
    lowest_c = min(melting_c(name)[0] for name in there)
    runs_c = melting_c(work.entry.filler)[1]
    order, clash = step_order(dict.fromkeys([*there, work.entry.filler]))
    first = Reason("The filler that melts highest goes first.", "", Basis.PRACTICE)
    text = f"{work.entry.filler} is all liquid at {runs_c:.0f} °C; what is there begins to melt at {lowest_c:.0f} °C."
    if runs_c < lowest_c:
        yield _said(work, "Does this filler run before the joints that are there let go?", Answer.GO,
                    _c(runs_c), _c(lowest_c), (Reason(text), first), "")  # fmt: skip
        return
    under = [each.name for each in fillers_under(lowest_c)]
    do = f"These run before it: {', '.join(under[:4])}." if under else "No silver filler runs before it."
    do += " Or keep what is there under that by distance, a wet rag or a clamp, or run both in one heat."
    by_order = f"Highest first it would be {', '.join(order)}." if len(order) > 1 else SAME_FILLER
    if clash:
        pairs = "; ".join(f"{b} runs only when {a} has begun to melt" for a, b in clash)
        by_order += f" Even so {pairs}, and distance or a wet rag has to keep them apart."
    yield _said(work, "Does this filler run before the joints that are there let go?", Answer.LOOK,
                _c(runs_c), _c(lowest_c), (Reason(text), first, Reason(by_order)), do)  # fmt: skip


def gap_finding(work: Work) -> tuple[tuple[Finding, ...], Band | None, str]:
    """The gap when hot, and the solder for it.

    Parameters
    ----------
    work
        The heat.

    Returns
    -------
    tuple
        Findings; gap per side when hot [mm]; length of wire in words.
    """
    gap = work.entry.gap
    if gap is None:
        return (), None, ""
    hole, shank, overlap = (float(each.to("mm")) for each in (gap.hole, gap.shank, gap.overlap))
    outer, inner = find_metal(gap.outer), find_metal(gap.inner)
    hot = hot_gap_mm(hole, shank, outer, inner, work.needs_c)
    wanted = rule("joint", "gap per side")
    low, high = wanted.low or 0.05, wanted.high or 0.2
    inside = low <= hot.low and hot.high <= high
    answer = Answer.GO if inside else Answer.STOP if hot.high <= 0.0 else Answer.LOOK
    cold_mm = (hole - shank) / 2.0
    grows = hot.likely - cold_mm
    change = "stays as it is" if abs(grows) < 0.001 else f"{'opens' if grows > 0 else 'closes'} by {abs(grows):.3f} mm"
    pair = f"{_short(inner)} in {_short(outer)}"
    said = f"Cold it is {cold_mm:.3f} mm on each side; {pair} {change} by {work.needs_c:.0f} °C."
    reasons = [
        Reason(said, "expansion as the tables print it, near room temperature"),
        Reason(f"Fillers run in {low:g} to {high:g} mm on each side when hot.", cite(wanted.sources), wanted.basis),
    ]
    size = shank + 2.0 * (low + high) / 2.0 - 2.0 * grows
    do = "" if inside else f"Bore the hole {size:.2f} mm, or turn the shank down to leave as much."
    figure = Finding("heat", work.name, "Is the gap right when hot?", answer, hot, Figure(high, "mm", None, 2),
                     tuple(reasons), do)  # fmt: skip
    volume = solder_mm3(shank, max(hot.likely, 0.0), overlap)
    wire = ""
    if gap.wire is not None:
        thick = float(gap.wire.to("mm"))
        wire = f"{wire_mm(volume, thick):.0f} mm of {thick:g} mm wire, {volume:.0f} mm³, with a {FILLET_MM:g} mm fillet"
    return (figure, *_laps(work, overlap)), hot, wire


def _laps(work: Work, overlap_mm: float) -> Iterator[Finding]:
    furthest = rule("joint", "run from one side")
    most = furthest.high or 20.0
    if overlap_mm > most:
        because = (Reason(f"Filler runs about {most:.0f} mm from one side.", cite(furthest.sources), furthest.basis),)
        figures = Figure(overlap_mm, "mm", None, 1), Figure(most, "mm", None, 0)
        yield _said(work, "Will the filler run the whole overlap?", Answer.LOOK, *figures, because,
                    "Feed it from both sides, or lay a ring of wire inside.")  # fmt: skip


def thin_findings(work: Work) -> Iterator[Finding]:
    """Whether thin parts may buckle.

    Parameters
    ----------
    work
        The heat.

    Yields
    ------
    Finding
        One a part.
    """
    metals = {each.name: each.metal for each in work.lumps} | {each.name: each.metal for each in work.pipes}
    for thin in work.entry.thin:
        thick, across = float(thin.thick.to("mm")), float(thin.across.to("mm"))
        at_k = buckles_k(thick, across, metals[thin.on])
        answer = Answer.GO if at_k > 2.0 * UNEVEN_K else Answer.LOOK
        reasons = (
            Reason(f"{thick:g} mm over {across:g} mm buckles when its middle is {at_k:.0f} K hotter than its rim.",
                   "Timoshenko and Gere, simply supported square plate", Basis.MEMORY),
            Reason(f"A hand torch heats a small part unevenly by about {UNEVEN_K:.0f} K.", "", Basis.ASSUMED),
        )  # fmt: skip
        do = "" if answer is Answer.GO else "Heat the thick part and let the thin one follow; back it up, heat slowly."
        yield _said(work, f"Will the thin part of {thin.on.replace('_', ' ')} distort?", answer,
                    Figure(at_k, "K", None, 0), Figure(UNEVEN_K, "K", None, 0), reasons, do)  # fmt: skip


def service_findings(work: Work) -> Iterator[Finding]:
    """Whether the joint and what is there stand service where they sit.

    Parameters
    ----------
    work
        The heat.

    Yields
    ------
    Finding
        One for each that the job gives a place in service.
    """
    entry = work.entry
    if entry.sits is not None and entry.filler is not None and entry.do in ("silver-solder", "soft-solder"):
        off = 0.0 if entry.off_boiler is None else float(entry.off_boiler.to("mm"))
        hot_c, why = service_c(entry.sits, work.pressure_mpa, _leg(work, entry.joint.on), off)
        yield _service(work, "joint itself", joint_service(entry.filler, entry.sits, hot_c, work.pressure_mpa, why))
    for name, there in entry.there.items():
        if there.sits is None:
            continue
        off = 0.0 if there.off_boiler is None else float(there.off_boiler.to("mm"))
        hot_c, why = service_c(there.sits, work.pressure_mpa, _leg(work, there.on), off)
        found = service(there, hot_c, work.pressure_mpa, why)
        words = next(each.words for each in work.watched if each.name == name)
        if found is not None:
            yield _service(work, words, found)


def _service(work: Work, words: str, found: Service) -> Finding:
    do = {
        Answer.GO: "",
        Answer.LOOK: "Say to the owner that it is a wearing part, or use one that stands more.",
        Answer.STOP: "Use one that stands it: silver solder for a joint, a metal or PTFE seat for a seal.",
    }[found.answer]
    limit = None if found.limit_c is None else _c(found.limit_c)
    question = f"Will the {as_subject(words)} stand service?"
    return _said(work, question, found.answer, _c(found.temperature_c), limit, found.because, do)


def _leg(work: Work, on: str) -> Leg:
    """The pipe a place is on or hangs on; without one, 3/16 in tube as the thinnest guess."""
    for pipe in work.pipes:
        if on in (pipe.name, pipe.start, pipe.end):
            return Leg(pipe.metal, pipe.od_mm, pipe.bore_mm)
    return Leg(find_metal("CW024A"), 4.7625, 3.34)


def _said(
    work: Work, question: str, answer: Answer, figure: Figure | Band | None, limit: Figure | None,
    because: tuple[Reason, ...], do: str,
) -> Finding:  # fmt: skip
    return Finding("heat", work.name, question, answer, figure, limit, because, do)


def _c(celsius: float) -> Figure:
    return Figure(celsius, "°C", None, 0)


def _short(metal: Metal) -> str:
    return metal.name.split(",")[0]
