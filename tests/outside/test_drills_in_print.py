"""Outside: number and letter drills against two printed charts; percentages of thread against a handbook's table."""

from __future__ import annotations

import pytest

from printed import printed
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import find_drill, percent_of_thread, usual_percent
from trialfit.tables.rows import Row, rows
from trialfit.units import inches

ROWS = printed("drills_printed.csv")
WITH_PERCENT = [row for row in rows("tapping_drills.csv") if row["printed_pct"]]
# Machinery's Handbook 31, p. 2155: two cells that its own formula does not give.
SLIPS = {("0-80 UNF", "0.0492 in"), ("1-64 UNC", "0.0571 in")}


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['drill']} {r['source']} {r['result']}" for r in ROWS])
def test_printed_drill(row: dict[str, str]) -> None:
    """Charts print four decimals of an inch; the sizes are exact to that."""
    agrees = abs(inches(find_drill(row["drill"]).diameter_mm) - float(row["printed_in"])) <= 1e-9
    assert agrees == (row["result"] == "agrees"), row["note"]


def _name(row: Row) -> str:
    return f"{row['thread']} {row['drill']} {row.sources[0]}"


@pytest.mark.parametrize("row", [r for r in WITH_PERCENT if "S-MH31" in r.sources], ids=_name)
def test_handbook_percentages(row: Row) -> None:
    """Whole percents of the US depth, from inches rounded to 0.0001: three quarters of a point covers both."""
    percent = percent_of_thread(find_thread(row["thread"]), find_drill(row["drill"]).diameter_mm)
    agrees = abs(percent.of_us_pct - row.number("printed_pct")) <= 0.75
    assert agrees == ((row["thread"], row["drill"]) not in SLIPS)


@pytest.mark.parametrize("row", [r for r in WITH_PERCENT if "S-DRILLTAP" in r.sources], ids=_name)
def test_75_percent_column(row: Row) -> None:
    """The chart's 75 % column means the nearest drill on the stand: 69 to 80 % of the US depth in these fifteen."""
    percent = percent_of_thread(find_thread(row["thread"]), find_drill(row["drill"]).diameter_mm)
    assert percent.of_us_pct == pytest.approx(75, abs=6.5)


def test_hobby_table_says_75_and_means_anything() -> None:
    """The page prints "approx 75 %" over all its sizes; by hand 5.8 mm in 1/4x40 leaves 67.6 %.

    Over the page: 57.9 % (8.8 mm in 3/8x26 brass) to 82.2 % (3.3 mm in 5/32x40) of the form's depth.
    """
    found = []
    for row in rows("tapping_drills.csv"):
        if row.sources == ("S-HOBBYTAB",):
            thread = find_thread(row["thread"])
            found.append(usual_percent(thread, percent_of_thread(thread, find_drill(row["drill"]).diameter_mm)))
    # (9.525 - 8.8) / (1.280654 x 25.4 / 26) = 57.95 %; (3.96875 - 3.3) / (1.280654 x 0.635) = 82.24 %
    assert min(found) == pytest.approx(57.95, abs=0.01)
    assert max(found) == pytest.approx(82.24, abs=0.01)
