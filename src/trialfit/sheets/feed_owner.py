"""The owner's page of the water circuit: what each setting does, and what to do about what he sees."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trialfit.feed.harm import GRAVEST, Fails, HarmKind
from trialfit.feed.records import spoken
from trialfit.feed.report import FeedReport, InUse, Level
from trialfit.feed.settings import usual
from trialfit.feed.sights import Looked
from trialfit.job.records import Job
from trialfit.sheets.feed_drawing import circuit_drawing
from trialfit.sheets.feed_words import does_said, fault_said, looked_said, node_said, range_said, setting_said
from trialfit.sheets.heading import ROOM_MM, Paper
from trialfit.sheets.layers import flat
from trialfit.sheets.owner_head import owner_head
from trialfit.sheets.words import Words, words_for

# What to do at once. Common practice, no source.
_DO_FIRST: Mapping[HarmKind, str] = {
    "scald": "settings-do-scald",
    "lock": "settings-do-lock",
    "into the tank": "settings-do-into-tank",
    "at a nut": "settings-do-at-nut",
    "no feed": "settings-do-no-feed",
    "air": "settings-do-air",
}
_MOST_CAUSES = 6
_OF_THE_TEMPLATE = {
    "cautions": "common-cautions",
    "names": "settings-names",
    "names_note": "settings-names-note",
    "table": "settings-table",
    "numbers": "settings-numbers",
    "set": "settings-column-set",
    "water": "settings-column-water",
    "nuts": "settings-column-nuts",
    "danger": "settings-danger",
    "none": "settings-none",
    "under_more": "settings-under-more",
    "under_now": "settings-under-now",
    "under_holds": "settings-under-holds",
    "nuts_more": "settings-nuts-more",
    "nuts_now": "settings-nuts-now",
    "nuts_holds": "settings-nuts-holds",
    "pumps": "settings-pumps",
    "if": "settings-if",
    "if_note": "settings-if-note",
}


def owner_sheet(job: Job, report: FeedReport, paper: Paper) -> dict[str, Any]:
    """Write the owner's page as a record for its template.

    Parameters
    ----------
    job
        The job.
    report
        Its circuit, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: each setting with its drawing, and what to do about what is seen.
    """
    words = words_for(job)
    as_usual = setting_said(report.circuit, usual(report.circuit), words, whole=True)
    return {
        "head": owner_head(job, words, paper, words.say("settings-kind"), words.say("settings-title"), ""),
        "words": {key: words.say(name) for key, name in _OF_THE_TEMPLATE.items()},
        "cautions": [words.say("settings-cold"), words.say("settings-pressure")],
        "names": list(_names(job, report, words)),
        "usual": words.say("settings-usual", setting=as_usual),
        "settings": [_setting(job, report, use, paper, words) for use in report.in_use],
        "pumps": list(pump_lines(report, words)),
        "if": what_to_do_if(report, words),
        "practice": words.say("settings-watch"),
    }


def pump_lines(report: FeedReport, words: Words) -> Iterator[str]:
    """Say to the owner what his pumps give and what his boiler uses.

    Parameters
    ----------
    report
        The circuit, worked out.
    words
        The owner's words.

    Yields
    ------
    str
        Sentences, a few to each pump whose figures are known. Volumes are in mL whatever he measures lengths in: his
        measuring jug has them, and a fluid ounce is not the same in every country.
    """
    for each in report.pumps:
        pump, need = spoken(each.asked.name), each.needed
        strokes, gives = range_said(each.asked.pump.strokes, words), range_said(each.delivers, words)
        yield words.say("settings-pump-gives", strokes=strokes, pump=pump, volume=gives)
        if need is not None:
            yield words.say("settings-pump-needed", volume=range_said(need, words))
        stops = words.number(each.pocket_stops.likely * each.asked.pump.swept_ml, 1)
        yield words.say("settings-pump-air", volume=stops, pump=pump)


def what_to_do_if(report: FeedReport, words: Words) -> list[dict[str, Any]]:
    """Say, of everything amiss that shows in a setting in use, what it may be and what to do first.

    Parameters
    ----------
    report
        The circuit worked out.
    words
        The owner's words.

    Returns
    -------
    list of dict
        What to ``do``, the gravest first, and its ``rows``: what is ``seen`` and what it ``may_be``.
    """
    groups: dict[HarmKind, list[dict[str, str]]] = {kind: [] for kind in GRAVEST}
    for (looked, is_so), found in _causes(report).items():
        kinds = {harm.kind for each in found for harm in each.harms}
        if kinds:
            causes = [fault_said(each.fault, words) for each in found[:_MOST_CAUSES]]
            if len(found) > _MOST_CAUSES:
                causes.append(words.say("settings-and-more", count=words.number(len(found) - _MOST_CAUSES)))
            row = {
                "seen": looked_said(report.circuit, looked, is_so, words),
                "may_be": words.say("settings-may-be", faults="; ".join(causes)),
            }
            groups[min(kinds, key=GRAVEST.index)].append(row)
    return [{"do": words.say(_DO_FIRST[kind]), "rows": rows} for kind, rows in groups.items() if rows]


def _causes(report: FeedReport) -> dict[tuple[Looked, bool], list[Fails]]:
    """By what is seen, the faults that show so in a setting in use."""
    causes: dict[tuple[Looked, bool], list[Fails]] = {}
    for each in report.fails:
        for shown in each.shown if not each.hidden_in_use else ():
            # That something is cold or dry tells nobody anything; he would not look.
            if shown.is_so or shown.looked.seen not in ("hot", "wet"):
                causes.setdefault((shown.looked, shown.is_so), []).append(each)
    return causes


def _names(job: Job, report: FeedReport, words: Words) -> Iterator[str]:
    """What the job says of each part and handle that is named on the page."""
    handles = job.circuit.handles if job.circuit else {}
    there = dict.fromkeys(
        name
        for name in (
            *(way.part for way in report.circuit.ways),
            *(node.part for node in report.circuit.nodes if not node.inside),
            *(source.name for source in report.circuit.sources),
        )
    )
    for name in there:
        said = [each.what for each in (job.parts.get(name), handles.get(name)) if each is not None and each.what]
        if said:
            yield words.say("settings-named", name=spoken(name), what=", ".join(said))


def _setting(job: Job, report: FeedReport, use: InUse, paper: Paper, words: Words) -> dict[str, Any]:
    def named(level: Level) -> str:
        there = [(n, node) for n, node in enumerate(report.circuit.nodes) if use.levels[n] == level and not node.inside]
        return ", ".join(f"{node_said(node, words)} ({n + 1})" for n, node in there)

    handles = setting_said(report.circuit, use.setting, words)
    named_by_the_job = job.circuit is not None and use.name in job.circuit.settings
    does = "; ".join(does_said(report.circuit, each, words) for each in use.does)
    return {
        "name": use.what or (use.name if named_by_the_job else ""),
        "handles": handles,
        "does": does or words.say("settings-does-nothing"),
        "grave": use.grave,
        "now": named("boiler"),
        "holds": named("may hold boiler"),
        "more": named("no limit"),
        "drawing": flat(circuit_drawing(report, use, ROOM_MM[paper][0], words)).record(),
    }
