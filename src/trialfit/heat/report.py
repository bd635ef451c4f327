"""One heat, worked out whole: what it comes to, what is said of it, what to be warned of.

Source: `trialfit.heat.outcome` and the findings.
"""

from __future__ import annotations

from trialfit.errors import Refusal
from trialfit.finding import Answer, Finding, Reason
from trialfit.heat.findings import cadmium, comes_up, cool_words, locked, melts, rag_stops, stays
from trialfit.heat.from_job import may_burst, old_solder, work_of
from trialfit.heat.joint_findings import flux_finding, gap_finding, order_finding, service_findings, thin_findings
from trialfit.heat.keep_cool import KeepCool, keep_cool, stopping
from trialfit.heat.outcome import least_w, outcome
from trialfit.heat.records import HeatCaution, HeatReport, Outcome, Watched, Work
from trialfit.job.heating import HeatingEntry
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.tables.joining import fillers

_DOES = {"silver-solder": "silver-solder", "soft-solder": "soft-solder", "release": "let go", "anneal": "anneal"}


def heats(job: Job, shop: Shop) -> tuple[HeatReport, ...]:
    """Work out every heat of a job.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.

    Returns
    -------
    tuple of HeatReport
        In the order of the job.

    Raises
    ------
    Refusal
        A torch is not the workshop's, or its trial cannot be.
    """
    return tuple(heat_report(job, shop, name, entry) for name, entry in job.heating.items())


def heat_findings(job: Job, shop: Shop) -> tuple[tuple[HeatReport, ...], tuple[Finding, ...]]:
    """Work out every heat of a job, and stop where one cannot be worked out instead of failing.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.

    Returns
    -------
    tuple
        The reports, and all their findings.
    """
    reports: list[HeatReport] = []
    said: list[Finding] = []
    for name, entry in job.heating.items():
        try:
            report = heat_report(job, shop, name, entry)
        except Refusal as refusal:
            fault = refusal.fault
            because = (Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),)
            said.append(
                Finding("heat", name, "Can the heat be worked out?", Answer.STOP, because=because, do=fault.remedy)
            )
        else:
            reports.append(report)
            said += report.findings
    return tuple(reports), tuple(said)


def heat_report(job: Job, shop: Shop, name: str, entry: HeatingEntry) -> HeatReport:
    """Work out one heat.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    name
        The heat's name in the job.
    entry
        The heat.

    Returns
    -------
    HeatReport
        Whole.

    Raises
    ------
    Refusal
        The torch is not the workshop's, a metal is missing, or the torch's trial cannot be.
    """
    work = work_of(job, shop, name, entry)
    takes_w = least_w(work)
    found = outcome(work, least_w=takes_w)
    coolers = {each.name: _coolers(work, each, found) for each in work.watched}
    about_gap, hot_gap, wire = gap_finding(work)
    old, shut = old_solder(job, entry), may_burst(job, entry)
    of_filler = any(each.name == entry.filler and each.cadmium for each in fillers())
    findings = (
        *locked(work, shut),
        comes_up(work, found, takes_w),
        *(rag_stops(work, each) for each in stopping(work)),
        *(stays(work, each, found, *coolers[each.name]) for each in work.watched),
        *melts(work, found),
        *cadmium(work, old, found, of_filler),
        *flux_finding(work),
        *order_finding(work),
        *about_gap,
        *thin_findings(work),
        *service_findings(work),
    )
    best = (rag or clamp for rag, clamp in coolers.values())
    advised = tuple(dict.fromkeys(cool_words(work, each) for each in best if each is not None))
    return HeatReport(
        name, work.what, _DOES[entry.do], work.needs_c, work.torch, takes_w, found, work.watched, advised, hot_gap,
        wire, findings, _cautions(work, entry, shut, bool(old) or of_filler),
    )  # fmt: skip


def _coolers(work: Work, each: Watched, found: Outcome) -> tuple[KeepCool | None, KeepCool | None]:
    if found.most[each.name].high < each.limit.most_c or found.reached_s[1] is None:
        return None, None
    return keep_cool(work, each, found)


def _cautions(work: Work, entry: HeatingEntry, shut: tuple[str, ...], old: bool) -> tuple[HeatCaution, ...]:
    hollow = bool(entry.pipes) or any(body.openings is not None for body in entry.bodies.values())
    metals = [each.metal for each in work.lumps] + [each.metal for each in work.pipes]
    brass = any("brass" in metal.name for metal in metals)
    solders = entry.do in ("silver-solder", "soft-solder")
    called = [HeatCaution.FLAME]
    called += [HeatCaution.SHUT] if shut or hollow else []
    called += [HeatCaution.CADMIUM] if old or entry.do == "release" else []
    called += [HeatCaution.ZINC] if brass and work.needs_c > 400.0 else []
    called += [HeatCaution.FLUX] if entry.do == "silver-solder" else []
    called += [HeatCaution.ACID, HeatCaution.QUENCH] if solders or entry.do == "anneal" else []
    called += [HeatCaution.CHARRED] if any(each.holds or each.seal for each in entry.there.values()) else []
    called += [HeatCaution.CHARRED] if entry.do == "release" and entry.filler is None else []
    return tuple(dict.fromkeys(called))
