"""App: jobs of the workshop put away, brought back and closed by a command; held against its own records."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from trialfit.app import closing
from trialfit.cli import commands
from trialfit.errors import Refusal
from trialfit.store.database import documents, rack
from trialfit.store.database.closings import closings_of
from trialfit.store.database.records import Conflict, NotThere
from trialfit.store.database.workshop import Workshop
from workshops import job_text

PARCEL = '\n[parcel]\nwhole = true\n[parcel.lines.cap]\nwhat = "cap"\nmass = "9 g"\n'
LEFT_OVER = job_text() + PARCEL
ACCOUNTED = LEFT_OVER + '[[parcel.out]]\npiece = "cap"\ngoes = "returned"\n'


def _run(shop: Workshop, *words: str) -> Any:
    done = CliRunner().invoke(commands, [*words, "--workshop", str(shop.folder)])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.output


def test_jobs_are_put_away_and_back_all_of_them_or_none(on_disk: Workshop) -> None:
    for name in ("bittern", "teal"):
        documents.start(on_disk, "job", name, job_text(), "bench")
    with pytest.raises(NotThere, match='Did you mean "teal"'):
        _run(on_disk, "put-away", "bittern", "teel")
    assert rack.away_since(on_disk, "bittern") == ""
    said = _run(on_disk, "put-away", "bittern")
    day = rack.away_since(on_disk, "bittern")[:10]
    assert said == f"bittern: put away since {day}. trialfit put-back bittern brings it back.\n"
    assert [line.split(",")[0] for line in _run(on_disk, "jobs").splitlines()] == ["teal"]
    assert [line.split(",")[0] for line in _run(on_disk, "jobs", "--away").splitlines()] == ["bittern"]
    assert _run(on_disk, "put-back", "bittern") == "bittern: on the rack.\n"
    assert rack.away_since(on_disk, "bittern") == ""


def test_a_job_is_closed_as_on_the_pages_and_comes_back_from_its_folder(
    on_disk: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The sheets take seconds to set; test_standing.py closes with all of them.
    monkeypatch.setattr(closing, "sheets_for", lambda *_: {"quote.pdf": b"%PDF-1.7"})
    documents.start(on_disk, "job", "bittern", LEFT_OVER, "bench")
    with pytest.raises(Refusal, match="a parcel that is not accounted for"):
        _run(on_disk, "close-job", "bittern")
    documents.save(on_disk, "job", "bittern", ACCOUNTED, 1, "bench")
    with pytest.raises(Conflict):
        _run(on_disk, "close-job", "bittern", "--revision", "1")
    archive = tmp_path / "bittern.zip"
    said = _run(on_disk, "close-job", "bittern", "--revision", "2", "--out", str(archive))
    [closed] = closings_of(on_disk, "bittern")
    assert said.splitlines()[0] == (
        f"bittern: revision 1 is closed, {closed.record.day}. A correction begins revision 2."
    )
    assert closed.record.document == sha256(ACCOUNTED.encode()).hexdigest()
    with zipfile.ZipFile(io.BytesIO(archive.read_bytes())) as files:
        manifest = json.loads(files.read("manifest.json"))
        assert {each["file"]: each["sha256"] for each in manifest["files"]} == {
            name: sha256(files.read(name)).hexdigest() for name in files.namelist() if name != "manifest.json"
        }
    assert "was closed already" in _run(on_disk, "close-job", "bittern")
    with pytest.raises(Refusal, match="begin revision 2"):
        documents.save(on_disk, "job", "bittern", LEFT_OVER, 2, "bench")
    # Out as a folder and into a new workshop: the same archive, to the last byte.
    assert str(tmp_path / "out" / "closed" / "revision-1" / "sheets") in _run(
        on_disk, "give-out", "bittern", str(tmp_path / "out")
    )
    new = replace(on_disk, folder=tmp_path / "new")
    assert "New with it: 1 closed revision." in _run(new, "take-in", str(tmp_path / "out"), "--name", "bittern")
    again = tmp_path / "again.zip"
    _run(new, "close-job", "bittern", "--out", str(again))
    assert again.read_bytes() == archive.read_bytes()
