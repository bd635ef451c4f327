"""Pages of what is done with a whole job: its times at the bench, and its closing."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from trialfit.app.at_desk import AtDesk
from trialfit.app.job_card import card_of
from trialfit.app.rest.jobs import JobName
from trialfit.app.written_page import page
from trialfit.errors import Refusal
from trialfit.store.database.records import NotThere

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job}/times", response_class=HTMLResponse)
def times(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Show the clocks of a job, its times, and quoted against actual."""
    return page(request, "times.html", **card_of(desk, job))


@router.get("/jobs/{job}/times/held", response_class=HTMLResponse)
def times_held(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Give what the quote foresees of a job, and past jobs against their quotes."""
    from trialfit.app.bench_times import times_view

    return page(request, "times_held.html", **card_of(desk, job), view=times_view(desk, job))


@router.get("/quoted-against-taken.svg")
def held_chart(desk: AtDesk) -> Response:
    """Give the chart of past jobs against their quotes."""
    from trialfit.app.bench_times import held_svg

    made = held_svg(desk)
    if made is None:
        raise NotThere("the chart", "no time taken yet", "a time taken at the bench", "Start a clock at a job.")
    return Response(made, media_type="image/svg+xml", headers={"Cache-Control": "no-cache"})


@router.get("/jobs/{job}/closing", response_class=HTMLResponse)
def closing(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Show what closing a job means, whether it can be closed, and its closed revisions."""
    from trialfit.store.database.closings import closings_of

    return page(request, "closing.html", **card_of(desk, job), closings=closings_of(desk.workshop, job))


@router.get("/jobs/{job}/closing/ready", response_class=HTMLResponse)
def closing_ready(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Give whether a job can be closed."""
    from trialfit.app.working import worked_out

    try:
        plan = worked_out(desk, job).plan
    except NotThere:
        raise
    except Refusal as refusal:
        return page(request, "faults.html", **card_of(desk, job), faults=refusal.faults)
    stands = None if plan.parcel is None else plan.parcel.closes
    hinder = [each for each in plan.findings if each.stage == "parcel" and each.answer != "go"]
    return page(request, "closing_ready.html", job=job, stands=stands, findings=hinder)
