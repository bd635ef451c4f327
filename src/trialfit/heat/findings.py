"""Will it come up to heat, what else melts or lets go, and what must not be heated at all.

Source: the outcome by `trialfit.heat.outcome`; limits by `trialfit.parts.stands`; water shut in by
`trialfit.tables.water`; cautions by the rules of ``brazing.csv``.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason, places_for
from trialfit.heat.keep_cool import CLAMP_KG, KeepCool, Stopped
from trialfit.heat.network import Pipe
from trialfit.heat.outcome import RAG_MM
from trialfit.heat.records import Outcome, Watched, Work
from trialfit.heat.wording import as_subject
from trialfit.job.heating import HeatedBody, HeatedPipe
from trialfit.parts.cited import cite
from trialfit.tables.rules import rule
from trialfit.tables.water import locked_mpa_per_k
from trialfit.units import psi

_FLUX_LASTS_S = 300.0
_SLUG_FACTOR = 3.0
_CADMIUM_MELTS_C = 320.0


def comes_up(work: Work, found: Outcome, takes_w: float) -> Finding:
    """Whether the joint comes up to heat; in time once the torch has been timed, as a traffic light before.

    Parameters
    ----------
    work
        The heat.
    found
        What it comes to.
    takes_w
        Least heat the work must take. [W]

    Returns
    -------
    Finding
        With the stall or the time as its figure.
    """
    stalls, time = found.stalls, found.time
    least = Figure(takes_w, "W", None, places_for(takes_w))
    reasons = [
        Reason(f"The joint must reach {_needed(work)}{_why_so_hot(work)}."),
        work.torch.because,
        Reason(
            f"Cold, the work takes {work.torch.takes} of it; {least} is the least that would bring it up at all. "
            f"Left in the flame the joint would stall at {stalls}.", "lumps, pipes as fins, still air and glow",
        ),
    ]  # fmt: skip
    area_m2 = sum(lump.area_m2 for lump in work.lumps if lump.name == work.entry.flame_on)
    if work.torch.measured and area_m2 and not 1 / _SLUG_FACTOR < area_m2 / work.torch.slug_area_m2 < _SLUG_FACTOR:
        text = "The part is of quite another size than the slug was, so it takes another share of the flame."
        reasons.append(Reason(text, "", Basis.PRACTICE))
    if found.reached_s[2] is None:
        do = "Take a larger torch, build a hearth of fire-brick round the work, or heat from two sides."
        return _said(work, "Will it come up to heat?", Answer.STOP, stalls, _limit(work.needs_c), reasons, do)
    if time is None:
        do = "Try a larger torch or a hearth of fire-brick; time this one on a brass slug and the doubt goes."
        return _said(work, "Will it come up to heat?", Answer.LOOK, stalls, _limit(work.needs_c), reasons, do)
    if not work.torch.measured:
        do = "Time the torch on a brass slug, and this becomes a time."
        return _said(work, "Will it come up to heat?", Answer.GO, stalls, _limit(work.needs_c), reasons, do)
    answer, do = Answer.GO, ""
    if time.high > _FLUX_LASTS_S and work.entry.do in ("silver-solder", "soft-solder"):
        answer, do = Answer.LOOK, "Take a larger torch or a hearth: flux is spent after some minutes."
    limit = Figure(_FLUX_LASTS_S, "s", None, 0)
    reasons.append(Reason("Flux is spent after about five minutes of heat.", "", Basis.PRACTICE))
    return _said(work, "How long will it take to come up to heat?", answer, time, limit, reasons, do)


def stays(
    work: Work, each: Watched, found: Outcome, rag: KeepCool | None = None, clamp: KeepCool | None = None
) -> Finding:
    """Whether something that is there already stays as it is.

    Parameters
    ----------
    work
        The heat.
    each
        What is there.
    found
        What the heat comes to.
    rag, clamp
        Where a wet rag and where a clamp would save it, or None.

    Returns
    -------
    Finding
        With the temperature it comes to.
    """
    top, most_c = found.most[each.name], each.limit.most_c
    answer = Answer.GO if top.high < most_c else Answer.LOOK if top.likely < most_c else Answer.STOP
    limit_text = f"{each.limit.what[0].upper()}{each.limit.what[1:]} {each.limit.fails} {most_c:.0f} °C."
    reasons = [
        Reason(f"It comes to {top} by the time the joint has been hot for ten seconds and cooled."),
        Reason(limit_text, each.limit.source, each.limit.basis),
    ]
    do = ""
    if answer is not Answer.GO:
        best = rag or clamp
        if best is not None:
            do = f"{cool_words(work, best)}; it then comes to {best.outcome.most[each.name].high:.0f} °C at the most."
            reasons += _cool_reasons(work, each, rag, clamp)
        else:
            instead = "take it off first" if work.entry.do == "release" else "do this heat first, or take it off"
            do = f"Neither a wet rag nor a clamp both saves it and lets the joint come up: {instead}."
    return _said(work, f"Will the {as_subject(each.words)} stay as it is?", answer, top, _limit(most_c), reasons, do)


def _cool_reasons(work: Work, each: Watched, rag: KeepCool | None, clamp: KeepCool | None) -> Iterator[Reason]:
    if rag is not None:
        text = f"How well a rag cools is assumed; the likely heat boils {rag.boils_g:.0f} g of water out of it."
        yield Reason(text, "", Basis.ASSUMED)
        if rag.clear_mm is not None:
            pipe = next(pipe for pipe in work.pipes if pipe.name == rag.on)
            yield Reason(
                f"Nearer than {rag.clear_mm:.0f} mm to the {_end_words(work, pipe)[0]} a rag would stop the job: the "
                "joint would not come up.", "likely flame, left on",
            )  # fmt: skip
    if clamp is not None:
        most = clamp.outcome.most[each.name].high
        if rag is None:
            yield Reason("A wet rag near enough to save it would keep the joint from coming up.")
        where = "Instead of the rag a" if rag is not None else "A"
        yield Reason(
            f"{where} steel clamp of {1000 * CLAMP_KG:.0f} g there holds it to {most:.0f} °C, for one heat: then it is "
            "hot itself and must cool.", "how well it touches", Basis.ASSUMED,
        )  # fmt: skip


def cool_words(work: Work, cool: KeepCool) -> str:
    """Say where a wet rag or a clamp goes.

    Parameters
    ----------
    work
        The heat.
    cool
        What goes where.

    Returns
    -------
    str
        As an instruction, from the end nearer the flame where that is known.
    """
    entry = work.entry
    begin = "Keep a wet rag" if cool.means == "wet rag" else f"Put a cold steel clamp of {1000 * CLAMP_KG:.0f} g"
    again = ", and wet it again as it dries" if cool.means == "wet rag" else ""
    if cool.on in entry.bodies:
        return f"{begin} round the {_called(work, cool.on)}{again}"
    pipe = next(pipe for pipe in work.pipes if pipe.name == cool.on)
    end, from_end = _end_words(work, pipe)
    middle_mm = pipe.long_mm - cool.middle_mm if from_end else cool.middle_mm
    low, high = middle_mm - RAG_MM / 2.0, middle_mm + RAG_MM / 2.0
    return f"{begin} on the {_called(work, pipe.name)} from {low:.0f} to {high:.0f} mm off the {end}{again}"


def rag_stops(work: Work, stopped: Stopped) -> Finding:
    """Say that a rag or clamp of the job stops it.

    Parameters
    ----------
    work
        The heat.
    stopped
        Which, and by how much.

    Returns
    -------
    Finding
        A stop.
    """
    sink, what = stopped.sink, "wet rag" if stopped.sink.rag_w_m2_k > 0.0 else "clamp"
    reasons = (
        Reason(f"With it the joint stalls at {stopped.with_c:.0f} °C, without it at {stopped.without_c:.0f}."),
        Reason(f"How well a {what} takes heat is assumed.", "", Basis.ASSUMED),
    )
    do = "Take it off, and look for another place or another order."
    if stopped.clear_mm is not None:
        pipe = next(pipe for pipe in work.pipes if pipe.name == sink.on)
        do = f"Keep it {stopped.clear_mm:.0f} mm or more off the {_end_words(work, pipe)[0]}."
    question = f"Does the {what} on the {_called(work, sink.on)} let the joint come up?"
    return _said(work, question, Answer.STOP, _limit(stopped.with_c), _limit(work.needs_c), reasons, do)


def _called(work: Work, name: str) -> str:
    known: dict[str, HeatedBody | HeatedPipe] = {**work.entry.bodies, **work.entry.pipes}
    return known[name].what or name.replace("_", " ")


def _end_words(work: Work, pipe: Pipe) -> tuple[str, bool]:
    """The end of a pipe that is measured from, the flame's where it is at one; and whether that is its far end."""
    far = pipe.end is not None and pipe.end == work.entry.flame_on and pipe.start != pipe.end
    end = pipe.end if far else pipe.start
    return (f"start of the {_called(work, pipe.name)}" if end is None else _called(work, end)), far


