"""What a person sees: the bench of one job, and the working view of every place on it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.background import BackgroundTask

from trialfit.app.at_desk import AtDesk
from trialfit.app.copies import begin, make_ready, shown_first, sizes_in
from trialfit.app.desk import Desk
from trialfit.app.job_card import card_of
from trialfit.app.places import PLACES, Place, laid_out, sections_at
from trialfit.app.rest.jobs import JobName
from trialfit.app.scripts import scripts_below
from trialfit.app.written_page import page
from trialfit.errors import Refusal
from trialfit.store.database.documents import holding
from trialfit.store.database.lines import jobs_called
from trialfit.store.database.pictures import SCREEN_PX
from trialfit.store.database.records import NotThere

if TYPE_CHECKING:
    from trialfit.sheets.heading import Paper

router = APIRouter(include_in_schema=False)

_HERE = Path(__file__).parent
VENDOR = _HERE / "static" / "vendor"
# Signs that encodeURIComponent leaves as they are (ECMA-262), and `quote` does not.
_BARE = "!*'()"
_BY_KEY = {place.key: place for place in PLACES}


@router.get("/enter", response_class=HTMLResponse)
def enter(request: Request, next: Annotated[str, Query(max_length=400)] = "/") -> HTMLResponse:
    """Ask for the workshop's passcode."""
    safe = next if next.startswith("/") and not next.startswith(("//", "/\\")) else "/"
    return page(request, "enter.html", next=safe)


@router.get("/jobs/{job}", response_class=HTMLResponse)
def bench(desk: AtDesk, request: Request, job: JobName) -> Response:
    """Show the bench of one job: every place from parcel in to parcel out. Labels bear the name its document gives."""
    try:
        holding(desk.workshop, "job", job)
    except NotThere:
        called = jobs_called(desk.workshop, job)
        if not called:
            raise
        return RedirectResponse(f"/jobs/{quote(called[0])}", 307)
    shown = page(request, "bench.html", **card_of(desk, job), laid=laid_out(()), working=True)
    shown.background = BackgroundTask(make_ready, desk, job)
    return shown


