"""The app, put together."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from trialfit import __version__
from trialfit.app import pages, standing_pages
from trialfit.app.answers import REFUSED, refusal_schemas
from trialfit.app.desk import Desk
from trialfit.app.guards import Guard
from trialfit.app.refused import answer_refusals
from trialfit.app.rest import closings, entry, jobs, photographs, plans, shop, times
from trialfit.app.settings import Settings
from trialfit.store.database.workshop import open_workshop

_STATIC = Path(__file__).parent / "static"


def create_app(settings: Settings) -> FastAPI:
    """Make the app.

    Parameters
    ----------
    settings
        How it is served.

    Returns
    -------
    FastAPI
        With the workshop open; `app.state.desk` is the `Desk`.

    Raises
    ------
    Refusal
        The workshop cannot be opened.
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
    desk = Desk(settings, open_workshop(settings.workshop, settings.database))
    app.state.desk = desk
    app.add_middleware(Guard, desk=desk)
    answer_refusals(app)
    app.mount("/static", StaticFiles(directory=_STATIC), name="static")
    # The framework makes routers ready in this order as they are first asked: the first page waits for its own alone.
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
