"""``trialfit settings`` and ``trialfit what-is-wrong``: what the water circuit does, and why it does not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.feed.build import circuit_of
from trialfit.feed.diagnosis import Diagnosis, symptom_of, what_is_wrong
from trialfit.feed.findings import feed_findings, when_words
from trialfit.feed.harm import Fails
from trialfit.feed.report import LEVEL_WORDS, FeedReport, InUse, feed_report
from trialfit.feed.setting_flow_findings import assumed_words, flow_words, not_known
from trialfit.feed.setting_flows import SettingFlows
from trialfit.feed.settings import setting_words, usual
from trialfit.finding import Answer
from trialfit.job.circuit import Sight, SymptomEntry
from trialfit.job.records import Job
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder

_HANGING = " " * 6


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--faults", is_flag=True, help="Every single fault: what happens, how it shows, who could be hurt.")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the sheets and drawings.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def settings(job: Path, faults: bool, out: Path | None, paper: str, as_json: bool) -> int:
    """Say what every setting of the water circuit of the job folder JOB does, and what every single fault would do.

    Exit code 0: nothing stops it. 1: a finding says stop.
    """
    document = read_folder(job).job
    report = feed_report(document)
    findings = feed_findings(document, report)
    text = [_settings_text(report), findings_text(findings)]
    if faults:
        text.insert(1, "\n\n".join(_fault_text(report, each) for each in report.fails))
    record = {
        "in_use": report.in_use,
        "flows": report.flows,
        "ways": report.circuit.ways,
        "fails": report.fails,
        "places": report.circuit.nodes,
        "findings": findings,
    }
    answer(as_json, "\n\n".join(text), record)
    if out is not None:
        for path in _write(out, document, report, paper):
            click.echo(f"Written: {path}", err=as_json)
    return int(any(finding.answer is Answer.STOP for finding in findings))


def _settings_text(report: FeedReport) -> str:
    circuit = report.circuit
    as_usual = filled(f"As usual: {setting_words(circuit, usual(circuit), whole=True)}.", hanging="")
    lines = [_setting_text(report, *each) for each in zip(report.in_use, report.flows, strict=True)]
    if not any(each is not None and each.through for each in report.flows):
        lines += [filled(f"How much flows is not known. {why}") for why in not_known(report.flows)]
    return "\n\n".join([as_usual, *lines])


def _setting_text(report: FeedReport, each: InUse, flows: SettingFlows | None) -> str:
    what = f" ({each.what})" if each.what else ""
    lines = [filled(f"{each.words}{what}:")]
    does = "; ".join(str(one) for one in each.does) or "nothing is driven, nothing flows"
    lines.append(filled(f"{'! ' if each.grave else ''}{does}.", _HANGING))
    if flows is not None and flows.through:
        lines.append(filled(f"how much: {flow_words(report.circuit, flows)}.", _HANGING, _HANGING + "  "))
        if flows.surer:
            lines.append(filled(f"{assumed_words(flows.surer)} [assumed]", _HANGING, _HANGING + "  "))
        if flows.shut_in:
            lines.append(
                filled(f"water locked in between checks: {', '.join(flows.shut_in)}.", _HANGING, _HANGING + "  ")
            )
    for level in ("no limit", "boiler", "may hold boiler"):
        places = [
            node.name for node, at in zip(report.circuit.nodes, each.levels, strict=True)
            if at == level and not node.inside
        ]  # fmt: skip
        if places:
            lines.append(filled(f"{LEVEL_WORDS[level]}: {', '.join(places)}.", _HANGING, _HANGING + "  "))
    return "\n".join(lines)


def _fault_text(report: FeedReport, each: Fails) -> str:
    circuit = report.circuit
    lines = [f"{each.fault.words.upper()}"]
    lines += [
        filled(f"- {harm.words}: {when_words(circuit, harm.when)}. Hurt: {harm.who}.", "  ", _HANGING)
        for harm in each.harms
    ]
    if not each.harms:
        lines.append("  - does no harm by itself")
    lines += [
        filled(f"  seen: {shown.looked.words(shown.is_so)}: {when_words(circuit, shown.when)}.", "  ")
        for shown in each.shown[:3]
    ]
    if not each.shows_in:
        lines.append("    seen: never, in no setting")
    elif each.hidden_in_use:
        lines.append("    not seen in any setting in use")
    return "\n".join(lines)


def _write(out: Path, job: Job, report: FeedReport, paper: str) -> list[Path]:
    """The owner's page, the bench sheet, and a drawing of each setting; the drawing libraries load only here."""
    from trialfit.sheets.feed import feed_files

    files = feed_files(job, report, "us-letter" if paper == "us-letter" else "a4")
    return write_files(out, files)


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--seen", multiple=True, metavar="TEXT",
    help='What was seen, such as "bypass=shut, engine=running: axle_pump does not feed the boiler".',
)  # fmt: skip
@as_json
def what_is_wrong_command(job: Path, seen: tuple[str, ...], as_json: bool) -> int:
    """Say which faults of the water circuit of the job folder JOB explain all that was seen, and what to look at next.

    What was seen stands in the job as [[circuit.symptoms]]; --seen adds to it.
    Exit code 0: something explains it, or nothing is amiss. 1: nothing explains it all.
    """
    document = read_folder(job).job
    circuit = circuit_of(document)
    entries = [*(document.circuit.symptoms if document.circuit else ()), *(read_sighting(each) for each in seen)]
    if not entries:
        raise Refusal(
            "symptoms", "none", "at least one thing that was seen",
            "Add [[circuit.symptoms]] to the job, or give --seen.",
        )  # fmt: skip
    found = what_is_wrong(circuit, [symptom_of(circuit, each) for each in entries])
    seen_lines = [f"Seen: {setting_words(circuit, s.setting)}: {s.looked.words(s.is_so)}." for s in found.symptoms]
    text = "\n".join([*seen_lines, "", *_diagnosis_text(found)])
    answer(as_json, text, found)
    return int(not found.explanations and not found.nothing_wrong)


