"""Unit: what is said of a job file with slips in it, against texts written by hand from the slips made."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from trialfit.errors import Refusals
from trialfit.job.read import read_job, read_shop
from trialfit.job.write import write_job

PAGE = Path(__file__).parents[2] / "docs" / "job-file.md"
GOOD = PAGE.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
SLIPS = tomllib.loads(Path(__file__).with_name("job_slips.toml").read_text(encoding="utf-8"))["slip"]

TEN_FAULTS = """\
format = 1

[job]
name = "bittern-feed"
ownr = "A. Fenwright"
date = 2026-03-14

[engine]
name = "Bittern"
working_pressure = "80 mm"

[phones]
owner = {}

[card]
page = ["148 mm", "105 mm"]
squares = [8, 5]
square = "16 mm"
marker = "18 mm"
dictionary = "DICT_4X4_50"

[survey]
mark_pm = "3 px"

[photographs]
front = { file = "front.jpg", phone = "owner" }
left = { file = "front.jpg", phone = "owner" }

[points]
"cap.face" = {}
"nut.face" = { at = ["82 mm", "31.5 mm", "48 mm"] }

[marks.frnt]
"cap.face" = [2543.9, 1063.2]

[marks.left]
"nut.fase" = [2196.9, 1357.6]

[[readings]]
between = ["cap.face",
           "cap.fice"]
value = "33.2 mm"
pm = "0.1 mm"
by = "workshop, caliper"

[parts.check_valve]
kind = "check valve"
ports.inlet = { face = "nut.face", axis_from = "cap.face" }

[[joints]]
a = "chek_valve.inlet"
b = "feed.start"

[parts.tank_union]
kind = "union body"

[pipes.feed]
tube = { od = "3/16 in", wall = "2.5 mm" }
start = { port = "check_valve.inlet", straight = "14 mm", enters = "6.5 mm" }
end = { port = "tank_union.face", straight = "14 mm", enters = "3.5 mm" }
file_allowance = "0.5 mm"
"""

# Lines counted by hand in the text above. 3/16 in is 4.7625 mm, half of it 2.38 mm.
TEN_LINES = """\
job.toml:5: job: got a key "ownr", wanted one of its known keys. Did you mean "owner"?
job.toml:10: engine, working_pressure: got 80 mm, a length, wanted a pressure such as 80 psi or 5.5 bar. \
Give the pressure here, for instance 80 psi or 5.5 bar.
job.toml:19: card, marker: got 18 mm, wanted less than the square's 16 mm. \
Measure a black marker and a whole square anew.
job.toml:27: photograph left, file: got "front.jpg", which photograph front has too, wanted another file. \
Give each photograph its own file, or take one of the two out.
job.toml:31: point nut.face, pm: got nothing, wanted a plus-or-minus, as the place is given. \
Add pm = "0.4 mm": how far out each of the three may be, k = 2.
job.toml:33: marks: got "frnt", wanted the name of a photograph that is there. Did you mean "front"?
job.toml:37: mark on left: got "nut.fase", wanted the name of a point that is there. Did you mean "nut.face"?
job.toml:41: reading 1, between: got "cap.fice", wanted the name of a point that is there. Did you mean "cap.face"?
job.toml:51: joint 1, a: got "chek_valve.inlet", wanted a port of a part or pipe that is there. \
Did you mean "check_valve.inlet"?
job.toml:58: pipe feed, tube, wall: got 2.5 mm, wanted less than half of 3/16 in. \
Check both; was one of them typed in the other's unit?"""


def _said(text: str, pictures: tuple[str, ...] | None = None) -> str:
    with pytest.raises(Refusals) as refused:
        read_job(text, pictures=pictures)
    return str(refused.value)


def test_ten_faults_are_ten_lines_with_their_places() -> None:
    assert _said(TEN_FAULTS) == TEN_LINES


def _line_of(piece: str, text: str) -> int:
    return text[: text.index(piece)].count("\n") + 1


@pytest.mark.parametrize("slip", SLIPS, ids=[slip["name"] for slip in SLIPS])
def test_one_slip_is_one_line(slip: dict[str, str]) -> None:
    assert GOOD.count(slip["old"]) == 1, "the example has changed"
    text = GOOD.replace(slip["old"], slip["new"])
    said = slip["said"]
    for piece in re.findall(r"line of <([^>]*)>", said):
        said = said.replace(f"line of <{piece}>", f"line {_line_of(piece, text)}")
    assert _said(text) == f"job.toml:{_line_of(slip['at'], text)}: {said}"


