"""One turned part, worked out whole.

Source: the modules it calls; `docs/methods/turned.md`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.turned.across import across_sections
from trialfit.making.turned.bench import TurningBench, turning_bench
from trialfit.making.turned.cuts import choose_bar, cone_cuts, hole_cuts, lengths, thread_cuts
from trialfit.making.turned.features import Bar, Inside, TurnedPart
from trialfit.making.turned.findings import turned_findings
from trialfit.making.turned.from_job import turned_part
from trialfit.making.turned.profile import inner_profile, outer_profile
from trialfit.making.turned.records import BarChoice, HoleCut, Speed, TurnedPlan
from trialfit.making.turned.rings import RingFit, inside_fit, outside_fit, ring_limits
from trialfit.making.turned.seats import seat_fits
from trialfit.making.turned.solid import mass_g, volume_mm3
from trialfit.making.turned.speeds import is_assumed, speed
from trialfit.making.turned.steps import bench_steps
from trialfit.making.turned.wall import least_wall

# Least wall where the job does not say. (Assumed.)
LEAST_WALL_MM = 0.5


@dataclass(frozen=True)
class TurnedJob:
    """All the turned parts of a job.

    Parameters
    ----------
    parts
        Those that could be worked out.
    findings
        What was found about every one, those included that could not.
    """

    parts: tuple[TurnedPlan, ...]
    findings: tuple[Finding, ...]


def turned_parts(job: Job, shop: Shop) -> TurnedJob:
    """Work out every turned part of a job.

    Parameters
    ----------
    job
        The job document.
    shop
        What the workshop owns.

    Returns
    -------
    TurnedJob
        Parts and findings; a part that cannot be worked out at all is a stop finding.
    """
    bench = turning_bench(shop)
    plans: list[TurnedPlan] = []
    findings: list[Finding] = []
    for name, entry in job.turned.items():
        try:
            plan = plan_turned(turned_part(name, entry, job.joints, bench), bench)
        except Refusal as refusal:
            findings.append(_cannot_be_worked_out(name, refusal))
        else:
            plans.append(plan)
            findings += turned_findings(plan, bench)
    return TurnedJob(tuple(plans), tuple(findings))


def plan_turned(part: TurnedPart, bench: TurningBench) -> TurnedPlan:
    """Work out one turned part.

    Parameters
    ----------
    part
        The part, in millimetres.
    bench
        What the shop turns with.

    Returns
    -------
    TurnedPlan
        Complete, also where findings will say that it cannot be made.
    """
    bar = choose_bar(part, bench)
    taken = bar.chosen or Bar("round", part.swing_mm)
    long = lengths(part, bench)
    holes, cones = hole_cuts(part, bench), cone_cuts(part)
    stated = part.least_wall_mm
    return TurnedPlan(
        part=part,
        outer=outer_profile(part, "crest"),
        inner=inner_profile(part, "crest"),
        lengths=long,
        bar=bar,
        holes=holes,
        cones=cones,
        threads=thread_cuts(part, bench),
        across=across_sections(part),
        wall=least_wall(part),
        wall_limit=Figure(LEAST_WALL_MM if stated is None else stated, "mm"),
        wall_limit_assumed=stated is None,
        rings=tuple((fit, ring_limits(fit)) for fit in _rings(part)),
        seats=seat_fits(part),
        volume=Figure(volume_mm3(part), "mm³", places=0),
        mass=Figure(mass_g(part), "g", places=1),
        speeds=tuple(_speeds(part, taken, holes, bench)),
        steps=bench_steps(part, bench, taken, long, holes, cones),
        assumed=tuple(_assumed(part, bar, bench)),
    )


def _rings(part: TurnedPart) -> Iterator[RingFit]:
    for groove in part.outside:
        fit = outside_fit(groove)
        if fit is not None:
            yield fit
    for hole in part.inside:
        fit = inside_fit(hole, _floor_mm(hole, part))
        if fit is not None:
            yield fit


def _floor_mm(recess: Inside, part: TurnedPart) -> float:
    """Depth of the floor in which a recess is sunk: the deepest flat end of a wider hole from the same face."""
    wider = [
        max(hole.deep_mm, hole.hole_deep_mm)
        for hole in part.inside
        if hole.end == recess.end and hole is not recess and hole.cut_mm > recess.size_mm and hole.kind != "groove"
    ]
    return max((deep for deep in wider if deep < recess.deep_mm), default=0.0)


def _speeds(part: TurnedPart, bar: Bar, holes: tuple[HoleCut, ...], bench: TurningBench) -> Iterator[Speed]:
    yield speed("turning", bar.size_mm, part.metal, bench)
    for size in dict.fromkeys(f.swing_mm for f in part.outside if f.kind in ("plain", "spigot", "thread")):
        if size < bar.size_mm - 0.005:
            yield speed("turning", size, part.metal, bench)
    yield speed("parting", bar.size_mm, part.metal, bench)
    drilled = [hole.size_mm for hole in holes] + [hole.hole_mm for hole in part.across]
    for size in dict.fromkeys(drilled):
        yield speed("drilling", size, part.metal, bench)
    for size in dict.fromkeys(hole.size_mm for hole in holes if hole.feature.reamed):
        yield speed("reaming", size, part.metal, bench)


# What a reader is told when a key of the shop's tooling was assumed.
_TOOLING: Mapping[str, str] = {
    "drills": "the drills owned",
    "taps": "the taps owned",
    "dies": "the dies owned",
    "reamers": "the reamers owned",
    "spindle_rpm": "the lathe's speeds",
    "bars": "the bar in stock",
    "parting_width": "the width of the parting tool",
    "facing": "the allowance for facing",
}


def _assumed(part: TurnedPart, bar: BarChoice, bench: TurningBench) -> Iterator[str]:
    unsaid = [words for key, words in _TOOLING.items() if key in bench.assumed]
    if unsaid:
        yield f"The shop file does not say, so a usual small workshop's are assumed: {', '.join(unsaid)}."
    if part.least_wall_mm is None and part.inside:
        yield f"Least wall {LEAST_WALL_MM:.1f} mm is assumed: the job does not say."
    if bar.chosen is None:
        yield f"No bar was found: speeds and steps are for a round bar of {part.swing_mm:.2f} mm."
    if is_assumed(part.metal):
        yield f"No cutting speed is printed for {part.metal.key}: the hardest metal's is taken."
    yield "Surface speeds are the low end of print for high-speed steel; parting and reaming at half (common practice)."


def _cannot_be_worked_out(name: str, refusal: Refusal) -> Finding:
    fault = refusal.fault
    return Finding(
        "making", f"turned {name}", "Can the part be worked out?", Answer.STOP,
        because=(Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),), do=fault.remedy,
    )  # fmt: skip
