"""App: times and closed revisions go out with a job's folder and come in again; held to what was put in."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import select

from trialfit.errors import Refusal
from trialfit.job.closing import Closed
from trialfit.job.pricing import TimeEntry
from trialfit.job.shop import assumed_shop
from trialfit.job.write import write_shop
from trialfit.store.closing import zipped
from trialfit.store.database import bench_times, documents
from trialfit.store.database.bench_time_rows import all_times, times_file
from trialfit.store.database.clocks import clocks_on
from trialfit.store.database.closings import close_revision, closed_as, closings_of
from trialfit.store.database.folders import give_out, take_in
from trialfit.store.database.pictures import keep_picture
from trialfit.store.database.schema import bench_times as rows
from trialfit.store.database.workshop import Workshop, open_workshop
from trialfit.store.folder import read_shop_file
from workshops import job_text, jpeg

FIRST = job_text()
CLOSED_TEXT = job_text(story="Closed so.")
NOW_TEXT = job_text(story="Put right.").replace("[job]\n", "[job]\nrevision = 2\n")
MORNING = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
MADE = {"index.html": b"<p>", "job.toml": CLOSED_TEXT.encode(), "plan.json": b"{}", "sheets/quote.pdf": b"%PDF"}


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()


def _went_out(record: Closed) -> dict[str, bytes]:
    files = [{"file": name, "sha256": _digest(content)} for name, content in MADE.items()]
    manifest = {"closed": vars(record), "files": files}
    return {**MADE, "manifest.json": json.dumps(manifest).encode()}


@pytest.fixture
def full(workshop: Workshop) -> Workshop:
    """A job with an earlier revision closed, one time kept, one struck out, a clock let go and one that runs."""
    documents.start(workshop, "job", "bittern", FIRST, "bench")
    front = jpeg(40, 30)
    keep_picture(workshop, "bittern", "front.jpg", front, "jpeg", "tablet")
    documents.save(workshop, "job", "bittern", CLOSED_TEXT, 1, "bench")
    record = Closed(
        "bittern-feed", 1, "2026-03-20", "0.1", "t1", _digest(CLOSED_TEXT.encode()), {"front.jpg": _digest(front)}
    )
    close_revision(workshop, "bittern", 2, record, _went_out(record), "tablet")
    documents.save(workshop, "job", "bittern", NOW_TEXT, 2, "bench")
    at = [MORNING]
    clocked = replace(workshop, clock=lambda: at[0])
    bench_times.start_clock(clocked, "bittern", "bittern-feed", "silver-solder", 2, "k1", "tablet")
    at[0] += timedelta(minutes=42)
    bench_times.stop_clock(clocked, "bittern", "k1", "s1", note='a "second" heat')
    bench_times.start_clock(clocked, "bittern", "bittern-feed", "lap", 1, "k2", "bench")
    bench_times.stop_clock(clocked, "bittern", "k2", "s2", keep=False)
    entry = {"job": "an older name", "operation": "lap", "took": "0.5 h", "day": MORNING.date()}
    bench_times.enter_time(clocked, "bittern", TimeEntry.model_validate(entry), "k3", "bench")
    bench_times.count_time(clocked, "bittern", "k3", False)
    bench_times.start_clock(clocked, "bittern", "bittern-feed", "lap", 3, "k4", "bench")
    return workshop


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Workshop]:
    """Another workshop, empty."""
    opened = open_workshop(tmp_path / "other")
    yield opened
    opened.close()


def _times(workshop: Workshop) -> list[tuple[object, ...]]:
    """Every column but the numbers the database itself gives."""
    with workshop.reading() as connection:
        found = connection.execute(select(*(c for c in rows.c if c.name not in ("id", "document_id"))))
        return sorted(tuple(None if each == "" else each for each in row) for row in found)


def test_times_and_closed_revisions_go_out_and_come_in_without_loss_and_once(
    full: Workshop, other: Workshop, tmp_path: Path
) -> None:
    out = tmp_path / "bittern"
    written = {path.relative_to(out).as_posix() for path in give_out(full, "bittern", out)}
    assert written == {
        "job.toml", "photographs/front.jpg", "times.toml", "closed/revision-1.json",
        *(f"closed/revision-1/{name}" for name in (*MADE, "manifest.json")),
    }  # fmt: skip
    taken = take_in(other, out, "bench")
    assert (taken.times, taken.closed, taken.left) == (4, 1, ())
    assert _times(other) == _times(full) and len(_times(full)) == 4
    for one, same in zip(closings_of(full, "bittern"), closings_of(other, "bittern"), strict=True):
        assert (one.issue, one.closed_at, one.closed_by, one.record) == (
            same.issue,
            same.closed_at,
            same.closed_by,
            same.record,
        )
        texts = [
            documents.revision(shop, "job", "bittern", each.revision).text
            for shop, each in ((full, one), (other, same))
        ]
        assert texts == [CLOSED_TEXT] * 2
    packed = [zipped(closed_as(shop, "bittern", 1)[1], MORNING.date()) for shop in (full, other)]
    assert packed[0] == packed[1]  # in the same order, to the last byte
    assert documents.holding(other, "job", "bittern").revision.text == NOW_TEXT
    with pytest.raises(Refusal, match="begin revision"):
        documents.save(other, "job", "bittern", FIRST, 2, "bench")
    # Once more, and back into the workshop it came from: nothing is doubled.
    before = _times(full)
    for shop, revisions in ((other, 2), (full, 3)):
        again = take_in(shop, out, "bench")
        assert (again.times, again.closed, again.left, again.holding.newest) == (0, 0, (), revisions)
        assert (_times(shop), len(closings_of(shop, "bittern"))) == (before, 1)
    # The folder alone is a folder like any other.
    (out / "shop.toml").write_text(write_shop(assumed_shop()))
    assert [str(each.took) for each in read_shop_file(out / "shop.toml").times] == ["42 min"]


def test_a_clock_that_ran_when_it_went_out_and_was_stopped_comes_back_as_its_time(
    full: Workshop, other: Workshop, tmp_path: Path
) -> None:
    give_out(full, "bittern", tmp_path / "bittern")
    take_in(other, tmp_path / "bittern", "bench")
    clocked = replace(other, clock=lambda: MORNING + timedelta(minutes=62))
    # Started at 9:42, stopped at 10:02.
    assert bench_times.stop_clock(clocked, "bittern", "k4", "s4").took == "20 min"
    give_out(other, "bittern", tmp_path / "back" / "bittern")
    assert take_in(full, tmp_path / "back" / "bittern", "bench").times == 1
    assert clocks_on(full) == {}
    assert [str(each.took) for each in times_file(all_times(full)).times] == ["42 min", "20 min"]
    # Under another name the same times are not counted again.
    copy = take_in(full, tmp_path / "back" / "bittern", "bench", "copy")
    assert copy.times == 0 and copy.left == ("times.toml: 4 times which stands on job bittern already",)


def test_times_written_in_a_folder_by_hand_come_in_once(on_disk: Workshop, tmp_path: Path) -> None:
    folder = tmp_path / "wren"
    folder.mkdir()
    (folder / "job.toml").write_text(FIRST)
    own = '[[times]]\njob = "bittern-feed"\noperation = "lap"\ntook = "35 min"\nday = 2026-03-14\n'
    (folder / "times.toml").write_text(
        f'{own}\n{own}\n[[times]]\njob = "another"\noperation = "lap"\ntook = "1 h"\n'
        '[[running]]\njob = "bittern-feed"\noperation = "anneal"\nsince = "2026-03-14T10:05:00"\n'
    )
    left = (
        "times.toml: 1 time of anneal, whose clock still runs: stop it with trialfit times stop",
        "times.toml: 1 time of job another",
    )
    for new in (2, 0):  # two alike are two times; the same file again is the same two
        taken = take_in(on_disk, folder, "bench")
        assert (taken.times, tuple(sorted(taken.left))) == (new, left)
    assert [each.took for each in all_times(on_disk)] == ["35 min", "35 min"]


RECORD = Closed("bittern-feed", 1, "2026-03-20", "0.1", "t1", _digest(FIRST.encode()), {})
GOOD_RECORD = json.dumps(vars(RECORD), indent=2)


@pytest.mark.parametrize(
    ("file", "text", "where", "got"),
    [
        ("times.toml", '[[times]]\njob = "b"\noperation = "lap"\ntook = "35"\n', "times.toml:4", "35 without a unit"),
        ("times.toml", '[[times]]\njob = "b"\n\ntook = = 3\n', "times.toml:4", "took = = 3"),
        ("times.toml", '[[running]]\njob = "b"\noperation = "lap"\nsince = "noon"\n', "times.toml:4", '"noon"'),
        ("times.toml", "# fine\n" + '\n[[struck]]\njob="b"\noperation="o"\nclock="k"' * 2, "times.toml:10", "another"),
        ("closed/revision-1.json", '{\n "job": "b",\n', "closed/revision-1.json:3", "cannot be read"),
        ("closed/revision-1.json", GOOD_RECORD.replace("1,", '"1",', 1), "closed/revision-1.json:3", "that is no"),
        ("closed/revision-1.json", GOOD_RECORD.replace("2026-03-20", "Friday"), "closed/revision-1.json:4", "Friday"),
        ("closed/revision-2.json", GOOD_RECORD, "closed/revision-2.json:3", "revision 1"),
        ("closed/revision-1/job.toml", "other", "closed/revision-1/job.toml:1", "another file"),
        ("closed/revision-1/manifest.json", "{\n]", "closed/revision-1/manifest.json:2", "cannot be read"),
        ("job.toml", CLOSED_TEXT, "", "job.toml changed since it was closed on 2026-03-20"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_or_was_changed_is_refused_where_it_stands(
    on_disk: Workshop, tmp_path: Path, file: str, text: str, where: str, got: str
) -> None:
    folder = tmp_path / "bittern"
    (folder / "closed" / "revision-1").mkdir(parents=True)
    (folder / "job.toml").write_text(FIRST)
    (folder / "closed" / "revision-1" / "job.toml").write_text(FIRST)
    (folder / "closed" / "revision-1.json").write_text(GOOD_RECORD)
    (folder / file).write_text(text)
    with pytest.raises(Refusal) as refused:
        take_in(on_disk, folder, "bench")
    assert any(line.startswith(where) and got in line for line in str(refused.value).splitlines())
    with pytest.raises(Refusal):  # nothing of it was kept
        documents.holding(on_disk, "job", "bittern")


def test_a_record_alone_comes_in_where_its_document_is_known(on_disk: Workshop, tmp_path: Path) -> None:
    """As `trialfit close` leaves it; after a correction the earlier document may be gone."""
    folder = tmp_path / "bittern"
    (folder / "closed").mkdir(parents=True)
    (folder / "job.toml").write_text(NOW_TEXT)
    (folder / "closed" / "revision-1.json").write_text(GOOD_RECORD)
    taken = take_in(on_disk, folder, "bench")
    assert taken.closed == 0
    assert taken.left == ("closed/revision-1.json: its document is not in closed/revision-1/",)
    (folder / "closed" / "revision-1").mkdir()
    (folder / "closed" / "revision-1" / "job.toml").write_text(FIRST)
    assert take_in(on_disk, folder, "bench").closed == 1
    assert closed_as(on_disk, "bittern", 1)[1] == {"job.toml": FIRST.encode()}
    assert documents.holding(on_disk, "job", "bittern").revision.text == NOW_TEXT
