"""The pack: every sheet of a job, by the name of its file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.feed.report import FeedReport
from trialfit.finding import Finding
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.records import PipePlan
from trialfit.heat.records import HeatReport
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.process_records import OrderOfWork
from trialfit.making.turned.plan import TurnedJob
from trialfit.parcel.records import ParcelAccount
from trialfit.parts.records import Part
from trialfit.quote.records import Invoice, Quote
from trialfit.sheets.before_and_after import before_and_after_files
from trialfit.sheets.bound import PACK, bound
from trialfit.sheets.charges import charge_sheets
from trialfit.sheets.compile import pdf
from trialfit.sheets.dxf import dxf
from trialfit.sheets.feed import feed_files
from trialfit.sheets.file_names import free_name
from trialfit.sheets.fitting.files import Fitted, fitting_files
from trialfit.sheets.flat_print import flat_print_files
from trialfit.sheets.heading import Paper
from trialfit.sheets.heat import heat_sheets
from trialfit.sheets.letter import letter
from trialfit.sheets.parcel import parcel_sheets
from trialfit.sheets.pipe import pipe_sheet
from trialfit.sheets.pressure_test import pressure_sheet
from trialfit.sheets.processes import order_sheet
from trialfit.sheets.seen.over_photographs import over_files
from trialfit.sheets.summary import summary
from trialfit.sheets.svg import svg
from trialfit.sheets.tested import tested_files
from trialfit.sheets.turned import drawing_for, turned_sheet
from trialfit.sheets.unheld import unheld_findings
from trialfit.sheets.words import words_for
from trialfit.strength.pressure_findings import pressure_findings
from trialfit.strength.pressure_report import PressureTest
from trialfit.survey.asks import Asked
from trialfit.survey.before_and_after import BeforeAndAfter
from trialfit.survey.flat_wanted import FlatWanted
from trialfit.survey.records import Survey

# Those that wait for the typesetter, and those that hold the interpreter, keep two processors busy.
_MAKERS_AT_ONCE = 4


class Planned(Fitted, Protocol):
    """What the pack takes from a plan."""

    @property
    def job(self) -> Job:
        """The job."""

    @property
    def shop(self) -> Shop:
        """The workshop."""

    @property
    def survey(self) -> Survey | None:
        """What the photographs gave, if there were any."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts with their ports."""

    @property
    def ends(self) -> EndsInPlace | None:
        """The faces its pipes go to, if there were any."""

    @property
    def pipes(self) -> tuple[PipePlan, ...]:
        """The pipes that could be worked out."""

    @property
    def circuit(self) -> FeedReport | None:
        """The water circuit, if there is one."""

    @property
    def turned(self) -> TurnedJob:
        """The turned parts."""

    @property
    def orders(self) -> tuple[OrderOfWork, ...]:
        """The order of work of every assembly."""

    @property
    def heats(self) -> tuple[HeatReport, ...]:
        """What the torch does in each heat."""

    @property
    def tests(self) -> tuple[PressureTest, ...]:
        """The pressure tests."""

    @property
    def flats(self) -> tuple[FlatWanted, ...]:
        """The flat prints the job calls for."""

    @property
    def compared(self) -> tuple[BeforeAndAfter, ...]:
        """Pieces as they came and as they go back."""

    @property
    def parcel(self) -> ParcelAccount | None:
        """The parcel, in and out."""

    @property
    def quote(self) -> Quote | None:
        """What the work is foreseen to take and costs."""

    @property
    def invoice(self) -> Invoice | None:
        """The invoice."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found."""


def sheets_of(
    plan: Planned, paper: Paper = "a4", pictures: Mapping[str, NDArray[np.uint8]] | None = None
) -> dict[str, bytes]:
    """Set every sheet of a plan.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    paper
        Size of the paper.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue; without them nothing
        is drawn over photographs. [-]

    Returns
    -------
    dict
        PDF by file name, the summary first. The same plan gives the same bytes.
    """
    seen, feed = pictures or {}, plan.circuit
    in_grey = _in_grey(seen)
    return _at_once(
        lambda: _summary_file(plan, paper),
        lambda: _pipe_files(plan, paper),
        lambda: _over_files(plan, in_grey, paper),
        lambda: {} if feed is None else feed_files(plan.job, feed, paper),
        lambda: turned_files(plan.job, plan.turned, paper),
        lambda: order_sheets(plan.job, plan.orders, paper),
        lambda: heat_sheets(plan.job, plan.heats, paper),
        lambda: pressure_sheets(plan.job, plan.tests, paper),
        lambda: tested_files(plan.job, plan.shop, plan.tests, paper),
        lambda: flat_print_files(plan.job, plan.flats, seen, paper),
        lambda: before_and_after_files(plan.job, plan.compared, seen, paper),
        lambda: parcel_sheets(plan.job, plan.shop, plan.parcel, paper, seen),
        lambda: charge_sheets(plan, paper),
        lambda: fitting_files(plan, in_grey, paper, _for_the_post_only(plan)),
    )


def _at_once(*makers: Callable[[], Mapping[str, bytes]]) -> dict[str, bytes]:
    """Files of several makers, in the order of the makers: while the typesetter sets one, the next is written."""
    with ThreadPoolExecutor(_MAKERS_AT_ONCE) as pool:
        return {name: made for files in pool.map(lambda make: make(), makers) for name, made in files.items()}


