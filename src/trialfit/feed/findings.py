"""Findings of the water circuit.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trialfit.errors import Refusal
from trialfit.feed.fitted_wrong import duty_findings
from trialfit.feed.harm import Fails
from trialfit.feed.records import TANK, Circuit, spoken
from trialfit.feed.report import FeedReport, feed_report
from trialfit.feed.setting_flow_findings import flow_finding
from trialfit.feed.settings import Setting, setting_words, whenever
from trialfit.feed.sights import into
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.records import Job

COLD = "Undo no nut of the circuit before the fire is out, the gauge stands at nothing and the boiler is cold."


def feed_findings(job: Job, report: FeedReport | None = None) -> tuple[Finding, ...]:
    """Say what there is to say of a job's water circuit.

    Parameters
    ----------
    job
        The job document; one without a circuit has no findings.
    report
        The circuit worked out, where that has been done.

    Returns
    -------
    tuple of Finding
        Duties first, then what locks, what scalds, what nuts hold, and what no setting shows. Where no circuit can be
        made of the job at all, that alone.
    """
    return _said(job, report) if report is not None else worked_out(job)[1]


def worked_out(job: Job) -> tuple[FeedReport | None, tuple[Finding, ...]]:
    """Work out a job's water circuit, and stop where it cannot be made instead of failing.

    Parameters
    ----------
    job
        The job document; one without a circuit has no findings.

    Returns
    -------
    tuple
        The circuit worked out, or None; and all that is said of it.
    """
    if job.circuit is None:
        return None, ()
    try:
        made = feed_report(job)
    except Refusal as refusal:
        fault = refusal.fault
        because = (Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),)
        question = "Do the parts and joints make a water circuit?"
        return None, (Finding("feed", "circuit", question, Answer.STOP, because=because, do=fault.remedy),)
    return made, _said(job, made)


def _said(job: Job, made: FeedReport) -> tuple[Finding, ...]:
    return (
        *duty_findings(made.circuit, made.outcome),
        *_aside(job, made.circuit),
        *_open_ports(made.circuit),
        *_locks(made),
        *_empties(made),
        _nuts(made),
        *_no_relief(made),
        *_hurts(made.fails),
        _hidden(made),
        *flow_finding(made),
        *made.about_pumps,
    )


def when_words(circuit: Circuit, when: Sequence[Setting]) -> str:
    """Say when something is so.

    Parameters
    ----------
    circuit
        The circuit.
    when
        Part settings, as `whenever` gives them.

    Returns
    -------
    str
        Such as ``bypass shut, engine running; or drain open``.
    """
    said = [setting_words(circuit, each, whole=True) if each else "always" for each in when]
    return "; or ".join(said) or "in settings of no simple pattern"


def _aside(job: Job, circuit: Circuit) -> Iterator[Finding]:
    there = {source.name for source in circuit.sources}
    for name in job.circuit.sources if job.circuit else ():
        if name not in there:
            yield Finding(
                "feed", name, f"Is the {spoken(name)} joined to the circuit?", Answer.STOP,
                because=(Reason("No joint leads from it to the tank or the boiler."),), do="Add its joints to the job.",
            )  # fmt: skip


def _open_ports(circuit: Circuit) -> Iterator[Finding]:
    open_ports = [f"{spoken(way.part)} at {circuit.place(way.a)}" for way in circuit.ways if way.kind == "mouth"]
    if open_ports:
        yield Finding(
            "feed", "open ports", "Which ports stand open to the air?", Answer.LOOK,
            Figure(len(open_ports), "port" if len(open_ports) == 1 else "ports", places=0),
            because=(Reason(f"{'; '.join(open_ports)}."),),
            do="See that each is meant to. If not, add its joint, or name it under blanked.",
        )  # fmt: skip


def _locks(made: FeedReport) -> Iterator[Finding]:
    for name, driven in made.outcome.driven.items():
        if driven.locks:
            when = when_words(made.circuit, whenever(made.circuit, made.settings, driven.locks))
            yield Finding(
                "feed", name, f"Can the {spoken(name)} be driven against nothing but metal?", Answer.STOP,
                Figure(driven.locks.bit_count(), "settings", places=0),
                because=(Reason(f"With {when}: its water has nowhere to go, and nothing relieves it."),),
                do="Fit a relief valve before the first thing that can be shut, or take that handle away.",
            )  # fmt: skip


def _empties(made: FeedReport) -> Iterator[Finding]:
    leaks = into(made.outcome, TANK, made.outcome.boiler)
    if leaks:
        when = when_words(made.circuit, whenever(made.circuit, made.settings, leaks))
        yield Finding(
            "feed", "boiler", "Can the boiler empty into the tank with nothing broken?", Answer.STOP,
            Figure(leaks.bit_count(), "settings", places=0),
            because=(Reason(f"With {when}."),), do="A check valve is missing, or one is fitted the wrong way round.",
        )  # fmt: skip


def _nuts(made: FeedReport) -> Finding:
    nodes = [(n, node) for n, node in enumerate(made.circuit.nodes) if not node.inside]
    every = made.outcome.states.every
    always = [node.name for n, node in nodes if made.held.boiler_now[n] == every]
    at_times = [node.name for n, node in nodes if 0 != made.held.boiler_now[n] != every]
    after = [node.name for n, node in nodes if made.held.boiler[n] and not made.held.boiler_now[n]]
    never = [node.name for n, node in nodes if not made.held.boiler[n] and not made.held.more[n]]
    told = (
        ("At boiler pressure always", always),
        ("At boiler pressure in some settings", at_times),
        ("May hold boiler pressure after a pump has run, standing and cold to the hand", after),
        ("Under the tank's head only, while nothing is broken", never),
    )
    reasons = tuple(Reason(f"{words}: {', '.join(names)}.") for words, names in told if names)
    return Finding(
        "feed", "nuts", f"Which nuts can stand at the boiler's {made.pressure}?", Answer.LOOK,
        Figure(len(always) + len(at_times) + len(after), f"of {len(nodes)} places", places=0),
        because=reasons, do=f"{COLD} Open the bypass first, where there is one.",
    )  # fmt: skip


def _no_relief(made: FeedReport) -> Iterator[Finding]:
    shut = [(n, node) for n, node in enumerate(made.circuit.nodes) if made.held.no_relief[n] and not node.inside]
    if shut:
        names = ", ".join(node.name for _, node in shut)
        when = when_words(
            made.circuit, whenever(made.circuit, made.settings, _any(made.held.no_relief[n] for n, _ in shut))
        )
        yield Finding(
            "feed", "no relief", "Is water shut in anywhere with no way out at all?", Answer.LOOK,
            Figure(len(shut), "places", places=0),
            because=(
                Reason(f"{names}: with {when}."),
                Reason("Water that fills a shut place and is warmed gains tens of psi for each degree."),
            ),
            do="Leave such a place with one cock open; never put a torch to it.",
        )  # fmt: skip


def _any(each: Iterator[int]) -> int:
    total = 0
    for bits in each:
        total |= bits
    return total


def _hurts(found: Sequence[Fails]) -> Iterator[Finding]:
    scald = [each for each in found if any(harm.kind == "scald" for harm in each.harms)]
    locks = [each for each in found if any(harm.kind == "lock" for harm in each.harms)]
    for which, about, question, do in (
        (scald, "scald", "Can one fault alone let boiler water or steam out?",
         "Stand clear of those places in steam; a second check in the pipe takes most of them away."),
        (locks, "lock", "Can one fault alone lock a pump?",
         "Open the bypass before the engine is moved; a relief valve at the pump takes all of them away."),
    ):  # fmt: skip
        if which:
            listed = "; ".join(each.fault.words for each in which[:8])
            more = f"; and {len(which) - 8} more" if len(which) > 8 else ""
            yield Finding(
                "feed", about, question, Answer.LOOK, Figure(len(which), "single faults", places=0),
                because=(Reason(f"{listed}{more}."),), do=do,
            )  # fmt: skip


def _hidden(made: FeedReport) -> Finding:
    unseen = [each for each in made.fails if not each.shows_in]
    late = [each for each in made.fails if each.shows_in and each.hidden_in_use]
    nasty = [each.fault.words for each in unseen if any(harm.kind == "at a nut" for harm in each.harms)]
    reasons = [Reason(f"No setting shows it: {'; '.join(each.fault.words for each in unseen)}.")] if unseen else []
    if nasty:
        reasons.append(Reason(f"Of these, found out only by undoing a nut, at boiler pressure: {'; '.join(nasty)}."))
    if late:
        listed = "; ".join(each.fault.words for each in late)
        reasons.append(Reason(f"Shown by some setting, but by none in use: {listed}."))
    reasons.append(Reason("What an owner sees, hears and feels is taken from practice.", basis=Basis.PRACTICE))
    return Finding(
        "feed", "hidden faults", "Does every single fault show?", Answer.LOOK if unseen or late else Answer.GO,
        Figure(len(unseen), f"of {len(made.fails)} faults that no setting shows", places=0), because=tuple(reasons),
        do="Take those apart and look at them, cold, once a season." if unseen else "",
    )  # fmt: skip
