"""Unit: tubes and rims in a job file: what is read, and each mistake in whole sentences with its line."""

from __future__ import annotations

import pytest

from trialfit.errors import Refusals
from trialfit.job.read import read_job
from trialfit.job.write import write_job

JOB = """format = 1
[job]
name = "a"
owner = "b"
date = 2026-03-14
[engine]
name = "c"
working_pressure = "80 psi"
[survey]
mark_pm = "3 px"
[phones]
owner = {}
[photographs]
front = { file = "v.jpg", phone = "owner" }
[points]
"bush.face" = {}
"bush.back" = {}
[tubes.feed]
od = { value = "4.76 mm", pm = "0.04 mm", by = "workshop, caliper" }
bends = 1
on_axis = { leg2 = ["bush.face"] }
on_axis_pm = "0.3 mm"
[edges.front.feed]
leg1 = [[10, 20], [30.5, 40]]
bend1 = [[1, 2], [3, 4]]
[rims.bush_rim]
centre = "bush.face"
diameter = { value = "12.7 mm", pm = "0.1 mm", by = "workshop, caliper" }
[rim_marks.front]
bush_rim = [[1, 2], [3, 4], [5, 6], [7, 8], [9, 9]]
[parts.bush]
kind = "bush"
ports.thread = { face = "bush.face", axis_of = "bush_rim", axis_sense = "against" }
"""


def test_tubes_and_rims_are_read_and_written_back() -> None:
    job = read_job(JOB)
    assert job.edges["front"]["feed"]["leg1"] == ((10, 20), (30.5, 40))
    assert len(job.rim_marks["front"]["bush_rim"]) == 5
    assert job.tubes["feed"].od.value_mm == 4.76
    assert read_job(write_job(job)) == job


def test_many_marks_are_written_in_rows() -> None:
    many = ", ".join(f"[{100 + n}.5, {200 + n}.25]" for n in range(12))
    job = read_job(JOB.replace("leg1 = [[10, 20], [30.5, 40]]", f"leg1 = [{many}]"))
    lines = write_job(job).split("\n")
    at = lines.index("leg1 = [")
    # Four blanks, then "[100.5, 200.25]," with its blank is 17 letters: six in 120 columns.
    assert lines[at + 1].count("],") == 6
    assert lines[at + 3] == "]"
    assert read_job("\n".join(lines)) == job


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ("[edges.front.feed]", "[edges.front.fead]",
         'job.toml:23: edges, front, fead: got "fead", wanted the name of a tube that is there. Did you mean "feed"?'),
        ("[edges.front.feed]", "[edges.frond.feed]",
         'job.toml:23: edges, frond: got "frond", wanted the name of a photograph that is there. '
         'Did you mean "front"?'),
        ("\nbend1 = [", "\nbend2 = [",
         'job.toml:25: edges, front, feed, bend2: got "bend2", wanted a straight length or bend that tube feed has. '
         "It has leg1, leg2, bend1; one bend more is one straight length more: bends = ..."),
        ("\nbend1 = [[1, 2], ", "\nbend1 = [",
         "job.toml:25: edges, front, feed, bend1: got 1 mark, wanted at least 2. "
         "Mark two places or more along each edge."),
        (", [9, 9]]", "]",
         "job.toml:30: rim_marks, front, bush_rim: got 4 marks, wanted at least 5. "
         "An ellipse takes five: mark more of the rim, or take these out."),
        ('centre = "bush.face"', 'centre = "bush.fase"',
         'job.toml:27: rim bush_rim, centre: got "bush.fase", wanted the name of a point that is there. '
         'Did you mean "bush.face"?'),
        ('on_axis_pm = "0.3 mm"', "",
         "job.toml:18: tube feed, on_axis_pm: got nothing, wanted a plus-or-minus. "
         'Add on_axis_pm = "0.3 mm": how far off the middle they may lie, k = 2.'),
        ("[rims.bush_rim]", '[rims."bush.back"]',
         'job.toml:26: rim bush.back: got the name "bush.back", which a point has too, wanted a name of its own. '
         "Rename one of them."),
        ('axis_of = "bush_rim"', 'axis_from = "bush.back", axis_of = "bush_rim"',
         "job.toml:33: part bush, port thread, axis_of: got both axis_from and axis_of, wanted one direction. "
         "Take one of the two out; points on a rim's axis can be named there, under on_axis."),
        ('axis_of = "bush_rim"', 'axis_of = "feed.leg3"',
         'job.toml:33: part bush, port thread, axis_of: got "feed.leg3", wanted the name of a rim, or tube.leg1 that '
         'is there. Did you mean "feed.leg2"?'),
        ('axis_of = "bush_rim", ', "",
         "job.toml:33: part bush, port thread, axis_of: got nothing, wanted an axis, as there is an axis_sense. "
         "Name the rim or the straight length it goes by: axis_of = ..."),
        ("\nbends = 1", '\nbend_radius = { value = "9 mm", pm = "1 mm", by = "former" }',
         "job.toml:20: tube feed, bend_radius: got a bend radius on a straight tube, wanted bends = 1 or more. "
         "Say how many bends it has, or take the radius out."),
    ],
)  # fmt: skip
def test_each_mistake_is_said_with_its_line(old: str, new: str, text: str) -> None:
    assert JOB.count(old) == 1
    with pytest.raises(Refusals) as refused:
        read_job(JOB.replace(old, new))
    assert text in str(refused.value).split("\n")
