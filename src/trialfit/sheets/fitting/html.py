"""The owner's page: one HTML file that needs no network, with its pictures and its turning view inside."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from trialfit.sheets.words import Words

_HERE = Path(__file__).parent
_KINDS = {b"\x89PNG": "image/png", b"\xff\xd8\xff\xe0": "image/jpeg", b"\xff\xd8\xff\xe1": "image/jpeg"}


def fitting_page(
    record: Mapping[str, Any],
    words: Words,
    pictures: Mapping[str, bytes] | None = None,
    space: Mapping[str, Any] | None = None,
) -> str:
    """Write the owner's page.

    Parameters
    ----------
    record
        As `trialfit.sheets.fitting.record.fitting_record` gives it.
    words
        The owner's words.
    pictures
        PNG or JPEG files by the names the steps call them.
    space
        What the turning view shows, as `trialfit.sheets.fitting.space.space_record` gives it; None leaves it out.

    Returns
    -------
    str
        A whole HTML document. What a person typed stands in it as text, never as markup; its own policy lets no
        script or style run but the two inside, and nothing be fetched.
    """
    style, script = _file("page.css"), _file("page.js")
    return str(
        _template().render(
            record=_with_faces(record),
            pictures={name: _source(content) for name, content in (pictures or {}).items()},
            space=None if space is None else Markup(_json(space)),
            space_steps=[] if space is None else [each["number"] for each in space["steps"]],
            style=Markup(style),
            script=Markup(script),
            style_hash=Markup(_hash(style)),
            script_hash=Markup(_hash(script)),
            words={
                "view": words.say("fitting-view"),
                "view_none": words.say("fitting-view-none"),
                "play": words.say("fitting-view-play"),
                "done": words.say("fitting-done"),
            },
        )
    )


def _with_faces(record: Mapping[str, Any]) -> dict[str, Any]:
    """The record with each clock face as a picture's address."""
    whole = dict(record)
    for stage in ("off", "on"):
        steps = []
        for step in record[stage]["steps"]:
            points = step["points"]
            if points is not None:
                points = points | {"face_source": _address("image/svg+xml", points["face_svg"].encode())}
            steps.append(step | {"points": points})
        whole[stage] = record[stage] | {"steps": steps}
    return whole


@cache
def _template() -> Any:
    found = Environment(loader=FileSystemLoader(_HERE), autoescape=True, undefined=StrictUndefined)
    return found.get_template("page.html")


def _file(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    """As a content security policy names what may run."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _json(space: Mapping[str, Any]) -> str:
    """JSON that cannot end its script: every bracket and ampersand stands as an escape."""
    written = json.dumps(space, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return written.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _source(content: bytes) -> str:
    return _address(_KINDS.get(content[:4], "image/jpeg"), content)


def _address(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode()}"
