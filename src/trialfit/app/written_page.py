"""A page as it is written, by its template."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from trialfit import __version__
from trialfit.app.places import PLACES
from trialfit.errors import Fault

_HERE = Path(__file__).parent
_ANSWERS = ("stop", "look", "go")


@cache
def _templates() -> Environment:
    templates = Environment(
        loader=FileSystemLoader(_HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    templates.globals.update(places=PLACES, answers=_ANSWERS, version=__version__, isinstance=isinstance)
    return templates


def page(request: Request, template: str, **words: Any) -> HTMLResponse:
    """Write a page.

    Parameters
    ----------
    request
        What was asked.
    template
        Name of its template.
    **words
        What stands in it.

    Returns
    -------
    HTMLResponse
        The page; every word in it is text.
    """
    words.setdefault("job", None)
    html = _templates().get_template(template).render(csrf=getattr(request.state, "csrf", ""), **words)
    return HTMLResponse(html, headers={"Cache-Control": "no-store"})


def refused_page(request: Request, code: int, faults: Sequence[Fault]) -> HTMLResponse:
    """Say to a person why a page cannot be shown.

    Parameters
    ----------
    request
        What was asked.
    code
        HTTP's code. [-]
    faults
        What is wrong.

    Returns
    -------
    HTMLResponse
        The page.
    """
    said = page(request, "refused.html", faults=faults)
    said.status_code = code
    return said
