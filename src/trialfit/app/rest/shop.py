"""Calls: what the workshop owns and has learnt."""

from __future__ import annotations

from contextlib import suppress

from fastapi import APIRouter

from trialfit.app.answers import DocumentSaid, RevisionLineSaid
from trialfit.app.at_desk import AtDesk
from trialfit.app.desk import Desk
from trialfit.app.rest.callers import Caller, Key
from trialfit.app.rest.documents import Changing, Saving, Stepping, changed_text, said, text_of
from trialfit.store.database import documents
from trialfit.store.database.documents import SHOP
from trialfit.store.database.records import NotThere, Taken

router = APIRouter(prefix="/api/shop", tags=["shop"])


def _must_be_there(desk: Desk) -> None:
    """The shop begins as the one that is assumed, and says so until its figures are the workshop's own."""
    try:
        documents.holding(desk.workshop, "shop", SHOP)
    except NotThere:
        from trialfit.job.shop import assumed_shop
        from trialfit.job.write import write_shop

        with suppress(Taken):  # somebody else asked at the same moment
            documents.start(desk.workshop, "shop", SHOP, write_shop(assumed_shop()), "trialfit", "assumed")


@router.get("")
def shop(desk: AtDesk) -> DocumentSaid:
    """Give what the workshop owns and has learnt."""
    _must_be_there(desk)
    return said(desk, documents.holding(desk.workshop, "shop", SHOP))


@router.put("")
def save_shop(desk: AtDesk, caller: Caller, saving: Saving, key: Key = "") -> DocumentSaid:
    """Save it over the revision it was made from."""
    _must_be_there(desk)
    text = text_of(desk, "shop", SHOP, saving.text, saving.document)
    return said(desk, documents.save(desk.workshop, "shop", SHOP, text, saving.base, caller, key))


@router.post("/changes")
def change_shop(desk: AtDesk, caller: Caller, changing: Changing, key: Key = "") -> DocumentSaid:
    """Change it key by key."""
    _must_be_there(desk)
    text = changed_text(desk, "shop", SHOP, changing)
    return said(desk, documents.save(desk.workshop, "shop", SHOP, text, changing.base, caller, key))


@router.post("/undo")
def undo_shop(desk: AtDesk, caller: Caller, step: Stepping, key: Key = "") -> DocumentSaid:
    """Go back to the revision that the present one was made from."""
    _must_be_there(desk)
    return said(desk, documents.undo(desk.workshop, "shop", SHOP, step.base, caller, key))


@router.post("/redo")
def redo_shop(desk: AtDesk, caller: Caller, step: Stepping, key: Key = "") -> DocumentSaid:
    """Take back the last undo."""
    _must_be_there(desk)
    return said(desk, documents.redo(desk.workshop, "shop", SHOP, step.base, caller, key))


@router.get("/revisions")
def shop_revisions(desk: AtDesk) -> list[RevisionLineSaid]:
    """List its revisions, the newest first."""
    _must_be_there(desk)
    return [RevisionLineSaid(**vars(line)) for line in documents.history(desk.workshop, "shop", SHOP)]
