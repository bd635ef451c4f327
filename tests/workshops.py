"""Jobs, photographs and workshops for the tests of the store. Owners and engines are invented."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "examples"

JOB = """\
# Taken down on the telephone.
format = 1

[job]
name = "{name}"
owner = "{owner}"
date = 2026-03-14
story = "{story}"

[engine]
name = "{engine}"
working_pressure = "80 psi"

[parts.check_valve]
kind = "check valve"
what = "right-hand feed clack"

[parts.check_valve.ports.inlet]
thread = "{thread}"
gender = "male"
"""


def job_text(
    name: str = "bittern-feed",
    owner: str = "A. Fenwright",
    engine: str = "Bittern",
    thread: str = "5/16x32",
    story: str = "The feed pipe sheared.",
) -> str:
    """A small sound job document."""
    return JOB.format(name=name, owner=owner, engine=engine, thread=thread, story=story)


@cache
def jpeg(width_px: int = 1200, height_px: int = 900, grey: int = 90) -> bytes:
    """A photograph of nothing."""
    return _picture("JPEG", width_px, height_px, grey)


@cache
def png(width_px: int = 1200, height_px: int = 900, grey: int = 90) -> bytes:
    """The same as PNG."""
    return _picture("PNG", width_px, height_px, grey)


def _picture(kind: str, width_px: int, height_px: int, grey: int) -> bytes:
    written = io.BytesIO()
    Image.new("L", (width_px, height_px), grey).save(written, kind)
    return written.getvalue()