def locked(work: Work, shut: tuple[str, ...]) -> tuple[Finding, ...]:
    """Stop for each thing that may hold water or air shut in.

    Parameters
    ----------
    work
        The heat.
    shut
        Names of those things.

    Returns
    -------
    tuple of Finding
        One each.
    """
    cold, hot = (psi(locked_mpa_per_k(c)) for c in (20.0, 100.0))
    text = (
        f"Water that fills a shut space gains {cold:.0f} psi for each degree at 20 °C and {hot:.0f} at 100 °C if the "
        "walls do not give; brass that grows with it takes about a third off the first. It bursts long before it boils."
    )
    because = (Reason(text, "IAPWS R7-97, region 1", Basis.STANDARD),)
    do = "Open and drain it, look or blow through it, and leave every way out open before the torch is lit."
    return tuple(
        _said(work, f"May the {name.replace('_', ' ')} be heated?", Answer.STOP, None, None, because, do)
        for name in shut
    )


def melts(work: Work, found: Outcome) -> tuple[Finding, ...]:
    """Whether the bodies themselves come near to melting.

    Parameters
    ----------
    work
        The heat.
    found
        What it comes to.

    Returns
    -------
    tuple of Finding
        One a body that comes within 100 K.
    """
    said = []
    for lump in work.lumps:
        solidus_c, top = lump.metal.solidus_c, found.bodies[lump.name]
        if solidus_c is None or top.high < solidus_c - 100.0:
            continue
        answer = Answer.STOP if top.likely >= solidus_c else Answer.LOOK
        text = f"{lump.metal.key} begins to melt at {solidus_c:.0f} °C; over that it slumps without warning."
        said.append(
            _said(
                work, f"Will {lump.name.replace('_', ' ')} itself melt?", answer, top, _limit(solidus_c),
                (Reason(text, "", Basis.HANDBOOK),), "Use a filler that runs cooler; watch the colour in the shade.",
            )
        )  # fmt: skip
    return tuple(said)


