"""The file of times taken at the bench: beside the shop file, or in the folder of the job they were taken on."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from trialfit.job.found import Found
from trialfit.job.heating import Seconds
from trialfit.job.pricing import Count, TimeEntry
from trialfit.job.values import Day, Name, Record, refused

_CLOCK = re.compile(r"[\x21-\x7e]{1,80}")


def _clock(value: str) -> str:
    if not _CLOCK.fullmatch(value):
        raise refused(
            f'"{value[:100]}"',
            "1 to 80 letters, digits and signs without blanks",
            "Leave it out where it is not known.",
        )
    return value


def _moment(value: str) -> str:
    try:
        datetime.fromisoformat(value)
    except ValueError:
        raise refused(f'"{value[:100]}"', "a day and an hour", "Write it as 2026-03-14T10:05:00.") from None
    return value


ClockName = Annotated[str, AfterValidator(_clock)]
Moment = Annotated[str, AfterValidator(_moment)]
_NAMED = "Name it was entered under, by which it is known again and never counted twice."
_PRESSED = "Name of the press that stopped its clock."


class Entered(Record):
    """When and where a time was entered; empty where the file was written by hand."""

    clock: ClockName | None = Field(None, description=_NAMED, examples=["8d0c1f"])
    started: Moment | None = Field(None, description="When its clock was started.", examples=["2026-03-14T09:10:00Z"])
    stopped_by: ClockName | None = Field(None, description=_PRESSED, examples=["77ab02"])
    entered: Moment | None = Field(None, description="When it was entered.", examples=["2026-03-14T10:05:00Z"])
    entered_by: str = Field("", description="From which screen.", examples=["tablet"])


class TakenEntry(Entered, TimeEntry):
    """One time taken at the bench, as the file of times keeps it."""


class StruckEntry(Entered):
    """A time that was struck out, or a clock that was let go: written down, and counts no longer."""

    job: Name = Field(description="The job.", examples=["bittern-backhead"])
    operation: Name = Field(description="The operation.", examples=["silver-solder"])
    count: Count = Field(1, description="How many it was for.", examples=[2])
    took: Seconds | None = Field(None, description="How long it took, where a time was taken.", examples=["55 min"])
    day: Day | None = Field(None, description="When.", examples=["2026-03-14"])
    note: str = Field("", description="Anything that made it long or short.", examples=["second heat needed"])


class RunningEntry(Record):
    """A clock that is running."""

    job: Name = Field(description="The job.", examples=["bittern-backhead"])
    operation: Name = Field(description="The operation.", examples=["silver-solder"])
    count: Count = Field(1, description="How many are being done.", examples=[2])
    since: Moment = Field(description="Since when.", examples=["2026-03-14T10:05:00"])
    clock: ClockName | None = Field(None, description=_NAMED, examples=["8d0c1f"])
    entered: Moment | None = Field(None, description="When it was entered.", examples=["2026-03-14T10:05:00Z"])
    entered_by: str = Field("", description="From which screen.", examples=["tablet"])


def clock_faults(document: dict[str, Any]) -> list[Found]:
    """Find one clock's name on two times.

    Parameters
    ----------
    document
        As read from TOML.

    Returns
    -------
    list
        A fault for each time whose name stands on an earlier one.
    """
    faults: list[Found] = []
    seen: set[str] = set()
    for table in TimesFile.model_fields:
        rows = document.get(table)
        for number, row in enumerate(rows if isinstance(rows, list) else ()):
            clock = row.get("clock") if isinstance(row, dict) else None
            if isinstance(clock, str) and clock in seen:
                remedy = "Leave clock out of the one that was added, or take one of the two out."
                faults.append(Found((table, number, "clock"), f'"{clock}", which another has too', "its own", remedy))
            seen |= {clock} if isinstance(clock, str) else set()
    return faults


class TimesFile(Record):
    """The file of times."""

    times: tuple[TakenEntry, ...] = Field((), description="Times taken.")
    running: tuple[RunningEntry, ...] = Field((), description="Clocks that are running.")
    struck: tuple[StruckEntry, ...] = Field((), description="Times that count no longer.")
