"""Reading the job document: every fault in one pass, each with its line and what to do about it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any, TypeVar

from pydantic import ValidationError

from trialfit.errors import Fault, Refusals
from trialfit.job.before_and_after_faults import before_and_after_faults
from trialfit.job.bench_faults import bench_faults
from trialfit.job.circuit_faults import circuit_faults
from trialfit.job.dotted import quote_names
from trialfit.job.found import Found
from trialfit.job.heating_faults import heating_faults
from trialfit.job.misspelt import spell_keys
from trialfit.job.outline_faults import outline_faults
from trialfit.job.parcel_faults import parcel_faults
from trialfit.job.pictures import picture_faults
from trialfit.job.places import places_of
from trialfit.job.port_faults import port_faults
from trialfit.job.quoting_faults import quoting_faults
from trialfit.job.records import Job
from trialfit.job.references import reference_faults
from trialfit.job.shop import Shop
from trialfit.job.sizes import size_faults
from trialfit.job.statements import read_statements
from trialfit.job.structure import structure_faults
from trialfit.job.syntax import printable
from trialfit.job.times_file import TimesFile, clock_faults
from trialfit.job.trade import trade_faults
from trialfit.job.turned_faults import turned_faults
from trialfit.job.values import Record

Document = TypeVar("Document", bound=Record)


def read_job(text: str, file: str = "job.toml", pictures: Collection[str] | None = None) -> Job:
    """Read a job document.

    Parameters
    ----------
    text
        The whole of it, TOML.
    file
        Its name, for the faults.
    pictures
        Names of the files in its photographs/ folder; None where nobody has looked.

    Returns
    -------
    Job
        The job. Every name it refers to is there.

    Raises
    ------
    Refusals
        Every fault there is, in the order of lines.
    """

    def disagreements(document: dict[str, Any]) -> list[Found]:
        return [
            *reference_faults(document),
            *port_faults(document),
            *outline_faults(document),
            *picture_faults(document, pictures),
            *size_faults(document),
            *trade_faults(document),
            *turned_faults(document),
            *bench_faults(document),
            *circuit_faults(document),
            *heating_faults(document),
            *quoting_faults(document),
            *parcel_faults(document),
            *before_and_after_faults(document),
        ]

    return _read(text, file, Job, disagreements)


def read_shop(text: str, file: str = "shop.toml") -> Shop:
    """Read what the workshop owns and has learnt.

    Parameters
    ----------
    text
        The whole of it, TOML.
    file
        Its name, for the faults.

    Returns
    -------
    Shop
        The workshop.

    Raises
    ------
    Refusals
        Every fault there is, in the order of lines.
    """
    return _read(text, file, Shop, lambda _: [])


def read_times(text: str, file: str = "times.toml") -> TimesFile:
    """Read the times taken at the bench.

    Parameters
    ----------
    text
        The whole of it, TOML.
    file
        Its name, for the faults.

    Returns
    -------
    TimesFile
        Times, and clocks that are running.

    Raises
    ------
    Refusals
        Every fault there is, in the order of lines.
    """
    return _read(text, file, TimesFile, clock_faults)


def _read(
    text: str, file: str, record: type[Document], disagreements: Callable[[dict[str, Any]], list[Found]]
) -> Document:
    reading = read_statements(text.removeprefix("\ufeff"))
    document, places, misspelt = spell_keys(reading.document, places_of(reading.text), record)
    document, places, unquoted = quote_names(document, places, record)
    found = misspelt + unquoted
    result: Document | None = None
    try:
        result = record.model_validate(document)
    except ValidationError as error:
        found += structure_faults(error, record)
    found += disagreements(document)
    # What was looked for in vain may stand in a statement that could not be read: that would be a second complaint.
    faults = [bad.at(file, bad.line) for bad in reading.bad]
    faults += [each.placed(places, file) for each in found if not each.absent or each.absent not in reading.lost]
    if faults or result is None:
        raise Refusals(sorted(dict.fromkeys(_on_one_line(fault) for fault in faults), key=lambda fault: fault.line))
    return result


def _on_one_line(fault: Fault) -> Fault:
    what, got, wanted, remedy = (printable(each) for each in (fault.what, fault.got, fault.wanted, fault.remedy))
    return Fault(what, got, wanted, remedy, fault.file, fault.line)
