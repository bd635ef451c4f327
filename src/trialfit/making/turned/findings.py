"""What is found about a turned part: what stops it, which figure to change, and to what.

Source: limits from the tables by their own sources; the shop's tooling; the rest is geometry.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.clashes import clash_findings
from trialfit.making.turned.records import TurnedPlan
from trialfit.making.turned.rings import groove_mm
from trialfit.making.turned.saying import finding
from trialfit.making.turned.tool_findings import tool_findings
from trialfit.making.turned.wall_findings import wall_findings
from trialfit.parts.cited import cite

# Section modulus left at a cross hole below which somebody should look. (Assumed.)
_MODULUS_SHARE = 0.7


def turned_findings(plan: TurnedPlan, bench: TurningBench) -> tuple[Finding, ...]:
    """Ask of one turned part everything there is to ask.

    Parameters
    ----------
    plan
        The part, worked out.
    bench
        What the shop turns with.

    Returns
    -------
    tuple of Finding
        In the order of the work.
    """
    return (
        *_length(plan),
        *_engaged(plan),
        *clash_findings(plan),
        *wall_findings(plan, bench),
        *_across(plan),
        *tool_findings(plan, bench),
        *_rings(plan),
        *_seats(plan),
    )


def _length(plan: TurnedPlan) -> Iterator[Finding]:
    """Whether what the joints hide is in the length."""
    long = plan.lengths
    counted = [f for f in plan.part.outside if f.counted_in and f.hidden is not None]
    for feature in plan.part.outside:
        hidden = feature.hidden
        if hidden is not None and not feature.counted_in:
            yield _long_enough(
                plan, feature.name, feature.place, feature.with_undercut_mm, hidden.long_mm, hidden.k2_mm
            )
        elif hidden is None and feature.thread is not None:
            yield finding(
                plan, f"How much of the {feature.name} is hidden in its mate?", Answer.LOOK,
                because=(
                    Reason(
                        f"{feature.place}: no joint says, so its length of {feature.with_undercut_mm:.2f} mm is taken "
                        "as written. If only what shows was measured, the part comes out too short."
                    ),
                ),
                do='Name its port and give the joint hidden = ..., or be sure that the whole length is written.',
            )  # fmt: skip
    if not counted:
        return
    said = [
        Reason(
            f"{f.hidden.long_mm:.2f} mm of {f.hidden.port} is out of sight in {f.hidden.into}"
            f"{'' if f.hidden.k2_mm is None else f' (± {f.hidden.k2_mm:.2f} mm, k = 2)'}; it is counted in.",
            f.hidden.by,
            Basis.MEASURED if f.hidden.by else Basis.COMPUTED,
        )
        for f in counted
        if f.hidden is not None
    ]
    allowed = (
        f"Saw length is {long.finished.value:.2f} mm finished, {2 * long.facing_mm:.2f} mm for facing both ends "
        f"and {long.parting_mm:.2f} mm for the parting cut."
    )
    loose = [f for f in counted if f.hidden is not None and f.hidden.k2_mm is None]
    do = (
        f"Say how sure {loose[0].hidden.long_mm:.2f} mm is: hidden = {{ value = ..., pm = ..., by = ... }}."
        if loose and loose[0].hidden is not None
        else ""
    )
    yield finding(plan, "How long must the blank be?", Answer.GO, long.saw, because=(*said, Reason(allowed)), do=do)


def _long_enough(
    plan: TurnedPlan, name: str, place: str, long_mm: float, hidden_mm: float, k2_mm: float | None
) -> Finding:
    most_mm = hidden_mm + (k2_mm or 0.0)
    limit = Figure(hidden_mm, "mm", k2_mm)
    question = f"Is the {name} as long as its joint hides?"
    reason = Reason(f"{place} is {long_mm:.2f} mm long, and its joint hides {limit}.")
    if long_mm < hidden_mm - 1e-6:
        answer, do = Answer.STOP, f"Make long at least {most_mm:.2f} mm, or write shows instead of long."
    elif long_mm < most_mm - 1e-6:
        answer, do = Answer.LOOK, f"It may be short by {most_mm - long_mm:.2f} mm: make long {most_mm:.2f} mm."
    else:
        answer, do = Answer.GO, ""
    return finding(plan, question, answer, Figure(long_mm, "mm"), limit, (reason,), do)


def _engaged(plan: TurnedPlan) -> Iterator[Finding]:
    """Whether the threads hold all that the joints put into or onto them."""
    for cut in plan.threads:
        hidden = cut.feature.hidden
        if cut.run_out_mm <= 0.0:
            continue
        thread = cut.feature.thread
        assert thread is not None
        wide = 2.0 * thread.pitch_mm
        question = f"Does the {cut.feature.name} run full to its shoulder?"
        reason = Reason(
            f"A die leaves two pitches ({wide:.2f} mm) of shallow thread at a shoulder: {cut.full_mm:.2f} mm is full.",
            "", Basis.PRACTICE,
        )  # fmt: skip
        short = hidden is not None and cut.full_mm < hidden.long_mm - 1e-6
        yield finding(
            plan, question, Answer.STOP if short or cut.full_mm <= 0.0 else Answer.LOOK, Figure(cut.full_mm, "mm"),
            None if hidden is None else Figure(hidden.long_mm, "mm", hidden.k2_mm), (reason,),
            f'Add undercut = "{wide:.2f} mm" to {cut.feature.place}, or chamfer its mate over two pitches.',
        )  # fmt: skip
    for hole in plan.part.inside:
        if hole.thread is not None and hole.hidden is not None:
            deep, wanted = Figure(hole.deep_mm, "mm"), Figure(hole.hidden.long_mm, "mm", hole.hidden.k2_mm)
            most = hole.hidden.long_mm + (hole.hidden.k2_mm or 0.0)
            enough = hole.deep_mm >= most - 1e-6
            reason = Reason(f"The joint brings {wanted} of {hole.hidden.into} into it.", hole.hidden.by)
            yield finding(
                plan, f"Is the {hole.name} deep enough for what is screwed into it?",
                Answer.GO if enough else Answer.STOP, deep, wanted, (reason,),
                "" if enough else f"Make deep at least {most:.2f} mm in {hole.place}.",
            )  # fmt: skip


def _across(plan: TurnedPlan) -> Iterator[Finding]:
    """What is left of the section through each cross hole."""
    seen: set[tuple[float, float]] = set()
    for section in plan.across:
        if (section.area_share, section.modulus_share) in seen and section.together > 1:
            continue
        seen.add((section.area_share, section.modulus_share))
        share = Figure(100.0 * section.modulus_share, "%", places=0)
        limit, weak = Figure(100.0 * _MODULUS_SHARE, "%", places=0), section.modulus_share < _MODULUS_SHARE
        holes = "hole" if section.together == 1 else f"{section.together} holes"
        text = (
            f"Through the {holes} {100.0 * section.area_share:.0f} % of the area and "
            f"{100.0 * section.modulus_share:.0f} % of the section modulus is left of {section.outside_mm:.2f} mm over "
            f"{section.bore_mm:.2f} mm. The edge of the hole raises the stress further: it is not counted here."
        )
        yield finding(
            plan, f"How strong is the section through the {section.hole.name}?",
            Answer.LOOK if weak else Answer.GO, share, limit,
            (Reason(text), Reason(f"That {limit} should be left is assumed.", "", Basis.ASSUMED)),
            "Make the hole smaller, the part thicker there, or set the holes apart along the axis." if weak else "",
        )  # fmt: skip


def _rings(plan: TurnedPlan) -> Iterator[Finding]:
    for fit, limits in plan.rings:
        wrong = [limit for limit in limits if limit.answer is not Answer.GO]
        reasons = tuple(
            Reason(
                f"{limit.name}: {limit.value_pct:.1f} %, wanted {_range(limit.low_pct, limit.high_pct)}.",
                cite(limit.sources), limit.basis,
            )
            for limit in limits
        )  # fmt: skip
        room = Reason(
            f"Room {fit.groove_deep_mm:.2f} mm deep and {fit.groove_wide_mm:.2f} mm wide for a ring of "
            f"{fit.ring.section_mm:.2f} mm; its rubber is chosen for heat elsewhere."
        )
        squeeze = next(limit for limit in limits if limit.name == "squeeze")
        yield finding(
            plan, f"Does the O-ring lie right in the {fit.name}?", Answer.LOOK if wrong else Answer.GO,
            Figure(squeeze.value_pct, "%", places=1), None, (room, *reasons),
            _ring_remedy(fit.seat, fit.ring.section_mm) if wrong else "",
        )  # fmt: skip


def _ring_remedy(seat: str, section_mm: float) -> str:
    deep, wide = groove_mm(section_mm)
    where = {"outside": "smaller than its bore", "inside": "larger than its rod"}.get(seat)
    if where is None:
        return f"Sink the recess {deep:.2f} mm below the floor round it."
    return f"Make the groove {2 * deep:.2f} mm {where} on the diameter and {wide:.2f} mm wide."


def _range(low: float | None, high: float | None) -> str:
    if low is not None and low < 0.0:
        return f"at most {high:g} %, and pressed together by no more than {-low:g} % (assumed)"
    if low is None:
        return f"at most {high:g} %"
    return f"{low:g} to {high:g} %" if high is not None else f"at least {low:g} %"


def _seats(plan: TurnedPlan) -> Iterator[Finding]:
    for seat in plan.seats:
        question = f"Does a ball of {seat.ball_mm:.2f} mm seat on a bore of {seat.bore_mm:.2f} mm?"
        figure, limit = Figure(seat.over, "-"), Figure(1.0, "-")
        if not seat.rules:
            least = 1.25 * seat.bore_mm
            yield finding(
                plan, question, Answer.STOP, figure, limit, (Reason("The ball falls through its seat."),),
                f"Take a ball of at least {least:.2f} mm, or bore at most {seat.ball_mm / 1.25:.2f} mm.",
            )  # fmt: skip
            continue
        wrong = any(rule.answer is not Answer.GO for rule in seat.rules)
        reasons = tuple(
            Reason(
                f"{rule.name[:1].upper()}{rule.name[1:]}: {rule.says}; here {rule.gives}.",
                cite(rule.rule.sources),
                rule.rule.basis,
            )
            for rule in seat.rules
        )
        do = f"Bore between {seat.ball_mm / 1.40:.2f} and {seat.ball_mm / 1.25:.2f} mm for this ball." if wrong else ""
        yield finding(plan, question, Answer.LOOK if wrong else Answer.GO, figure, None, reasons, do)