def test_what_stands_in_a_broken_statement_is_not_called_missing() -> None:
    # The header of a point is broken; the mark and the reading that name the point are not complained about,
    # the wrong pressure elsewhere still is.
    text = GOOD.replace('[points]\n"cap.face" =', '[points]\n"cap.face" ').replace('"80 psi"', '"80 mm"')
    said = _said(text).splitlines()
    assert [line.split(": got")[0] for line in said] == [
        f"job.toml:{_line_of('working_pressure', text)}: engine, working_pressure",
        f"job.toml:{_line_of('[points]', text) + 1}: this line",
    ]


def test_every_broken_statement_is_named() -> None:
    text = GOOD.replace('"33.2 mm"', "33.2 mm").replace('"14 mm", enters = "3.5', '"14 mm, enters = "3.5')
    text = text.replace("squares = [8, 5]", "squares = [8,\n  5 5]")
    places = [line.split(": got")[0] for line in _said(text).splitlines()]
    assert places == [
        f"job.toml:{_line_of('5 5', text)}: this line",
        f"job.toml:{_line_of('33.2 mm', text)}: this line",
        f"job.toml:{_line_of('end =', text)}: this line",
    ]


def test_an_empty_file_lacks_its_three_needed_parts() -> None:
    assert _said("") == (
        "job.toml: format: got nothing, wanted the number 1. Add format = 1: version of this layout.\n"
        "job.toml: job: got nothing, wanted a table. Add a table [job]: whose job it is.\n"
        "job.toml: engine: got nothing, wanted a table. Add a table [engine]: the engine it is for."
    )


def test_a_file_that_is_not_in_the_folder_gets_the_nearest_that_is() -> None:
    line = _line_of("left.jpg", GOOD)
    assert _said(GOOD, ("front.jpg", "Left.JPG")) == (
        f'job.toml:{line}: photograph left, file: got "left.jpg", wanted a file that is in photographs/. '
        'Did you mean "Left.JPG"?'
    )
    read_job(GOOD, pictures=("front.jpg", "left.jpg"))


@pytest.mark.parametrize("mangle", [lambda t: t.replace("\n", "\r\n"), lambda t: "\ufeff" + t], ids=["CRLF", "BOM"])
def test_files_from_other_editors_read_the_same(mangle: Callable[[str], str]) -> None:
    assert read_job(mangle(GOOD)) == read_job(GOOD)
    assert _said(mangle(TEN_FAULTS)) == TEN_LINES


def test_long_and_short_marks_are_the_same_and_stay_short() -> None:
    long = GOOD.replace('"cap.face" = [2225.9, 1058.2]', '"cap.face" = { px = [2225.9, 1058.2] }')
    assert long != GOOD
    assert read_job(long) == read_job(GOOD)
    assert '"cap.face" = [2225.9, 1058.2]\n' in write_job(read_job(long))


def test_measures_are_kept_as_typed() -> None:
    job = read_job(GOOD.replace('"33.2 mm"', '"1 5/16 in"'))
    assert str(job.readings[0].value) == "1 5/16 in"
    assert job.readings[0].value_mm == 33.3375  # 21/16 x 25.4
    assert job.readings[0].sigma_mm == 0.05  # half of the k = 2 plus-or-minus


def test_the_shop_is_read_alike() -> None:
    text = 'name = "bench"\n[[formers]]\nod = "3/16 in"\nradius = "0 mm"\ngrip = "10 mm"\n[scater]\n'
    text += 'length = "0.6"\nbend = "2 deg"\nrotation = "4 deg"\n'
    with pytest.raises(Refusals) as refused:
        read_shop(text)
    assert str(refused.value) == (
        "shop.toml:4: former 1, radius: got 0 mm, wanted a length above zero. Check the figure and its sign.\n"
        'shop.toml:6: top of the file: got a key "scater", wanted one of its known keys. Did you mean "scatter"?\n'
        "shop.toml:7: scatter, length: got 0.6 without a unit, wanted a length such as 5.6 mm or 3/16 in. "
        "Put the unit behind the number: 0.6 mm."
    )
