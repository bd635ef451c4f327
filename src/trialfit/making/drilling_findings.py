"""What the choice of a drill leaves a person to decide.

Source: `trialfit.making.drilling`, `trialfit.making.strip`.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.job.tooling import FilledTooling
from trialfit.making.drilling import WhatToDrill
from trialfit.making.wanted_thread import depth_name
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import percent_of_thread


def drilling_findings(found: WhatToDrill, tooling: FilledTooling, about: str) -> tuple[Finding, ...]:
    """Say whether the shop can drill and tap a thread, and whether it will hold.

    Parameters
    ----------
    found
        The choice.
    tooling
        What the shop owns.
    about
        The part or port it is about, by its name in the job.

    Returns
    -------
    tuple of Finding
        The drill, the tap, the strength of the thread.
    """
    return (*_drill(found, about), *_tap(found, tooling, about), *_holds(found, about))


def _drill(found: WhatToDrill, about: str) -> Iterator[Finding]:
    if found.thread.taper:
        return
    question = f"Is there a drill before the {found.thread.designation} tap?"
    aim = Figure(found.wanted.aim_pct, "%", None, 0)
    if found.chosen is not None:
        share = Figure(found.wanted.share_pct(found.chosen.percent), "%", None, 0)
        yield Finding("making", about, question, Answer.GO, share, aim, found.because)
        return
    want = (
        f"{found.wanted.least_pct:.0f} to {found.wanted.most_pct:.0f} % of {depth_name(found.wanted.of, found.thread)}"
    )
    passing = f" and lets {found.passes_mm:g} mm pass" if found.passes_mm is not None else ""
    reason = Reason(f"No drill owned leaves {want}{passing}.")
    if found.to_buy is None:
        do = "Ask for less thread, or for less to pass through it." if passing else "Ask for another share of thread."
        yield Finding("making", about, question, Answer.STOP, None, aim, (reason,), do)
        return
    percent = percent_of_thread(found.thread, found.to_buy.diameter_mm)
    share = Figure(found.wanted.share_pct(percent), "%", None, 0)
    do = f"Buy or borrow {found.to_buy.name}, or bore to {found.to_buy.diameter_mm:.2f} mm."
    yield Finding("making", about, question, Answer.LOOK, share, aim, (reason,), do)


def _tap(found: WhatToDrill, tooling: FilledTooling, about: str) -> Iterator[Finding]:
    """Only where the shop has said which taps it owns."""
    if tooling.rests_on("taps"):
        return
    question = f"Is there a {found.thread.designation} tap?"
    if any(find_thread(name).is_same_as(found.thread) for name in tooling.tooling.taps):
        yield Finding("making", about, question, Answer.GO)
        return
    reason = Reason(f"None of the taps the shop file names is {found.thread.designation}.")
    yield Finding(
        "making", about, question, Answer.STOP, because=(reason,), do="Buy the tap, or cut the thread in the lathe."
    )


def _holds(found: WhatToDrill, about: str) -> Iterator[Finding]:
    if found.chosen is None:
        return
    strip = found.chosen.strip
    question = f"Does {strip.engaged_mm:g} mm of thread hold as much as the screw?"
    limit = Figure(strip.core.likely / 1000, "kN", None, 1)
    figure = Figure(strip.pull.low / 1000, "kN", None, 1)
    said = Reason(
        f"At its least the thread strips at {figure}, where a solid screw parts at {limit}; a hollow one parts sooner.",
        strip.because.source, strip.because.basis,
    )  # fmt: skip
    if strip.pull.low >= strip.core.likely:
        yield Finding("making", about, question, Answer.GO, figure, limit, (said,))
        return
    # The least strength goes as the length, so the length that matches follows by proportion.
    need_mm = strip.engaged_mm * strip.core.likely / strip.pull.low
    do = f"Thread it {need_mm:.1f} mm deep, or count on {figure} and no more."
    yield Finding("making", about, question, Answer.LOOK, figure, limit, (said,), do)