def cadmium(work: Work, old: tuple[str, ...], found: Outcome, of_filler: bool) -> tuple[Finding, ...]:
    """Stop for cadmium that is put in, look for cadmium that may be there.

    Parameters
    ----------
    work
        The heat.
    old
        Bodies with solder somebody else put there.
    found
        What the heat comes to.
    of_filler
        Whether the filler itself holds it.

    Returns
    -------
    tuple of Finding
        One each.
    """
    said = []
    law, content = rule("cadmium", "law"), rule("cadmium", "content of old alloys")
    fume = Reason(content.text, cite(content.sources), content.basis)
    if of_filler:
        because = (fume, Reason(law.text, cite(law.sources), law.basis))
        said.append(
            _said(work, "May this filler be used?", Answer.STOP, None, None, because, "Use one without cadmium.")
        )
    for name in old:
        if name in found.bodies and found.bodies[name].high > _CADMIUM_MELTS_C:
            do = "Take it as holding cadmium unless its maker says not; extraction, or leave that joint cold."
            question = f"May the old solder on {name.replace('_', ' ')} hold cadmium?"
            limit = _limit(_CADMIUM_MELTS_C)
            said.append(_said(work, question, Answer.LOOK, found.bodies[name], limit, (fume,), do))
    return tuple(said)


def _said(
    work: Work, question: str, answer: Answer, figure: Figure | Band | None, limit: Figure | None,
    because: list[Reason] | tuple[Reason, ...], do: str,
) -> Finding:  # fmt: skip
    return Finding("heat", work.name, question, answer, figure, limit, tuple(because), do)


def _limit(celsius: float) -> Figure:
    return Figure(celsius, "°C", None, 0)


def _needed(work: Work) -> str:
    to = "" if work.entry.reaches is not None or work.needs_most_c is None else f" to {work.needs_most_c:.0f}"
    return f"{work.needs_c:.0f}{to if work.entry.filler is None else ''} °C"


def _why_so_hot(work: Work) -> str:
    if work.entry.reaches is None and work.entry.filler is not None:
        return f", where {work.entry.filler} is all liquid"
    if work.entry.reaches is None and work.needs_most_c is not None:
        return ", where retaining compound lets go"
    return ", as the job asks"
