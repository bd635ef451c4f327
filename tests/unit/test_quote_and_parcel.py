"""Unit: where a quote's operations come from, what of a part did not arrive, and the bench's clock."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from trialfit.errors import Refusal, Refusals
from trialfit.finding import Answer
from trialfit.job.read import read_job, read_shop, read_times
from trialfit.job.shop import assumed_shop
from trialfit.job.times_file import TimesFile
from trialfit.job.write import write_times
from trialfit.making.processes import orders_of_work
from trialfit.making.turned.plan import TurnedJob, turned_parts
from trialfit.parcel.account import parcel_of
from trialfit.quote.clock import known_operation, start, stop
from trialfit.quote.operations import operations_of
from trialfit.quote.quote import quote_of
from trialfit.quote.records import Making

NONE = TurnedJob((), ())
HEAD = """
format = 1
[job]
name = "wren"
owner = "A. Reedham"
date = 2026-03-14
[engine]
name = "Wren"
working_pressure = "80 psi"
"""
WORK = """
[turned.cones]
pattern = "union cone"
metal = "CW451K"
count = 2
[turned.cones.sizes]
body = "6.8 mm"
long = "4 mm"
nose = "5 mm"
angle = "60 deg"
bore = "3.4 mm"
socket = "4.86 mm"
socket_deep = "3.5 mm"
[turned.pin]
metal = "CW614N"
count = 3
outside = [{ plain = "6 mm", long = "5 mm" }, { plain = "4 mm", long = "5 mm" }]
from_left = [{ bore = "2 mm", through = true }]
[assemblies.feed.bodies]
pipe = { metal = "CW024A", od = "3/16 in" }
[assemblies.feed.work.soft]
do = "anneal"
on = "pipe"
[assemblies.feed.work.round]
do = "bend"
on = "pipe"
radius = "12 mm"
angle = "90 deg"
[quote]
leave_out = ["anneal"]
[quote.work.drill]
what = "drill out the tail"
operation = "machine"
[quote.work.sleeve]
likely = "40 min"
high = "90 min"
[quote.choices.tail]
repair = ["drill", "sleeve"]
remake = ["turned.pin"]
fails = "25 %"
"""


def test_operations_come_from_the_making_plan_and_the_job_adds_the_rest() -> None:
    """By hand: two cones by their pattern; a pin of two lines outside and one inside, three of it, nine lines."""
    job, shop = read_job(HEAD + WORK), assumed_shop()
    lines = operations_of(job, shop, Making(turned_parts(job, shop), orders=orders_of_work(job)))
    assert [(line.name, line.operation, line.count) for line in lines] == [
        ("drill", "machine", 1),
        ("sleeve", "repair", 1),
        ("turned.cones", "turn a union cone", 2),
        ("turned.pin", "turn", 9),
        ("assemblies.feed.round", "bend", 1),
    ]


def test_the_cheaper_way_is_quoted_and_a_job_that_asks_for_the_other_is_told() -> None:
    """A pin of nine lines at 6 min is 54 min; drill and sleeve 65 min and a quarter of 54 more: the remake is less."""
    for extra, chosen, answer in (("", "remake", Answer.GO), ('chosen = "repair"\n', "repair", Answer.LOOK)):
        job, shop = read_job(HEAD + WORK + extra), assumed_shop()
        quote = quote_of(job, shop, Making(turned_parts(job, shop), orders=orders_of_work(job)))
        found = next(each for each in quote.findings if each.about == "tail")
        assert (quote.choices[0].chosen, found.answer) == (chosen, answer)
    assert quote.price is None
    assert quote == quote_of(job, shop, Making(turned_parts(job, shop), orders=orders_of_work(job)))


def test_a_name_that_is_not_there_is_a_fault_with_the_nearest() -> None:
    with pytest.raises(Refusals) as refused:
        read_job(HEAD + WORK.replace('remake = ["turned.pin"]', 'remake = ["turned.pins"]'))
    assert 'got "turned.pins", wanted the name of a piece of work that is there. Did you mean "turned.pin"?' in str(
        refused.value
    )


def test_money_with_a_comma_or_without_quotes_is_refused() -> None:
    shop = 'name = "x"\n[scatter]\nlength = "1 mm"\nbend = "2 deg"\nrotation = "4 deg"\n[pricing]\ncurrency = "{}"\n'
    for currency, rate, says in (
        ("GBP", '"12,50"', 'got 12,50, wanted an amount in quotes such as "12.50"'),
        ("GBP", "12.5", "got 12.5, wanted an amount in quotes"),
        ("XYZ", '"12.50"', "got XYZ, wanted three letters of ISO 4217 such as GBP"),
    ):
        with pytest.raises(Refusals) as refused:
            read_shop(shop.format(currency) + f"rate = {rate}\n")
        assert says in str(refused.value)


PARCEL = """
[parts.clack]
kind = "check valve"
[parcel.lines.clack]
what = "check valve"
part = "clack"
"""


@pytest.mark.parametrize(
    ("more", "lacks"),
    [
        ("", ("ball", "cap")),
        ('has = ["cap"]\n', ("ball",)),
        ('has = ["cap"]\n[parcel.lines.ball]\nwhat = "ball"\npart = "clack"\npiece = "ball"\ninside = "clack"\n', ()),
    ],
)
def test_what_a_check_valve_has_and_did_not_bring_is_asked_about(more: str, lacks: tuple[str, ...]) -> None:
    account = parcel_of(read_job(HEAD + PARCEL + more), NONE, ())
    assert account is not None
    assert tuple(piece for each in account.lacking for piece in each.pieces) == lacks
    asked = [each for each in account.findings if each.question == "Did all of it arrive?"]
    assert [each.answer for each in asked] == ([Answer.LOOK] if lacks else [])


def test_pieces_that_lie_in_one_another_are_refused() -> None:
    ring = PARCEL + 'inside = "nut"\n[parcel.lines.nut]\nwhat = "nut"\ninside = "clack"\n'
    with pytest.raises(Refusals) as refused:
        read_job(HEAD + ring)
    assert "got clack in nut in clack, wanted pieces that lie in one another" in str(refused.value)


def test_the_clock_keeps_what_was_taken() -> None:
    """By hand: from 10:05 to 10:52:30 is 47.5 min."""
    empty = TimesFile.model_validate({})
    running = start(empty, "wren", "bend", 2, datetime(2026, 3, 14, 10, 5))
    with pytest.raises(Refusal, match="running already"):
        start(running, "wren", "bend", 1, datetime(2026, 3, 14, 10, 6))
    assert read_times(write_times(running)) == running
    done, entry = stop(running, datetime(2026, 3, 14, 10, 52, 30))
    assert (str(entry.took), entry.count, entry.job, done.running) == ("47.5 min", 2, "wren", ())
    assert read_times(write_times(done)) == done
    with pytest.raises(Refusal, match="none running"):
        stop(done, datetime(2026, 3, 14, 11, 0))
    with pytest.raises(Refusal, match="a time of one working day"):
        stop(running, datetime(2026, 3, 16, 10, 0))
    with pytest.raises(Refusal, match='Did you mean "silver-solder"'):
        known_operation("silver solder", None)


def test_times_of_the_job_itself_teach_it_nothing() -> None:
    job = read_job(HEAD + WORK)
    record: dict[str, Any] = assumed_shop().model_dump()
    own = {"job": "wren", "operation": "bend", "took": "300 min"}
    other = {"job": "teal", "operation": "bend", "took": "300 min"}

    def likely(*times: dict[str, str]) -> float:
        shop = type(assumed_shop()).model_validate({**record, "times": list(times)})
        return quote_of(job, shop, Making(NONE, orders=orders_of_work(job))).minutes.likely_min

    assert likely(own) == likely()
    assert likely(other) > likely()
