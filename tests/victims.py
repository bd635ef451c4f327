"""Processes that are killed in the middle of their work."""

from __future__ import annotations

import socket
from multiprocessing.connection import Connection
from pathlib import Path

import uvicorn

from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from trialfit.store.database.pictures import add_picture
from trialfit.store.database.workshop import open_workshop
from workshops import jpeg

JOB = "bittern"
LINE = "# edit {}\n"


def edit_until_killed(folder: Path, begin: int, told: Connection) -> None:
    """Edit after edit, each told when it is acknowledged, with a photograph now and then."""
    workshop = open_workshop(folder)
    held = documents.holding(workshop, "job", JOB).revision
    edit = begin
    while True:
        text = held.text + LINE.format(edit)
        told.send(("asked", edit, held.number))
        held = documents.save(workshop, "job", JOB, text, held.number, "tablet", f"edit-{edit}").revision
        told.send(("edit", edit, held.number))
        if edit % 4 == 0:
            picture = add_picture(workshop, JOB, f"{edit}.jpg", jpeg(1000, 10 + edit % 500), "tablet")
            told.send(("photograph", edit, picture.sha256))
        edit += 1


def serve_until_killed(folder: Path, door: socket.socket) -> None:
    """Answer at a door that is open already."""
    app = create_app(Settings(folder))
    uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off", ws="none")).run(sockets=[door])
