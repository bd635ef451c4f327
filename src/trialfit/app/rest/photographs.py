"""Calls: photographs of a job."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Body, Path, Query
from fastapi.responses import FileResponse

from trialfit.app.answers import PictureSaid
from trialfit.app.at_desk import AtDesk
from trialfit.app.copies import begin, copy_of
from trialfit.app.rest.callers import Caller
from trialfit.app.rest.jobs import JobName
from trialfit.errors import Refusal
from trialfit.store.database.pictures import OTHER, SCREEN_PX, add_picture, picture_of, picture_path, pictures_of

router = APIRouter(prefix="/api/jobs/{job}/photographs", tags=["photographs"])

FileName = Annotated[str, Path(max_length=200, description="The photograph's file name.")]
Side = Literal["320", "1600", "full", "original"]

_LONG_SIDES_PX = {"320": 320, "1600": SCREEN_PX, "full": 100_000}
_TYPES = {"jpeg": "image/jpeg", "png": "image/png", "heic": "image/heic"}
# A photograph's name in a job never stands for another, so whoever has it need not ask again.
_KEEP = {"Cache-Control": "private, max-age=31536000, immutable"}


@router.get("")
def photographs(desk: AtDesk, job: JobName) -> list[PictureSaid]:
    """List a job's photographs by their file names."""
    return [PictureSaid(**vars(picture)) for picture in pictures_of(desk.workshop, job)]


@router.put("/{file}", status_code=201)
def add(
    desk: AtDesk,
    caller: Caller,
    job: JobName,
    file: FileName,
    content: Annotated[bytes, Body(media_type="application/octet-stream", description="The file, bare.")],
) -> PictureSaid:
    """Take a photograph into a job: the request's body is the file. Sent again, it is the same photograph."""
    added = add_picture(desk.workshop, job, file, content, caller)
    begin(desk, job, (added.file,))
    return PictureSaid(**vars(added))


@router.get("/{file}", response_class=FileResponse)
def photograph(
    desk: AtDesk,
    job: JobName,
    file: FileName,
    side: Annotated[
        Side, Query(description="Long side in px of an upright JPEG; or the file as it was sent.")
    ] = "1600",
) -> FileResponse:
    """Give a photograph: a copy for a screen, upright, or the original."""
    picture = picture_of(desk.workshop, job, file)
    if picture.kind == OTHER:
        raise Refusal(
            f"photograph {file}",
            "a file that is no photograph",
            "a photograph",
            "Give the job out as a folder to get it.",
        )
    if side == "original":
        path = picture_path(desk.workshop, picture.sha256)
        return FileResponse(path, media_type=_TYPES[picture.kind], headers=_KEEP)
    path = copy_of(desk, picture, _LONG_SIDES_PX[side])
    return FileResponse(path, media_type="image/jpeg", headers=_KEEP)
