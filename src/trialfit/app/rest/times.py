"""Calls: clocks at the bench and the times they gave."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from fastapi import APIRouter, Path
from pydantic import Field

from trialfit.app.answers import Said
from trialfit.app.at_desk import AtDesk
from trialfit.app.rest.callers import Caller, Key
from trialfit.app.rest.jobs import JobName

if TYPE_CHECKING:
    from trialfit.store.database.bench_time_rows import BenchTime

router = APIRouter(tags=["times"])

Clock = Annotated[str, Path(max_length=80, description="The clock's name: the key under which it was started.")]
_AGO = "How long ago it was pressed, where the press had to wait. [s]"


class Started(Said):
    """A clock to be started."""

    operation: str = Field(max_length=80, description="The operation, by its name.", examples=["silver-solder"])
    count: int = Field(1, ge=1, le=10_000, description="How many are being done.")
    ago_s: float = Field(0.0, ge=0, le=1e9, description=_AGO)


class Stopped(Said):
    """A clock to be stopped."""

    ago_s: float = Field(0.0, ge=0, le=1e9, description=_AGO)
    note: str = Field("", max_length=400, description="Anything that made it long or short.")
    keep: bool = Field(True, description="Whether its time counts.")


class Typed(Said):
    """A time that was typed."""

    operation: str = Field(max_length=80, description="The operation, by its name.", examples=["silver-solder"])
    count: int = Field(1, ge=1, le=10_000, description="How many were done in that time.")
    took: str = Field(max_length=40, description="How long, all of them together.", examples=["35 min"])
    day: str = Field("", max_length=10, description="The day, year-month-day; today where it is left out.")
    note: str = Field("", max_length=400, description="Anything that made it long or short.")


class TimeSaid(Said):
    """A clock that runs, or a time."""

    clock: str = Field(description="Its name.")
    state: str = Field(description="running, kept, or struck where it counts no longer.")
    job: str = Field(description="The job, as its document names it.")
    operation: str = Field(description="The operation.")
    count: int = Field(description="How many.")
    started_at: str = Field(description="When the clock was started, in UTC; empty where the time was typed.")
    running_s: float = Field(description="How long it has run; 0 where it stands. [s]")
    took: str = Field(description="How long it took; empty while it runs.")
    day: str = Field(description="The day; empty while it runs.")
    note: str = Field(description="What made it long or short.")


class TimesFileSaid(Said):
    """Every time of the workshop, as the file beside a shop file has them."""

    text: str = Field(description="TOML, for a times.toml beside a shop.toml.")


@router.get("/api/jobs/{job}/times")
def times(desk: AtDesk, job: JobName) -> list[TimeSaid]:
    """List the clocks and times of a job, the latest first; those struck out too."""
    from trialfit.store.database.bench_time_rows import times_of

    return [_said(desk, each) for each in times_of(desk.workshop, job)]


@router.post("/api/jobs/{job}/clocks", status_code=201)
def start(desk: AtDesk, caller: Caller, job: JobName, started: Started, key: Key = "") -> TimeSaid:
    """Start a clock; sent again under the same key it is the same clock."""
    from trialfit.app.bench_times import named_in, need_operation
    from trialfit.store.database.bench_times import start_clock

    need_operation(desk, started.operation)
    clock = start_clock(
        desk.workshop, job, named_in(desk, job), started.operation, started.count, key or _own(), caller, started.ago_s
    )
    return _said(desk, clock)


@router.post("/api/jobs/{job}/clocks/{clock}/stop")
def stop(desk: AtDesk, job: JobName, clock: Clock, stopped: Stopped, key: Key = "") -> TimeSaid:
    """Stop a clock and keep its time, or let it go."""
    from trialfit.store.database.bench_times import stop_clock

    return _said(
        desk, stop_clock(desk.workshop, job, clock, key or _own(), stopped.ago_s, stopped.note, stopped.keep)
    )  # fmt: skip


@router.post("/api/jobs/{job}/times", status_code=201)
def enter(desk: AtDesk, caller: Caller, job: JobName, typed: Typed, key: Key = "") -> TimeSaid:
    """Keep a time that was typed; sent again under the same key it is kept once."""
    from trialfit.app.bench_times import entry_of
    from trialfit.store.database.bench_times import enter_time

    entry = entry_of(desk, job, typed.operation, typed.count, typed.took, typed.day, typed.note)
    return _said(desk, enter_time(desk.workshop, job, entry, key or _own(), caller))


@router.delete("/api/jobs/{job}/times/{clock}")
def strike(desk: AtDesk, job: JobName, clock: Clock) -> TimeSaid:
    """Strike a time out: it stays written down and counts no longer."""
    from trialfit.store.database.bench_times import count_time

    return _said(desk, count_time(desk.workshop, job, clock, False))


@router.put("/api/jobs/{job}/times/{clock}")
def count_again(desk: AtDesk, job: JobName, clock: Clock) -> TimeSaid:
    """Have a time that was struck out count again."""
    from trialfit.store.database.bench_times import count_time

    return _said(desk, count_time(desk.workshop, job, clock, True))


@router.get("/api/times", tags=["shop"])
def all_times(desk: AtDesk) -> TimesFileSaid:
    """Give every time of the workshop that counts, and the clocks that run."""
    from trialfit.job.write import write_times
    from trialfit.store.database.bench_time_rows import all_times as kept
    from trialfit.store.database.bench_time_rows import times_file

    return TimesFileSaid(text=write_times(times_file(kept(desk.workshop))))


def _said(desk: AtDesk, each: BenchTime) -> TimeSaid:
    from trialfit.app.bench_times import running_s

    return TimeSaid(**vars(each), running_s=running_s(desk, each))


def _own() -> str:
    from secrets import token_hex

    return token_hex(12)
