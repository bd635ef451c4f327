"""The calls for other programs, and every page but the first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from trialfit import __version__
from trialfit.app import pages, standing_pages
from trialfit.app.answers import REFUSED, refusal_schemas
from trialfit.app.desk import Desk
from trialfit.app.refused import OwnFailures, answer_refusals, refusal_answer
from trialfit.app.rest import closings, entry, jobs, photographs, plans, shop, times
from trialfit.errors import Fault


def create_calls(desk: Desk) -> FastAPI:
    """Make the calls and pages.

    Parameters
    ----------
    desk
        The desk they share.

    Returns
    -------
    FastAPI
        Not yet guarded: `create.create_app` puts it behind the guard.
    """
    # No pages of documentation: those that come with the framework fetch scripts from outside. Nothing is told
    # to others.
    app = FastAPI(
        title="trialfit",
        version=__version__,
        description="The jobs of one workshop, and what is worked out for them.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        responses=REFUSED,
        telemetry={"tracing": False, "metrics": False, "logs": False, "operation_spans": False},
    )
    app.state.desk = desk
    app.add_middleware(OwnFailures)
    answer_refusals(app)
    app.add_exception_handler(RequestValidationError, _invalid)
    # The framework makes routers ready in this order as they are first asked: a page waits for its own alone.
    for each in (pages, standing_pages, entry, photographs, plans, closings, times, jobs, shop):
        app.include_router(each.router)
    app.openapi = _described(app)  # type: ignore[method-assign]
    return app


def _described(app: FastAPI) -> Callable[[], dict[str, Any]]:
    """The framework's description of the calls, with how they refuse."""
    plainly = app.openapi

    def described() -> dict[str, Any]:
        schema = plainly()
        schemas: dict[str, Any] = schema.setdefault("components", {}).setdefault("schemas", {})
        for unused in ("HTTPValidationError", "ValidationError"):
            schemas.pop(unused, None)
        schemas.update(refusal_schemas())
        return schema

    return described


def _invalid(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    faults = []
    for each in error.errors():
        if each["type"] == "json_invalid":
            return refusal_answer(
                400, Fault("what was sent", "text that is no JSON", "JSON", "Look at its brackets and quotes.")
            )
        place = ".".join(str(key) for key in each["loc"][1:]) or "what was sent"
        got = (
            "something"
            if "passcode" in place
            else "nothing"
            if each["type"] == "missing"
            else str(each.get("input"))[:100]
        )
        faults.append(Fault(place, got, each["msg"], "Look at /api/openapi.json for what is taken there."))
    return refusal_answer(422, *faults)
