"""What has to be asked of a pipe before anybody saws a tube.

Source: the limits are rules of `trialfit.tables.rules`; those nobody has published are assumed, and said to be.
"""

from __future__ import annotations

from math import ceil, isclose, pi

import numpy as np

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.records import PipePlan
from trialfit.fitup.route import LONG_WAY
from trialfit.job.shop import Shop
from trialfit.parts.cited import cite
from trialfit.tables.rules import Rule, rule

_SAME_MM = 0.03
_MISS_SHOWN_DEG = 0.005


def pipe_findings(pipe: PipePlan, shop: Shop) -> tuple[Finding, ...]:
    """Ask of a pipe what has to be asked.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    shop
        The workshop that bends it.

    Returns
    -------
    tuple of Finding
        Length, landing by survey and by bench, radius, spring-back, and what is odd about the way it goes.
    """
    found = [_length(pipe), _landing_by_survey(pipe)]
    if pipe.bends:
        found += [_landing_by_bench(pipe, shop), _radius(pipe, shop), _spring_back(pipe)]
    if max(miss.value for miss in pipe.landing.misses) > _MISS_SHOWN_DEG:
        found.append(_bend_left_out(pipe))
    if pipe.centre_line.value > LONG_WAY * _apart_mm(pipe):
        found.append(_long_way_round(pipe))
    return tuple(found)


def _length(pipe: PipePlan) -> Finding:
    law = rule("union", "off its face")
    cut = pipe.cut_length
    sure = cut.k2 is None or cut.k2 <= _high(law)
    because = [
        Reason(
            f"Centre line {pipe.centre_line}, {pipe.start.enters_mm:g} and {pipe.end.enters_mm:g} mm into the sockets, "
            f"{pipe.file_allowance_mm:g} mm to file."
        ),
        _assumed(law, "mm of length"),
    ]
    longer = 0.0 if cut.k2 is None else ceil(10 * cut.k2) / 10
    do = (
        f"Saw it {longer:.1f} mm over length and face it at a trial, or have the distance between {pipe.start.name} "
        f"and {pipe.end.name} measured."
    )
    return Finding(
        "fitup",
        pipe.name,
        "How sure is the cut length?",
        Answer.GO if sure else Answer.LOOK,
        cut,
        Figure(_high(law), "mm"),
        tuple(because),
        "" if sure else do,
    )


def _landing_by_survey(pipe: PipePlan) -> Finding:
    off, turned = pipe.landing.survey_off, pipe.landing.survey_turned
    sure = _lands(off, turned)
    because = (
        Reason(
            f"Made exactly to the table, its far end may lie {off} off {pipe.end.name} and {turned} out of line, k = 2."
        ),
        _union_limits(),
    )
    do = (
        "Try a bent wire first, or leave one cone loose and solder it after a trial, or have one more photograph or "
        "reading between the two unions."
    )
    question = "Does the far end land, as far as the survey knows?"
    answer = Answer.GO if sure else Answer.LOOK
    limit = Figure(_high(rule("union", "off its face")), "mm")
    return Finding("fitup", pipe.name, question, answer, off, limit, because, "" if sure else do)


def _landing_by_bench(pipe: PipePlan, shop: Shop) -> Finding:
    off, turned = pipe.landing.bench_off, pipe.landing.bench_turned
    sure = _lands(off, turned)
    worst = max(pipe.amplifications, key=lambda slip: slip.moves.value)
    scatter = shop.scatter
    because = (
        Reason(f"Bent at this bench, its far end may lie {off} off and {turned} out of line, k = 2."),
        Reason(
            f"A straight is taken to come out within {scatter.length}, a bend within {scatter.bend}, a turn between "
            f"bends within {scatter.rotation}, k = 2.",
            "",
            Basis.MEASURED if shop.measured else Basis.ASSUMED,
        ),
        Reason(f"{worst.slip} moves the far end {worst.moves}."),
        Reason(
            f"1 mm round this tube is {360 / (pi * pipe.tube.od_mm):.0f} deg: set a turn by the disc, not by a strip."
        ),
        _union_limits(),
    )
    do = "Hold every bend against its gauge before the next, and leave one cone loose until a trial."
    question = "Does the far end land, as this bench bends?"
    answer = Answer.GO if sure else Answer.LOOK
    limit = Figure(_high(rule("union", "off its face")), "mm")
    return Finding("fitup", pipe.name, question, answer, off, limit, because, "" if sure else do)


