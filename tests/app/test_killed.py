"""App: kill -9 at 200 random moments during edits; every acknowledged edit is there once, and none is there twice."""

from __future__ import annotations

import http.client
import json
import multiprocessing
import os
import random
import signal
import socket
import sqlite3
import sys
import time
from contextlib import closing
from multiprocessing import forkserver
from multiprocessing.context import ForkServerContext
from pathlib import Path

import pytest

from trialfit.store.database import documents
from trialfit.store.database.pictures import picture_path, pictures_of
from trialfit.store.database.workshop import DATABASE, open_workshop
from victims import JOB, LINE, edit_until_killed, serve_until_killed
from workshops import job_text

STORE_KILLS, SERVER_KILLS = 150, 50


@pytest.fixture(scope="module")
def warmed() -> ForkServerContext:
    """Processes that start with everything loaded, so that killing them is what takes the time."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["pytest", "uvicorn", "warmed_victims"])
    with pytest.MonkeyPatch.context() as patched:  # what cannot be found is passed over there without a word
        patched.setenv("PYTHONPATH", os.pathsep.join(sys.path))
        forkserver.ensure_running()
    return context


def test_no_acknowledged_edit_is_lost_or_doubled_when_the_writer_is_killed(
    tmp_path: Path, warmed: ForkServerContext
) -> None:
    chance = random.Random(20260314)
    workshop = open_workshop(tmp_path)
    documents.start(workshop, "job", JOB, job_text(), "bench")
    acknowledged, pictured, begin, cut_off = set[int](), dict[str, str](), 0, 0
    for _ in range(STORE_KILLS):
        mine, its = warmed.Pipe(duplex=False)
        process = warmed.Process(target=edit_until_killed, args=(tmp_path, begin, its))
        process.start()
        its.close()
        assert mine.poll(90)
        time.sleep(chance.uniform(0.0, 0.03))
        process.kill()
        asked: dict[int, int] = {}
        try:
            while True:
                kind, edit, said = mine.recv()
                if kind == "asked":
                    asked[edit] = said
                elif kind == "edit":
                    acknowledged.add(edit)
                else:
                    pictured[f"{edit}.jpg"] = said
        except (EOFError, ConnectionResetError):
            pass
        process.join()
        assert process.exitcode == -signal.SIGKILL
        process.close()
        last = max(asked)
        if last not in acknowledged:  # it may have got there or not; sent again, it is there once
            cut_off += 1
            base = documents.revision(workshop, "job", JOB, asked[last]).text
            documents.save(workshop, "job", JOB, base + LINE.format(last), asked[last], "tablet", f"edit-{last}")
            acknowledged.add(last)
        begin = last + 1
    held = documents.holding(workshop, "job", JOB)
    assert held.revision.text == job_text() + "".join(LINE.format(edit) for edit in range(begin))
    assert held.newest == 1 + begin
    assert acknowledged == set(range(begin))
    assert cut_off > STORE_KILLS // 10  # the kills did fall into saves
    kept = {picture.file: picture.sha256 for picture in pictures_of(workshop, JOB)}
    assert pictured.items() <= kept.items()
    assert all(picture_path(workshop, digest).is_file() for digest in kept.values())
    workshop.close()
    _must_be_sound(tmp_path)


def _send(door: int, edit: int, base: int, text: str) -> int | None:
    """Send an edit; None where the answer never came."""
    body = json.dumps({"base": base, "text": text})
    headers = {"Content-Type": "application/json", "Idempotency-Key": f"edit-{edit}"}
    with closing(http.client.HTTPConnection("127.0.0.1", door, timeout=90)) as line:
        try:
            line.request("PUT", f"/api/jobs/{JOB}", body, headers)
            answer = line.getresponse()
            said = json.loads(answer.read())
        except (OSError, http.client.HTTPException, ValueError):
            return None
        assert answer.status == 200, said
        return int(said["revision"])


def test_no_acknowledged_edit_is_lost_or_doubled_when_the_server_is_killed(
    tmp_path: Path, warmed: ForkServerContext
) -> None:
    chance = random.Random(20261125)
    workshop = open_workshop(tmp_path)
    documents.start(workshop, "job", JOB, job_text(), "bench")
    edit, base, text, answers_lost = 0, 1, job_text(), 0
    for _ in range(SERVER_KILLS):
        with socket.create_server(("127.0.0.1", 0)) as door:
            port = door.getsockname()[1]
            process = warmed.Process(target=serve_until_killed, args=(tmp_path, door))
            process.start()
        first = _send(port, edit, base, text + LINE.format(edit))  # perhaps sent before, to the one that was killed
        assert first is not None
        edit, base, text = edit + 1, first, text + LINE.format(edit)
        end = time.monotonic() + chance.uniform(0.0, 0.05)
        killed = False
        while True:
            if not killed and time.monotonic() >= end:
                process.kill()
                killed = True
            said = _send(port, edit, base, text + LINE.format(edit))
            if said is None:
                answers_lost += 1
                break
            edit, base, text = edit + 1, said, text + LINE.format(edit)
        process.join()
        process.close()
    held = documents.holding(workshop, "job", JOB)
    sent = documents.save(workshop, "job", JOB, text + LINE.format(edit), base, "bench", f"edit-{edit}")
    assert held.newest in (1 + edit, 2 + edit)
    assert sent.newest == 2 + edit
    assert sent.revision.text == job_text() + "".join(LINE.format(each) for each in range(edit + 1))
    assert answers_lost == SERVER_KILLS
    workshop.close()
    _must_be_sound(tmp_path)


def _must_be_sound(folder: Path) -> None:
    with closing(sqlite3.connect(folder / DATABASE)) as database:
        assert database.execute("pragma integrity_check").fetchall() == [("ok",)]
        assert database.execute("pragma foreign_key_check").fetchall() == []
