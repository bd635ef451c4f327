"""App: jobs put away, clocks, closed revisions on SQLite and PostgreSQL; held against what was done."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import create_engine, text

import trialfit.store.database as package
from trialfit.errors import Refusal
from trialfit.job.closing import Closed
from trialfit.job.pricing import TimeEntry
from trialfit.store.database import bench_times, documents, rack
from trialfit.store.database.bench_time_rows import all_times, times_file, times_of
from trialfit.store.database.clocks import clocks_on
from trialfit.store.database.closings import close_revision, closed_as, closings_of
from trialfit.store.database.lines import list_jobs
from trialfit.store.database.records import Conflict, NotThere, Taken
from trialfit.store.database.workshop import Workshop, open_workshop
from workshops import job_text

FIRST = job_text()
MORNING = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)


def _start(workshop: Workshop, *names: str) -> None:
    for name in names:
        documents.start(workshop, "job", name, FIRST, "bench")


def test_a_job_put_away_is_off_the_rack_and_found_by_its_words(workshop: Workshop) -> None:
    _start(workshop, "bittern", "teal")
    since = rack.put_away(workshop, "bittern", "tablet")
    assert rack.put_away(workshop, "bittern", "tablet, sent again") == since == rack.away_since(workshop, "bittern")
    names: Callable[..., list[str]] = lambda **how: sorted(line.name for line in list_jobs(workshop, **how))  # noqa: E731
    assert names() == ["bittern", "teal"]
    assert (names(away="without"), names(away="only")) == (["teal"], ["bittern"])
    assert documents.holding(workshop, "job", "bittern").revision.text == FIRST
    rack.put_back(workshop, "bittern", "bench")
    assert (rack.away_since(workshop, "bittern"), names(away="without")) == ("", ["bittern", "teal"])
    with workshop.reading() as connection:
        moves = connection.execute(text("select kind, moved_by from rack_moves order by id")).all()
    assert [tuple(move) for move in moves] == [("away", "tablet"), ("back", "bench")]
    with pytest.raises(NotThere):
        rack.put_away(workshop, "nobody", "bench")


def test_a_clock_counts_from_the_press_and_every_press_is_made_once(tmp_path: Path, address: str) -> None:
    """Started at 9:00, stopped at 9:42 though the press came at 10:00: 42 minutes."""
    now = [MORNING]
    workshop = open_workshop(tmp_path / "workshop", address, lambda: now[0])
    _start(workshop, "bittern", "teal")
    for _ in range(2):  # its answer was lost: sent again it is the same clock
        bench_times.start_clock(workshop, "bittern", "bittern-feed", "silver-solder", 2, "k1", "tablet")
    with pytest.raises(Refusal, match="running already"):
        bench_times.start_clock(workshop, "bittern", "bittern-feed", "silver-solder", 1, "k2", "bench")
    with pytest.raises(Taken):
        bench_times.start_clock(workshop, "teal", "teal-cock", "lap", 1, "k1", "bench")
    workshop.close()
    now[0] = MORNING + timedelta(hours=1)
    workshop = open_workshop(tmp_path / "workshop", address, lambda: now[0])  # the program was restarted meanwhile
    began = MORNING.astimezone()
    assert clocks_on(workshop) == {"bittern": (f"silver-solder since {began:%H:%M}",)}
    for _ in range(2):
        kept = bench_times.stop_clock(workshop, "bittern", "k1", "s1", ago_s=18 * 60, note="second heat")
    assert (kept.state, kept.took, kept.count, kept.note) == ("kept", "42 min", 2, "second heat")
    with pytest.raises(Refusal, match="stands already"):
        bench_times.stop_clock(workshop, "bittern", "k1", "s2")
    entry = TimeEntry.model_validate(
        {"job": "bittern-feed", "operation": "lap", "took": "0.5 h", "day": MORNING.date()}
    )
    for _ in range(2):
        bench_times.enter_time(workshop, "bittern", entry, "k3", "bench")
    taken = times_file(all_times(workshop)).times
    # 42 min and half an hour.
    assert [(each.operation, float(each.took.to("min"))) for each in taken] == [("silver-solder", 42), ("lap", 30)]
    bench_times.count_time(workshop, "bittern", "k1", False)
    assert [each.operation for each in times_file(all_times(workshop)).times] == ["lap"]
    assert [each.state for each in times_of(workshop, "bittern")] == ["kept", "struck"]
    bench_times.count_time(workshop, "bittern", "k1", True)
    assert len(times_file(all_times(workshop)).times) == 2
    bench_times.start_clock(workshop, "bittern", "bittern-feed", "lap", 1, "k4", "bench")
    now[0] += timedelta(hours=17)
    with pytest.raises(Refusal, match="working day"):  # forgotten overnight: no time taken
        bench_times.stop_clock(workshop, "bittern", "k4", "s4")
    assert bench_times.stop_clock(workshop, "bittern", "k4", "s5", keep=False).state == "struck"
    assert clocks_on(workshop) == {}
    workshop.close()


def test_what_is_closed_is_held_against_saves_undo_and_redo(workshop: Workshop) -> None:
    _start(workshop, "bittern")
    second = job_text(story="Closed so.")
    documents.save(workshop, "job", "bittern", second, 1, "bench")
    with pytest.raises(Conflict):  # somebody saved meanwhile
        close_revision(workshop, "bittern", 1, Closed("bittern", 1, "2026-03-20", "1", "t", "aa", {}), {}, "bench")
    record = Closed("bittern", 1, "2026-03-20", "1", "tables", "aa", {"front.jpg": "bb"})
    for _ in range(2):
        close_revision(workshop, "bittern", 2, record, {"plan.json": b"{}"}, "bench")
    [closing] = closings_of(workshop, "bittern")
    assert (closing.issue, closing.revision, closing.record) == (1, 2, record)
    assert closed_as(workshop, "bittern", 1)[1] == {"plan.json": b"{}"}
    third = job_text(story="Changed after all.")
    with pytest.raises(Refusal, match="begin revision 2"):
        documents.save(workshop, "job", "bittern", third, 2, "bench")
    with pytest.raises(Refusal, match="closed on 2026-03-20"):
        documents.undo(workshop, "job", "bittern", 2, "bench")
    mended = third.replace("[job]\n", "[job]\nrevision = 2\n")
    documents.save(workshop, "job", "bittern", mended, 2, "bench")
    # Back to what was closed, but no further.
    assert documents.undo(workshop, "job", "bittern", 3, "bench").revision.text == second
    with pytest.raises(NotThere):
        closed_as(workshop, "bittern", 2)


def test_a_workshop_of_the_first_layout_is_brought_up_with_its_jobs(tmp_path: Path) -> None:
    folder = tmp_path / "workshop"
    folder.mkdir()
    engine = create_engine(f"sqlite:///{folder / 'workshop.db'}")
    config = Config()
    config.set_main_option("script_location", str(Path(package.__path__[0]) / "migrations"))
    config.set_main_option("path_separator", "os")
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.execute(text("insert into documents values (1, 'job', 'bittern', '2026-01-01T00:00:00Z')"))
    engine.dispose()
    workshop = open_workshop(folder)
    assert rack.away_since(workshop, "bittern") == ""
    assert rack.put_away(workshop, "bittern", "bench")
    workshop.close()
