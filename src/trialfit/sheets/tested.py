"""The owner's record of the pressure tests: what was tested, at which pressure, and what was seen."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from trialfit.job.pressure_test import SeenAtTest
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.owner_head import owner_head, owner_title, signed
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for
from trialfit.strength.pressure_report import PressureTest

TEST_RECORD = "test-record.pdf"
_COLUMNS = (
    "tested-day", "tested-with", "tested-pressure", "tested-held", "tested-after", "tested-bubbles", "tested-what",
    "tested-by",
)  # fmt: skip


def tested_files(job: Job, shop: Shop | None, tests: Iterable[PressureTest], paper: Paper = "a4") -> dict[str, bytes]:
    """Set the owner's record of the pressure tests.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, or None where it is not said which.
    tests
        Its pressure tests.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name; none before anything was tested.
    """
    done = [test for test in tests if test.seen]
    if not done:
        return {}
    title = owner_title(job, words_for(job).say("tested-kind"))
    return {TEST_RECORD: pdf("tested.typ", tested_sheet(job, shop, done, paper), title, job.job.date)}


def tested_sheet(job: Job, shop: Shop | None, tests: Iterable[PressureTest], paper: Paper = "a4") -> dict[str, Any]:
    """Write the record of the pressure tests as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, or None where it is not said which.
    tests
        The tests at which something was seen.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    words = words_for(job)
    facts = [
        [words.say("common-for"), owner_name(job)],
        [words.say("common-from"), signed(shop, words) if shop is not None else ""],
        [words.say("common-engine"), job.engine.name],
        [words.say("tested-working"), words.pressure(float(job.engine.working_pressure.to("MPa")))],
    ]
    title = words.say("tested-title", engine=job.engine.name)
    return {
        "head": owner_head(job, words, paper, words.say("tested-kind"), title, ""),
        "facts": [fact for fact in facts if fact[1]],
        "columns": [words.say(name) for name in _COLUMNS],
        "tests": [_test(test, words) for test in tests],
        "signed": words.say("tested-signed"),
        "notes": [words.say("tested-means"), words.say("tested-day-alone")],
        "cautions": [words.say("tested-certificate")],
        "cautions_word": words.say("common-cautions"),
    }


def _test(test: PressureTest, words: Words) -> dict[str, Any]:
    entry, agreed = test.entry, ""
    if entry.water is not None:
        agreed = words.as_read(entry.water)
        if entry.agreed_with:
            agreed = words.say("tested-agreed-with", pressure=agreed, person=entry.agreed_with)
    return {
        "what": test.what[:1].upper() + test.what[1:],
        "agreed": [words.say("tested-agreed"), agreed] if agreed else None,
        "rows": [_row(each.seen, words) for each in test.seen],
    }


def _row(seen: SeenAtTest, words: Words) -> list[str]:
    bubbles = ""
    if seen.bubbles is not None:
        size, every = words.length(float(seen.bubbles.bubble.to("mm"))), words.as_marked(seen.bubbles.every)
        bubbles = words.say("tested-bubble", size=size, time=every)
    return [
        words.day(seen.day),
        words.say("tested-water" if seen.medium == "water" else "tested-air"),
        words.as_read(seen.pressure),
        "" if seen.held is None else words.as_marked(seen.held),
        "" if seen.after is None else words.as_read(seen.after),
        bubbles,
        seen.what or words.say("tested-none"),
        seen.by,
    ]