def read_sighting(written: str) -> SymptomEntry:
    """Read a symptom as it is written after ``--seen``.

    Parameters
    ----------
    written
        Handles and positions, a colon, a place and what was seen there.

    Returns
    -------
    SymptomEntry
        As it would stand in the job.

    Raises
    ------
    Refusal
        It is not written so.
    """
    setting, _, told = written.rpartition(":")
    pairs = [re.split(r"\s*=\s*", each.strip(), maxsplit=1) for each in setting.split(",") if each.strip()]
    sights: tuple[Sight, ...] = get_args(Sight)
    sight = max((each for each in sights if told.strip().endswith(each)), key=len, default=None)
    if sight is None or any(len(pair) != 2 for pair in pairs):
        wanted = "handle=position, ...: place, and what was seen there"
        remedy = f"What can be seen: {', '.join(sights)}."
        raise Refusal("--seen", written, wanted, remedy)
    where = told.strip().removesuffix(sight).strip().removesuffix(" is").strip()
    return SymptomEntry.model_validate({"positions": dict(pairs), "where": where or "nothing", "seen": sight})


def _diagnosis_text(found: Diagnosis) -> Iterator[str]:
    if found.nothing_wrong:
        yield "The sound circuit does all this too: nothing seen so far is amiss."
    elif not found.explanations:
        yield "Neither one fault nor two at once explain it all. Look again, and at how the handles stood."
        return
    if found.two_at_once:
        yield "No single fault explains all of it. Two at once do:"
    else:
        yield "Explained by any one of these" + (", if something is wrong:" if found.nothing_wrong else ":")
    for n, each in enumerate(found.explanations[:12], 1):
        yield filled(f"{n:>4}. {each.share:4.0%}  {each.words}", "", " " * 12)
    if len(found.explanations) > 12:
        yield f"      and {len(found.explanations) - 12} more"
    yield "      Shares are odds of practice (common practice, no source), not measured."
    if not found.looks:
        yield "\nNo setting tells these apart. Take apart, cold and without pressure, and look."
    for n, look in enumerate(found.looks):
        yield ""
        yield filled(f"{'Ask next' if n == 0 else 'Or ask'}: {look.question}")
        yield filled(f"How: {look.how}.", _HANGING)
        yield filled(f"Yes leaves {_numbers(look.yes)}; no leaves {_numbers(look.no)}.", _HANGING)
        if look.caution:
            yield filled(f"! {look.caution}", _HANGING)


def _numbers(which: tuple[int, ...]) -> str:
    shown = ", ".join(str(n + 1) for n in which[:12])
    return shown + (f" and {len(which) - 12} more" if len(which) > 12 else "")