@router.get("/jobs/{job}/bench", response_class=HTMLResponse)
def bench_worked(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Give what lies on the bench, worked out."""
    from trialfit.app.working import worked_out

    try:
        worked = worked_out(desk, job)
    except NotThere:
        raise
    except Refusal as refusal:
        return page(request, "faults.html", **card_of(desk, job), faults=refusal.faults)
    laid = laid_out(worked.plan.findings, frozenset(worked.plan.job.pressure_tests))
    return page(request, "bench_places.html", **card_of(desk, job), laid=laid, working=False)


@router.get("/jobs/{job}/at/{place}", response_class=HTMLResponse)
def at_place(desk: AtDesk, request: Request, job: JobName, place: str) -> HTMLResponse:
    """Show the working view of one place."""
    here = _place(place)
    return page(request, "place.html", **card_of(desk, job), place=here, sections=sections_at(here, _sections()))


@router.get("/jobs/{job}/at/{place}/worked", response_class=HTMLResponse)
def at_place_worked(
    desk: AtDesk, request: Request, job: JobName, place: str, paper: Annotated[str, Query(max_length=20)] = "a4"
) -> HTMLResponse:
    """Give what was worked out for one place."""
    from trialfit.app.views import view_of
    from trialfit.app.working import worked_out

    here = _place(place)
    try:
        worked = worked_out(desk, job)
    except NotThere:
        raise
    except Refusal as refusal:
        return page(request, "faults.html", **card_of(desk, job), faults=refusal.faults)
    laid = laid_out(worked.plan.findings, frozenset(worked.plan.job.pressure_tests))
    lying = next(each for each in laid if each.place.key == here.key)
    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    view = view_of(here.key, worked.plan)
    return page(request, "worked.html", **card_of(desk, job), place=here, laid=laid, lying=lying, paper=size, view=view)


@router.get("/jobs/{job}/at/{place}/paper", response_class=HTMLResponse)
def at_place_paper(
    desk: AtDesk, request: Request, job: JobName, place: str, paper: Annotated[str, Query(max_length=20)] = "a4"
) -> HTMLResponse:
    """Give what goes on paper at one place; the rest of the page need not wait until it is set."""
    from trialfit.app.views import on_paper

    here = _place(place)
    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    sheets = on_paper(desk, job, here.key, size)
    return page(request, "paper.html", job=job, place=here, paper=size, sheets=sheets)


@router.get("/jobs/{job}/drawings/{kind}/{name}.svg")
def drawing(desk: AtDesk, job: JobName, kind: str, name: str) -> Response:
    """Give a drawing: the circuit in one setting, a turned part, an outline on a photograph."""
    from trialfit.app.views import drawing_of
    from trialfit.app.working import worked_out

    made = drawing_of(worked_out(desk, job).plan, kind, name)
    if made is None:
        raise NotThere(
            f"drawing {name[:80]}", "nothing of that name", "a drawing of the job", "Look at the page again."
        )
    return Response(made, media_type="image/svg+xml", headers={"Cache-Control": "no-cache"})


@router.get("/jobs/{job}/photographs", response_class=HTMLResponse)
def photographs(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Show the photographs, to be marked."""
    card = card_of(desk, job)
    first = shown_first(card["photographs"])
    begin(desk, job, first)
    # As the page's script writes them: were a sign written otherwise, the picture would be fetched twice.
    copies = [f"/api/jobs/{quote(job)}/photographs/{quote(file, safe=_BARE)}?side={SCREEN_PX}" for file in first]
    sizes = sizes_in(desk, job)
    told = json.dumps({name: {**each, "size": sizes.get(each["file"])} for name, each in card["photographs"].items()})
    scripts = scripts_below("marking.js", "page.js")
    here = _BY_KEY["photographs"]
    return page(request, "photographs.html", **card, copies=copies, scripts=scripts, told=told, place=here)


@router.get("/jobs/{job}/space", response_class=HTMLResponse)
def space(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Show the engine's points, the parts and the pipes in space."""
    there = (VENDOR / "three" / "three.module.js").is_file()
    return page(request, "space.html", **card_of(desk, job), place=_BY_KEY["fit"], three_there=there)


@router.get("/jobs/{job}/scene")
def scene(desk: AtDesk, job: JobName) -> JSONResponse:
    """Give what is drawn over the photographs: stations, points, pipes, chances, suspects."""
    from trialfit.app.scene import scene_of

    return JSONResponse(scene_of(desk, job))


@router.get("/jobs/{job}/scene/things")
def scene_things(desk: AtDesk, job: JobName) -> JSONResponse:
    """Give the solids of what stands on the engine, without waiting for the rest of the plan."""
    from trialfit.app.scene import standing_in

    return JSONResponse(standing_in(desk, job))


@router.get("/jobs/{job}/space/things")
def space_things(desk: AtDesk, job: JobName) -> JSONResponse:
    """Give what stands in space, and the steps in which it is put there."""
    from trialfit.app.space import things_of

    return JSONResponse(things_of(desk, job))


@router.get("/jobs/{job}/document", response_class=HTMLResponse)
def document(desk: AtDesk, request: Request, job: JobName) -> HTMLResponse:
    """Show the job document as text."""
    return page(request, "document.html", **card_of(desk, job))


@router.get("/shop", response_class=HTMLResponse)
def shop(desk: AtDesk, request: Request) -> HTMLResponse:
    """Show what the workshop owns and has learnt."""
    from trialfit.job.example_prices import example_prices

    _need_shop(desk)
    return page(request, "shop.html", example=example_prices().model_dump(mode="json", exclude_defaults=True))


@router.get("/shop/document", response_class=HTMLResponse)
def shop_document(desk: AtDesk, request: Request) -> HTMLResponse:
    """Show the same as text."""
    _need_shop(desk)
    return page(request, "document.html", job=None)


@router.get("/shapes/{kind}")
def shapes(kind: str) -> JSONResponse:
    """Say what may stand where in a document."""
    return JSONResponse(_shapes("shop" if kind == "shop" else "job"), headers={"Cache-Control": "max-age=60"})


@router.get("/understood")
def understood(
    text: Annotated[str, Query(max_length=80)], kind: Annotated[str, Query(max_length=40)] = "length"
) -> JSONResponse:
    """Say how a quantity that was typed freely is understood."""
    from trialfit.app.understood import understood as read

    try:
        written, echo = read(text, kind)
    except Refusal as refusal:
        return JSONResponse({"written": None, "echo": f"Not understood: {refusal.fault.remedy}"})
    return JSONResponse({"written": written, "echo": echo})


@router.get("/favicon.ico")
def icon() -> RedirectResponse:
    """Lead to the mark of the program."""
    return RedirectResponse("/static/mark.svg", 308)


def _place(key: str) -> Place:
    if key not in _BY_KEY:
        raise NotThere(f"place {key[:40]}", "nothing of that name", "a place on the bench", "Go back to the bench.")
    return _BY_KEY[key]


def _need_shop(desk: Desk) -> None:
    from trialfit.app.rest.shop import shop as shop_said

    shop_said(desk)


def _sections() -> tuple[str, ...]:
    from trialfit.job.records import Job

    return tuple(Job.model_fields)


@cache
def _shapes(kind: str) -> dict[str, Any]:
    from trialfit.app.shapes import shapes_of
    from trialfit.job.records import Job
    from trialfit.job.shop import Shop

    return shapes_of(Shop if kind == "shop" else Job)
