"""Whether what the owner seals a joint with stands what it comes to in service.

Source: temperature by `trialfit.heat.service`; limits by `trialfit.parts.stands`, or the maker's as the job gives it;
which thread tape is for, by the rules of ``sealing.csv``.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.heat.service import Leg, Service, service, service_c, unread_compound_service
from trialfit.heat.wording import as_subject
from trialfit.job.fitting import FittingEntry
from trialfit.job.heating import ThereAlready
from trialfit.job.records import Job
from trialfit.parts.cited import cite
from trialfit.parts.stands import seal_limit
from trialfit.tables.designations import find_thread
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule

# Tube that hangs on a union where nothing says which; the thinner, the sooner it is cool.
_LEG = ("CW024A", 4.7625, 3.34)
_COMPOUNDS = ("retaining compound", "high-temperature retaining compound")


def seal_findings(job: Job) -> tuple[Finding, ...]:
    """Hold every seal the owner is told to use against the temperature where it sits.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of Finding
        One for each part whose seal is named; a dry metal seat is none.
    """
    return tuple(
        _finding(job, name, entry)
        for name, entry in job.fitting.items()
        if entry.seal is not None and entry.seal != "dry"
    )


def _finding(job: Job, name: str, entry: FittingEntry) -> Finding:
    pressure_mpa = float(job.engine.working_pressure.to("MPa"))
    off_mm = 0.0 if entry.off_boiler is None else float(entry.off_boiler.to("mm"))
    metal, od_mm, bore_mm = _LEG
    hot_c, why = service_c(entry.sits or "boiler side", pressure_mpa, Leg(find_metal(metal), od_mm, bore_mm), off_mm)
    found = _service(name, entry, hot_c, pressure_mpa, why)
    reasons, answer = list(found.because), found.answer
    if entry.sits is None:
        said = "Nothing says where it sits: it is taken to be as hot as the boiler."
        reasons.insert(1, Reason(said, "", Basis.ASSUMED))
    parallel = list(_parallel(job, name)) if entry.seal == "PTFE tape" else []
    if parallel:
        tape = rule("PTFE tape", "threads")
        reasons += [Reason(f"{', '.join(parallel)} is parallel."), Reason(tape.text, cite(tape.sources), tape.basis)]
        answer = max(answer, Answer.LOOK, key=[Answer.GO, Answer.LOOK, Answer.STOP].index)
    limit = None if found.limit_c is None else Figure(found.limit_c, "°C", None, 0)
    what = entry.called or (job.parts[name].what if name in job.parts else "") or name
    question = f"Does the {entry.seal} of {as_subject(what)} stand service?"
    return Finding(
        "heat", name, question, answer, Figure(hot_c, "°C", None, 0), limit, tuple(reasons),
        "" if answer is Answer.GO else _instead(entry, hot_c),
    )  # fmt: skip


def _service(name: str, entry: FittingEntry, hot_c: float, pressure_mpa: float, why: Reason) -> Service:
    if entry.seal == "washer":
        kinds = [seal_limit(kind) for kind in ("bonded seal", "fibre washer", "copper washer")]
        each = "; ".join(f"{limit.what.removeprefix('the ')} {limit.most_c:.0f} °C" for limit in kinds)
        basis = max((limit.basis for limit in kinds), key=list(Basis).index)
        source = "; ".join(dict.fromkeys(limit.source for limit in kinds))
        stands = None if entry.stands is None else float(entry.stands.to("C"))
        if stands is None:
            unsaid = Reason(f"Which washer is not said: {each}.", source, basis)
            return Service(hot_c, None, Answer.LOOK, (why, unsaid))
    if entry.seal in ("washer", "jointing compound"):
        if entry.stands is None:
            return unread_compound_service(hot_c, why)
        most_c = float(entry.stands.to("C"))
        said = Reason(f"It stands {most_c:.0f} °C, as the job says.", "the job", Basis.MEASURED)
        return Service(hot_c, most_c, Answer.GO if hot_c < most_c else Answer.STOP, (why, said))
    key = "holds" if entry.seal in _COMPOUNDS else "seal"
    there = ThereAlready.model_validate(
        {"what": name, "on": name, key: entry.seal, "stands": entry.stands, "sits": None}
    )
    found = service(there, hot_c, pressure_mpa, why)
    assert found is not None
    return found


def _parallel(job: Job, name: str) -> Iterator[str]:
    ports = job.parts[name].ports.values() if name in job.parts else ()
    for port in ports:
        if port.thread is not None and not find_thread(port.thread).taper:
            yield port.thread


def _instead(entry: FittingEntry, hot_c: float) -> str:
    copper = seal_limit("copper washer")
    stands = f"an annealed copper washer under a shoulder (stands {copper.most_c:.0f} °C, {copper.basis.value})"
    if entry.seal == "jointing compound" and entry.stands is None:
        return (
            f'Read on the tin what it stands and write it down, as stands = "200 C"; it has to stand {hot_c:.0f} °C. '
            f"Or use a dry metal cone, or {stands}."
        )
    if entry.seal == "washer":
        return f'Say which washer it is, as seal = "copper washer"; it has to stand {hot_c:.0f} °C: use {stands}.'
    return f"Use a dry metal cone, or {stands if hot_c < copper.most_c else 'a joint of metal on metal'} instead."
