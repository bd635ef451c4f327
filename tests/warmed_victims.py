"""Loaded where victims are forked from: a victim's whole work, done once beforehand.

The framework makes routers ready, and the document's reader its grammar, when they are first asked. In two hundred
processes that is most of their lives.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from fastapi.testclient import TestClient

from trialfit.app.create import create_app
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from trialfit.store.database.pictures import add_picture
from victims import JOB, LINE
from workshops import job_text, jpeg


def work_once(folder: Path) -> None:
    """Save an edit by the store and one through the pages' calls, and take in a photograph."""
    app = create_app(Settings(folder, hosts=("testserver",)))
    workshop = app.state.desk.workshop
    try:
        first = documents.start(workshop, "job", JOB, job_text(), "bench").revision
        text = first.text + LINE.format(0)
        documents.save(workshop, "job", JOB, text, first.number, "tablet", "edit-0")
        add_picture(workshop, JOB, "0.jpg", jpeg(1000, 10), "tablet")
        body = {"base": first.number + 1, "text": text + LINE.format(1)}
        answer = TestClient(app).put(f"/api/jobs/{JOB}", json=body, headers={"Idempotency-Key": "edit-1"})
        if answer.status_code != 200:
            raise AssertionError(answer.text)
    finally:
        workshop.close()


with tempfile.TemporaryDirectory(prefix="trialfit-warmed-") as made:
    work_once(Path(made))
