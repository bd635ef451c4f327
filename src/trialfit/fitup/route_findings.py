"""Does a pipe's way clear everything, does it follow the old one: as findings.

Source: `trialfit.fitup.passes` and `old_route`; the clearance is the job's or the shop's, or the assumed rule of
``figures/fit_up.csv``.
"""

from __future__ import annotations

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.records import PipePlan
from trialfit.fitup.route_records import OldRoute, Pass, Routing
from trialfit.tables.rules import rule

_NEAREST = 3


def route_findings(pipe: PipePlan) -> tuple[Finding, ...]:
    """Ask of a pipe's way what has to be asked.

    Parameters
    ----------
    pipe
        The pipe, laid out.

    Returns
    -------
    tuple of Finding
        What it clears; and how it follows the old pipe, where it does.
    """
    found = [_clears(pipe)]
    if pipe.routing.old is not None:
        found.append(_follows(pipe, pipe.routing.old))
    return tuple(found)


def pass_words(each: Pass) -> str:
    """Say where a pipe passes a thing.

    Parameters
    ----------
    each
        The pass.

    Returns
    -------
    str
        A clause without its full stop.
    """
    place = f"{each.where}, {each.at} from the start face"
    sure = "" if each.placed else " (how surely it stands there is not known)"
    if each.gap.value < 0:
        inside = Figure(-each.gap.value, "mm", each.gap.k2, each.gap.places)
        return f"{place}, it would stand {inside} inside {each.by}{sure}"
    return f"{place}, it passes {each.by} at {each.gap}{sure}"


def _clears(pipe: PipePlan) -> Finding:
    routing, question = pipe.routing, "Does its way clear everything?"
    if not routing.passes:
        return Finding(
            "fitup", pipe.name, question, Answer.LOOK,
            because=(Reason("Nothing that it passes has a place and a shape in the job."), *_unknown(routing)),
            do="Name what stands near its way under [bodies], or give parts their envelopes, and work it out again.",
        )  # fmt: skip
    nearest = routing.passes[0]
    worst = min(routing.passes, key=_surely_mm)
    answer = max((_answer(each) for each in routing.passes), key=list(Answer).index)
    if answer is Answer.GO and (routing.spanners or routing.nuts):
        answer = Answer.LOOK
    shown = nearest if _answer(nearest) is answer or _answer(worst) is not answer else worst
    said = [Reason(f"{_capital(pass_words(each))}; {each.wanted} is wanted.") for each in routing.passes[:_NEAREST]]
    if shown not in routing.passes[:_NEAREST]:
        said.insert(0, Reason(f"{_capital(pass_words(shown))}; {shown.wanted} is wanted."))
    return Finding(
        "fitup", pipe.name, question, answer, shown.gap, shown.wanted,
        (*said, *_why(routing), *_clearance(routing), *_taken(routing)),
        _do(answer, shown, routing),
    )  # fmt: skip


def _k2_mm(each: Pass) -> float:
    return each.gap.k2 or 0.0


def _surely_mm(each: Pass) -> float:
    """What is left of a gap at the near end of its band. [mm]"""
    return each.gap.value - _k2_mm(each)


def _answer(each: Pass) -> Answer:
    if each.gap.value + _k2_mm(each) < 0:
        return Answer.STOP
    if _surely_mm(each) < 0 or round(each.gap.value, 1) < round(each.wanted.value, 1):
        return Answer.LOOK
    return Answer.GO


def _do(answer: Answer, nearest: Pass, routing: Routing) -> str:
    if answer is Answer.STOP:
        return f"Do not make it so: lead it round {nearest.by}, or look at where the survey has it and how large it is."
    if answer is Answer.LOOK and _answer(nearest) is Answer.LOOK:
        return (
            f"Have the distance from {nearest.by} to one of the faces measured, or hold a bent wire along its way "
            "there before sawing."
        )
    if routing.nuts:
        return "Look whether the nut goes on sideways or by another way, or ask for the fitting to be turned."
    if routing.spanners:
        return f"Look how the nut {routing.spanners[0]} is to be turned: nothing leaves its spanner a window."
    return ""


def _why(routing: Routing) -> list[Reason]:
    """What stopped better ways, and the next best."""
    said = [Reason(f"{_capital(each.sentence)}.") for each in routing.stopped]
    for count in routing.counted:
        if count.by:
            by = ", ".join(f"{name} stops {many}" for name, many in count.by[:4])
            words = {2: "two", 3: "three"}[count.bends]
            said.append(Reason(f"Of {count.looked_at} ways of {words} bends looked at first, {by}."))
    other = routing.other
    if other is not None:
        said.append(
            Reason(
                f"The next best way that is really another has {other.bends} bends, is {other.centre_line} long, parts "
                f"from this one by {other.departs}, and passes {other.nearest} nearest."
            )
        )
    said += [Reason(f"{_capital(each)}.") for each in routing.nuts]
    if routing.spanners:
        nuts = " and ".join(routing.spanners)
        said.append(Reason(f"With or without this pipe a spanner on {nuts} has no window to swing in."))
    return said


def _clearance(routing: Routing) -> list[Reason]:
    said = []
    if routing.kept is not None:
        said.append(
            Reason(f"With {routing.wanted} all round no way was found; this one was sought with {routing.kept}.")
        )
    law = rule("pipe", "clearance")
    if routing.assumed:
        said.append(Reason(f"A clearance of {routing.wanted} is taken to be wanted; {law.note}.", "", law.basis))
    said.append(
        Reason(
            "Plus-or-minus: of both faces, of the thing's own place and of the bench; pipe and thing are taken as "
            "independent, and the pipe between its unions as following each the more the nearer it is.",
            "",
            Basis.ASSUMED,
        )
    )
    return said


def _taken(routing: Routing) -> list[Reason]:
    return [*(Reason(each, "from memory", Basis.MEMORY) for each in routing.taken), *_unknown(routing)]


def _unknown(routing: Routing) -> list[Reason]:
    if not routing.unknown:
        return []
    return [Reason(f"Of these nothing can be said, for they have no place: {', '.join(routing.unknown)}.")]


def _follows(pipe: PipePlan, old: OldRoute) -> Finding:
    near = old.departs.value <= pipe.tube.od_mm
    turned = ", counted from its own end, which is this pipe's far one" if old.reversed else ""
    because = (
        Reason(f"The old centre line lies farthest from the new {old.where}{turned}: {old.departs}."),
        Reason("Within one outside diameter it is taken to look the same.", "", Basis.ASSUMED),
    )
    do = "Show the owner the views, or take out the line like = ... for the shortest way that clears."
    limit = Figure(pipe.tube.od_mm, "mm", None, 1)
    question = f"Does it follow the old pipe {old.tube}?"
    answer = Answer.GO if near else Answer.LOOK
    return Finding("fitup", pipe.name, question, answer, old.departs, limit, because, "" if near else do)


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