def _summary_file(plan: Planned, paper: Paper) -> dict[str, bytes]:
    card = plan.job.job
    findings = (*plan.findings, *unheld_findings(plan.job))
    record = summary(plan.job, plan.survey, findings, plan.pipes, plan.shop, paper)
    return {"summary.pdf": pdf("summary.typ", record, f"{card.name}: summary", card.date)}


def _pipe_files(plan: Planned, paper: Paper) -> dict[str, bytes]:
    card, sheets = plan.job.job, dict[str, bytes]()
    for pipe in plan.pipes:
        own = [finding for finding in plan.findings if _concerns(finding, pipe.name)]
        order = next((each for each in plan.orders if each.name == pipe.name and each.steps), None)
        record = pipe_sheet(plan.job, pipe, plan.shop, own, paper, order)
        name = free_name("pipe", pipe.name, sheets)
        sheets[f"{name}.pdf"] = pdf("pipe.typ", record, f"{card.name}: pipe {pipe.name}", card.date)
    return sheets


def _over_files(plan: Planned, pictures: Mapping[str, NDArray[np.uint8]], paper: Paper) -> dict[str, bytes]:
    sheets: dict[str, bytes] = {}
    for over, made in over_files(plan.job, plan, pictures, paper).items():
        sheets[f"{free_name('over-photographs', over, sheets)}.pdf"] = made
    return sheets


def pack_of(
    plan: Planned,
    asked: Asked | None,
    paper: Paper = "a4",
    pictures: Mapping[str, NDArray[np.uint8]] | None = None,
) -> dict[str, bytes]:
    """Make the whole pack: every sheet, the letter where there is something to ask for, and all of it bound.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    asked
        What would make the survey surer, or None where there is none.
    paper
        Size of the paper.
    pictures
        As in `sheets_of`: (height, width) or (height, width, 3). [-]

    Returns
    -------
    dict
        Contents by file name; ``pack.pdf`` last.
    """
    sheets = sheets_of(plan, paper, pictures)
    if asked is not None and asked.letter:
        sheets["letter.pdf"] = letter(plan.job, asked, plan.shop, paper)
    return {**sheets, PACK: bound(plan.job, sheets, paper)}


def turned_files(job: Job, turned: TurnedJob, paper: Paper = "a4") -> dict[str, bytes]:
    """Set the bench sheet of every turned part, and write its drawing as SVG and DXF.

    Parameters
    ----------
    job
        The job document.
    turned
        Its turned parts.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Contents by file name: a PDF, an SVG and a DXF for each part.
    """
    files: dict[str, bytes] = {}
    for plan in turned.parts:
        name = free_name("turned", plan.part.name, files)
        title = f"{job.job.name}: {plan.part.name}"
        own = [each for each in turned.findings if each.about == f"turned {plan.part.name}"]
        drawn = drawing_for(plan, paper)
        files[f"{name}.pdf"] = pdf("turned.typ", turned_sheet(job, plan, own, paper, drawn), title, job.job.date)
        files[f"{name}.svg"] = svg(drawn.layered, title).encode()
        files[f"{name}.dxf"] = dxf(drawn.layered, drawn.scale, title, job.job.date).encode()
    return files


def order_sheets(job: Job, orders: Iterable[OrderOfWork], paper: Paper = "a4") -> dict[str, bytes]:
    """Set the order of work of every assembly.

    Parameters
    ----------
    job
        The job document.
    orders
        Its orders of work.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name.
    """
    sheets: dict[str, bytes] = {}
    for order in orders:
        title = f"{job.job.name}: order of work, {order.name}"
        name = free_name("order-of-work", order.name, sheets)
        sheets[f"{name}.pdf"] = pdf("processes.typ", order_sheet(job, order, paper), title, job.job.date)
    return sheets


def pressure_sheets(job: Job, tests: Iterable[PressureTest], paper: Paper = "a4") -> dict[str, bytes]:
    """Set the sheet of every pressure test.

    Parameters
    ----------
    job
        The job document.
    tests
        Its pressure tests.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name.
    """
    sheets: dict[str, bytes] = {}
    for test in tests:
        title = f"{job.job.name}: pressure test, {test.name}"
        name = free_name("pressure-test", test.name, sheets)
        record = pressure_sheet(job, test, pressure_findings(test), paper)
        sheets[f"{name}.pdf"] = pdf("pressure_test.typ", record, title, job.job.date)
    return sheets


def _in_grey(pictures: Mapping[str, NDArray[np.uint8]]) -> dict[str, NDArray[np.uint8]]:
    """Photographs that something is drawn over: all alike, whichever of them was read in colour for another sheet."""
    return {
        name: picture if picture.ndim == 2 else np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
        for name, picture in pictures.items()
    }


def _for_the_post_only(plan: Planned) -> list[str]:
    """The transit pieces, each with where it sits, in the owner's words."""
    words, pieces = words_for(plan.job), plan.parcel.transit if plan.parcel else ()
    return [
        words.say("fitting-transit-piece", count=words.number(each.count), what=each.what, on=each.on)
        for _, each in pieces
    ]


def _concerns(finding: Finding, pipe: str) -> bool:
    """Whether a finding is about a pipe itself or about a joint of one of its ends."""
    return any(
        about == pipe or about.startswith(f"{pipe}.") for about in (finding.about, *finding.about.split(" and "))
    )
