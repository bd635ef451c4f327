"""App: a backup made while others write, and the way back; held against what had been acknowledged by then."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from threading import Event, Thread

import pytest
from click.testing import CliRunner
from sqlalchemy import text

from trialfit.cli import commands
from trialfit.errors import Refusal, Refusals
from trialfit.store.database import documents
from trialfit.store.database.backup import back_up, restore
from trialfit.store.database.entry import is_passcode, session_ends, set_passcode, start_session
from trialfit.store.database.folders import give_out
from trialfit.store.database.pictures import add_picture, picture_path
from trialfit.store.database.workshop import DATABASE, Workshop, open_workshop
from workshops import EXAMPLES, job_text, jpeg


@contextmanager
def _somebody_writing(workshop: Workshop) -> Iterator[list[int]]:
    """Saves one edit after the other, and notes each when it is acknowledged."""
    acknowledged: list[int] = []
    stop = Event()

    def write() -> None:
        held = documents.holding(workshop, "job", "bittern").revision
        while not stop.is_set():
            changed = f"{held.text}# edit {len(acknowledged)}\n"
            held = documents.save(workshop, "job", "bittern", changed, held.number, "tablet").revision
            acknowledged.append(len(acknowledged))

    thread = Thread(target=write)
    thread.start()
    try:
        yield acknowledged
    finally:
        stop.set()
        thread.join()


def test_a_backup_made_while_somebody_writes_comes_back_whole(
    workshop: Workshop, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    documents.start(workshop, "job", "bittern", job_text(), "bench")
    documents.start(workshop, "shop", documents.SHOP, "a shop", "bench")
    documents.save(workshop, "shop", documents.SHOP, "another", 1, "bench")
    documents.undo(workshop, "shop", documents.SHOP, 2, "bench")
    add_picture(workshop, "bittern", "front.jpg", jpeg(), "bench")
    set_passcode(workshop, "three brass unions")
    token = start_session(workshop, 30)
    with _somebody_writing(workshop) as acknowledged:
        while len(acknowledged) < 3:
            pass
        before = len(acknowledged)
        manifest = back_up(workshop, tmp_path / "backup")
    for each in manifest.files:
        content = (tmp_path / "backup" / each.file).read_bytes()
        assert (each.size_bytes, each.sha256) == (len(content), sha256(content).hexdigest())
    assert manifest.jobs == 1
    url = request.getfixturevalue("server").new_database() if workshop.on_server else ""
    restore(tmp_path / "backup", tmp_path / "again", url)
    again = open_workshop(tmp_path / "again", url)
    held = documents.holding(again, "job", "bittern")
    lines = held.revision.text.removeprefix(job_text()).splitlines()
    assert lines == [f"# edit {k}" for k in range(len(lines))]
    assert before <= len(lines) <= len(acknowledged)
    shop = documents.holding(again, "shop", documents.SHOP)
    assert (shop.revision.text, shop.redo_to) == ("a shop", 2)
    assert is_passcode(again, "three brass unions")
    assert session_ends(again, token) is None
    give_out(again, "bittern", tmp_path / "out")
    assert (tmp_path / "out" / "photographs" / "front.jpg").read_bytes() == jpeg()
    went_on = documents.save(again, "job", "bittern", job_text(), held.revision.number, "bench")
    assert went_on.newest == held.newest + 1
    again.close()


@pytest.fixture
def backup(on_disk: Workshop, tmp_path: Path) -> Path:
    """A sound backup of a job with a photograph."""
    documents.start(on_disk, "job", "bittern", job_text(), "bench")
    add_picture(on_disk, "bittern", "front.jpg", jpeg(), "bench")
    back_up(on_disk, tmp_path / "backup")
    return tmp_path / "backup"


def test_a_backup_that_has_changed_is_refused_with_every_file(backup: Path, tmp_path: Path) -> None:
    photograph = next(path for path in (backup / "photographs").rglob("*") if path.is_file())
    photograph.write_bytes(b"\0" + photograph.read_bytes()[1:])
    (backup / DATABASE).unlink()
    with pytest.raises(Refusals) as refused:
        restore(backup, tmp_path / "again")
    assert [fault.got for fault in refused.value.faults] == ["no such file", "a file that has changed since"]
    assert not (tmp_path / "again").exists()


def test_a_backup_broken_off_or_newer_or_leading_elsewhere_is_refused(backup: Path, tmp_path: Path) -> None:
    manifest = json.loads((backup / "manifest.json").read_text())
    for changed, said in (
        ({"layout": "9999"}, "layout 9999"),
        ({"format": 2}, "format 2"),
        ({"files": [{"file": "../../passwords", "size_bytes": 1, "sha256": "0"}]}, "leads out of the folder"),
        ({"files": 7}, "cannot be read"),
    ):
        (backup / "manifest.json").write_text(json.dumps({**manifest, **changed}))
        with pytest.raises(Refusal, match=said):
            restore(backup, tmp_path / "again")
    (backup / "manifest.json").unlink()
    with pytest.raises(Refusal, match="no manifest in it"):
        restore(backup, tmp_path / "again")


def test_nothing_is_written_over(backup: Path, on_disk: Workshop) -> None:
    with pytest.raises(Refusal, match="something there already"):
        back_up(on_disk, backup)
    with pytest.raises(Refusal, match="something there already"):
        restore(backup, on_disk.folder)


def test_a_photograph_that_is_gone_or_changed_stops_the_backup(on_disk: Workshop, tmp_path: Path) -> None:
    documents.start(on_disk, "job", "bittern", job_text(), "bench")
    gone, changed = (add_picture(on_disk, "bittern", f"{grey}.jpg", jpeg(grey=grey), "bench").sha256 for grey in (1, 2))
    picture_path(on_disk, gone).unlink()
    picture_path(on_disk, changed).write_bytes(b"other")
    with pytest.raises(Refusals) as refused:
        back_up(on_disk, tmp_path / "backup")
    assert sorted(fault.got for fault in refused.value.faults) == ["a file that has changed", "no such file"]
    assert not (tmp_path / "backup" / "manifest.json").exists()


def test_a_damaged_database_is_not_backed_up(on_disk: Workshop, tmp_path: Path) -> None:
    for k in range(30):
        documents.start(on_disk, "job", f"job{k}", job_text(story="long " * 400), "bench")
    with on_disk.writing() as connection:
        place = connection.execute(
            text("select rootpage from sqlite_master where name = 'uq_documents_kind_name' or name like "
                 "'sqlite_autoindex_documents%'")
        ).scalar()  # fmt: skip
    assert place
    on_disk.close()
    file = on_disk.folder / DATABASE
    with sqlite3.connect(file) as whole:
        size = whole.execute("pragma page_size").fetchone()[0]
        whole.execute("pragma wal_checkpoint(truncate)")
    whole.close()
    with file.open("r+b") as written:  # one page of an index, its cells turned to nought
        written.seek((place - 1) * size + size // 2)
        written.write(b"\0" * (size // 2))
    with pytest.raises(Refusal, match="damage"):
        back_up(on_disk, tmp_path / "backup")


def test_the_commands_say_what_they_did(tmp_path: Path) -> None:
    def run(*words: str) -> str:
        ran = CliRunner().invoke(commands, [words[0], "--workshop", str(tmp_path / "w"), *words[1:]])
        assert ran.exception is None, (words, ran.exception)
        return ran.output

    assert run("take-in", str(EXAMPLES / "sheared-elbow"), str(EXAMPLES / "soldering")) == (
        "sheared-elbow: revision 1, 0 files in photographs/.\nsoldering: revision 1, 0 files in photographs/.\n"
    )
    assert run("jobs", "thread:1/4x40") == "sheared-elbow, revision 1: Snipe of A. Fenwright, 2026-03-14. 1/4x40.\n"
    assert run("jobs", "unheard-of") == "No job.\n"
    out = tmp_path / "out"
    assert run("give-out", "sheared-elbow", str(out)) == f"Written: {out / 'job.toml'}\n"
    assert (out / "job.toml").read_bytes() == (EXAMPLES / "sheared-elbow" / "job.toml").read_bytes()
    said = run("backup", str(tmp_path / "b"))
    assert said.startswith("2 jobs, 0 photographs, ") and said.endswith(f" MB in {tmp_path / 'b'}. Checked.\n")
    ran = CliRunner().invoke(commands, ["restore", str(tmp_path / "b"), "--workshop", str(tmp_path / "again")])
    assert ran.output.endswith(f", all as they were, in {tmp_path / 'again'}.\n")
    assert "Set." in CliRunner().invoke(
        commands, ["passcode", "--stdin", "--workshop", str(tmp_path / "w")], input="three brass unions\n"
    ).output  # fmt: skip