def _radius(pipe: PipePlan, shop: Shop) -> Finding:
    least, usual = rule("bend", "least radius at 3/8 in outside diameter"), rule("bend", "usual radius")
    ratio = pipe.radius_mm / pipe.tube.od_mm
    on_former = any(
        isclose(float(former.radius.to("mm")), pipe.radius_mm, abs_tol=_SAME_MM)
        and isclose(float(former.od.to("mm")), pipe.tube.od_mm, abs_tol=_SAME_MM)
        for former in shop.formers
    )
    answer, do = Answer.GO, ""
    if ratio < _low(least):
        answer, do = Answer.STOP, f"Bend it round {_low(least) * pipe.tube.od_mm:.1f} mm or more."
    elif ratio < _low(usual) and not on_former:
        answer, do = Answer.LOOK, "Bend a test piece first, annealed and filled, and look for flattening."
    because = [
        Reason(f"The radius is {ratio:.2f} outside diameters."),
        Reason(
            f"The smallest tube a handbook gives a least radius for, 3/8 in, takes {_low(least):g} outside diameters "
            "annealed and in a machine.",
            cite(least.sources),
            least.basis,
        ),
        Reason(f"The usual radius is {_low(usual):g} outside diameters.", "", usual.basis),
    ]
    if on_former:
        because.append(Reason("The shop has a former of this size.", "", _of(shop)))
    question = "Will the tube take this radius?"
    figure, limit = Figure(ratio, "× od"), Figure(_low(least), "× od", None, 1)
    return Finding("fitup", pipe.name, question, answer, figure, limit, tuple(because), do)


def _spring_back(pipe: PipePlan) -> Finding:
    known = all(bend.set_to is not None for bend in pipe.bends)
    said = (
        "Each bend is set over by what the shop's test piece of 90 deg sprang back, in proportion to its angle."
        if known
        else "The shop has no test piece of this tube and radius, so the table says only what the bend must come to."
    )
    return Finding(
        "fitup",
        pipe.name,
        "Is it known what this tube springs back by?",
        Answer.GO if known else Answer.LOOK,
        because=(Reason(said),),
        do=""
        if known
        else "Bend a test piece to 90 deg from the same tube, measure it, and enter what it sprang back.",
    )


def _bend_left_out(pipe: PipePlan) -> Finding:
    law = rule("union", "out of line")
    worst = max(pipe.landing.misses, key=lambda miss: miss.value)
    bends = "no bend" if not pipe.bends else "one bend"
    because = (
        Reason(f"The axes do not quite allow {bends}; made so, the pipe stands {worst} out of line at a union."),
        Reason("A further bend of so little could not be made truer, and the survey could not tell it from nought."),
        _assumed(law, "deg out of line"),
    )
    question = "Is it right to make it with a bend fewer?"
    return Finding("fitup", pipe.name, question, Answer.GO, worst, Figure(_high(law), "deg", None, 1), because)


def _long_way_round(pipe: PipePlan) -> Finding:
    times = pipe.centre_line.value / _apart_mm(pipe)
    because = (
        Reason(f"The faces are {_apart_mm(pipe):.0f} mm apart and the shortest way found is {pipe.centre_line} long."),
        Reason(f"With {len(pipe.bends)} bends, this radius and these straights there is none shorter."),
    )
    more = "" if len(pipe.bends) > 2 else " or three bends (bends_most = 3)"
    do = f"Allow a smaller radius or shorter straights{more}, or turn one of the unions."
    figure, limit = Figure(times, "x the distance", None, 1), Figure(LONG_WAY, "x the distance", None, 1)
    return Finding("fitup", pipe.name, "Does it go a long way round?", Answer.LOOK, figure, limit, because, do)


def _lands(off: Figure, turned: Figure) -> bool:
    return off.value <= _high(rule("union", "off its face")) and turned.value <= _high(rule("union", "out of line"))


def _union_limits() -> Reason:
    off, turned = rule("union", "off its face"), rule("union", "out of line")
    taken = f"{_high(off):g} mm off and {_high(turned):g} deg out of line"
    return Reason(f"A small cone union is taken to draw in {taken}; {off.note}.", "", off.basis)


def _assumed(law: Rule, of: str) -> Reason:
    return Reason(f"A small cone union is taken to draw in {_high(law):g} {of}; {law.note}.", "", law.basis)


def _of(shop: Shop) -> Basis:
    return Basis.MEASURED if shop.measured else Basis.ASSUMED


def _apart_mm(pipe: PipePlan) -> float:
    return float(np.linalg.norm(pipe.end.position_mm - pipe.start.position_mm))


def _low(law: Rule) -> float:
    return 0.0 if law.low is None else law.low


def _high(law: Rule) -> float:
    return _low(law) if law.high is None else law.high
