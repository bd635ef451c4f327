"""The operations of a job: from the making plan wherever it knows them, the rest from the job.

Source: the records of the making stage; usual times by `trialfit.tables.work_times`.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.turned.records import TurnedPlan
from trialfit.quote.learn import Reach
from trialfit.quote.records import Making, WorkLine
from trialfit.tables.work_times import work_times


def reach_of(operation: str, shop: Shop) -> tuple[str, Reach]:
    """Give what is counted of an operation and what one is guessed to take: the shop's own guess, else the usual one.

    Parameters
    ----------
    operation
        Its name; one that nobody knows is taken as any repair.
    shop
        The workshop.

    Returns
    -------
    tuple
        What is counted, and the guess.
    """
    own = shop.operations.get(operation)
    if own is not None:
        return own.each, Reach(float(own.likely.to("min")), float(own.high.to("min")))
    usual = work_times().get(operation) or work_times()["repair"]
    return usual.each, Reach(usual.likely_min, usual.high_min)


def operations_of(job: Job, shop: Shop, making: Making) -> tuple[WorkLine, ...]:
    """Give every operation of a job, those of ways not chosen included.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    making
        What the plan knows.

    Returns
    -------
    tuple of WorkLine
        In the order of the work; what the job leaves out is not there.
    """
    left_out = job.quote.leave_out if job.quote else ()
    return tuple(line for line in _all(job, shop, making) if not is_called(line, left_out))


def is_called(line: WorkLine, names: tuple[str, ...]) -> bool:
    """Whether a line is meant by one of several names.

    Parameters
    ----------
    line
        The line.
    names
        Its own name, that of what it is part of, or its operation's.

    Returns
    -------
    bool
        True where it is.
    """
    return any(
        line.name == name or line.name.startswith(f"{name}.") or (line.operation == name and "." not in name)
        for name in names
    )


def _all(job: Job, shop: Shop, making: Making) -> Iterator[WorkLine]:
    if job.parcel is not None and job.parcel.lines:
        pieces = sum(line.count for line in job.parcel.lines.values())
        yield _line(shop, "parcel.in", "take in", "what came in the parcel", pieces)
    of_engine = sum(not each.bench for each in job.photographs.values())
    if of_engine and job.marks:
        yield _line(shop, "photographs", "mark a photograph", "the owner's photographs", of_engine)
    if job.quote is not None:
        for name, work in job.quote.work.items():
            each, reach = reach_of(work.operation, shop)
            if work.likely is not None and work.high is not None:
                reach = Reach(float(work.likely.to("min")), float(work.high.to("min")))
            typed = work.likely is not None
            yield WorkLine(name, work.operation, work.what or name, work.count, each, reach, typed)
    for plan in making.turned.parts:
        yield _turned(job, shop, plan)
    for pipe in making.pipes:
        what = job.pipes[pipe.name].what or f"pipe {pipe.name}"
        yield _line(shop, f"pipes.{pipe.name}.cut", "cut and end a pipe", what, 1)
        if pipe.bends:
            yield _line(shop, f"pipes.{pipe.name}.bends", "bend", what, len(pipe.bends))
        yield _line(shop, f"pipes.{pipe.name}.set", "set a pipe", what, 1)
    yield from _assemblies(job, shop, making)
    if not any(step.do == "test" for entry in job.assemblies.values() for step in entry.work.values()):
        for test in making.tests:
            yield _line(shop, f"pressure_tests.{test.name}", "test", test.what, 1)
    for name in making.clocked:
        yield _line(shop, f"clocking.{name}", "clock a fitting", job.clocking[name].what or name, 1)
    if job.parcel is not None:
        yield _line(shop, "parcel.out", "pack", "the parcel back to the owner", 1)


def _turned(job: Job, shop: Shop, plan: TurnedPlan) -> WorkLine:
    entry = job.turned[plan.part.name]
    what = entry.what or plan.part.name
    operation = f"turn a {entry.pattern}"
    if entry.pattern is not None and (operation in shop.operations or operation in work_times()):
        return _line(shop, f"turned.{plan.part.name}", operation, what, entry.count)
    lines = len(plan.part.outside) + len(plan.part.inside) + len(plan.part.across)
    return _line(shop, f"turned.{plan.part.name}", "turn", what, max(lines, 1) * entry.count)


def _assemblies(job: Job, shop: Shop, making: Making) -> Iterator[WorkLine]:
    laid = {pipe.name for pipe in making.pipes}
    ordered = {order.name: [step.name for step in order.steps] for order in making.orders}
    for name, entry in job.assemblies.items():
        for step in ordered.get(name) or entry.work:
            work = entry.work[step]
            # The bends of a pipe that was laid out are counted from its bend table.
            if work.do == "bend" and laid & {name, *work.on}:
                continue
            yield _line(shop, f"assemblies.{name}.{step}", work.do, work.what or step, 1)


def _line(shop: Shop, name: str, operation: str, what: str, count: int) -> WorkLine:
    each, reach = reach_of(operation, shop)
    return WorkLine(name, operation, what, count, each, reach)
