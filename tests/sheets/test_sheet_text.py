"""Sheets: whole sheets compared as text, against lines written by hand from the figures worked out in conftest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pypdfium2
import pytest

from trialfit.finding import Answer, Figure, Finding
from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.compile import pdf
from trialfit.sheets.pack import Planned, sheets_of
from trialfit.sheets.pipe import pipe_sheet
from trialfit.sheets.summary import summary

from .conftest import Plan

FOOT = "Lengths in mm unless another unit is written. ± is two standard deviations (k = 2)."

CAUTIONS = """
CAUTIONS
! Water and steam under pressure scald and burst. This sheet says what was checked, not that a pipe, joint or boiler is safe: that is for the boiler inspector, the insurer, the local code and licensed practice.
! Prove by water with all air bled out. Air only to find leaks, at the low pressure the code allows, under water.
! Gas torch: nothing near that burns, extinguisher to hand, eyes and hands covered, good draught for flux fume. Watch the place for half an hour after.
! Old silver solder may hold cadmium, whose fume can kill. Do not heat a joint somebody else made unless you know that its solder holds none.
! Pickle: acid into water, never water into acid; goggles and gloves; the work cool before it goes in.
"""  # noqa: E501

PIPE = [
    f"""
PIPE, BENCH SHEET
feed
job heron-feed
revision 2
given 2026-03-14
page 1 of 3
Tube 3/16 in (4.763 mm) outside × 22 swg (0.711 mm) wall, CW024A (phosphorus-deoxidised copper, annealed). Former radius 12.7 mm to the centre line.
feed from the tender union to the clack
From clack.inlet (start) to tender_union.cone (far end).
LOOK Will the far end drop on? 2.3 ± 0.4 mm, limit 1.0 mm
Bend a trial wire first.
CUT LENGTH
116.18 mm ± 0.55 mm (k = 2)
nearest 1/64: 4 37/64 in (+0.100 mm)
Bend table ± is two standard deviations (k = 2)
bend feed: straight before
turn from the bend before bend to set bender to begins at ends at
1
36.17 mm
± 0.31 mm
–
any way up
60.0 deg
± 0.7 deg
62.3 deg
± 0.8 deg
36.17 mm
± 0.31 mm
49.47 mm
± 0.35 mm
2
24.97 mm
± 0.42 mm
30.0 deg
clockwise
± 1.4 deg
90.0 deg
± 0.6 deg
93.5 deg
± 0.9 deg
74.43 mm
± 0.48 mm
94.38 mm
± 0.52 mm
After the last bend 21.80 ± 0.30 mm straight to the sawn end, 0.50 mm of it to file off. Centre line from face to face 108.18 ± 0.55 mm. The turn is seen along the tube from its start end: the leg before the bend just made lies on 0, the next leg goes off at the turn.
The straight tube, marked out true size; distances from the start end in mm
bend 1 bend 2
0
36.17
49.47
74.43
94.38
116.18
start far end
At the bench
1 Measure both bars on the page of the gauges. Check each bend on its gauge before the next.
2 Saw 116.18 mm of soft tube, square, and clear the burr. Mark one end START: measure from there.
3 Slide the union nuts on now, threads towards their own ends: they will not pass a bend or a soldered cone.
4 Bend 1, 36.17 mm to 49.47 mm: set 62.3 deg, for 60.0 deg once sprung back.
5 Turn 30.0 deg clockwise by the disc. Bend 2, 74.43 mm to 94.38 mm: set 93.5 deg, for 90.0 deg once sprung back.
6 Lay it on the views. Try both sockets: file the far end back, 0.50 mm at most, until both ends seat.
{FOOT}
""",  # noqa: E501
    f"""
PIPE, BENCH SHEET
feed
job heron-feed
revision 2
given 2026-03-14
page 2 of 3
As it should look true size; below from the front, above it from above; legs from corner to corner
65.8 mm
6.7 mm
start
far end
bend 1: 60.0 deg bend 2: 90.0 deg
leg 1: 40.00 mm
leg 2: 45.00 mm
leg 3: 30.00 mm
12.1 mm
start
far end
bend 1
bend 2
The ends in their sockets the block stands for the fitting, whose own shape is not drawn
face
3.50 mm
start: clack.inlet, drawn 2:1
face
4.00 mm
far end: tender_union.cone, drawn 2:1
What a slip does to the far end
slip moves it turns it
1 deg at bend 1 1.10 mm 1.0 deg
1 deg of rotation before bend 2 0.52 mm 1.0 deg
1 mm on leg 2 1.00 mm 0.0 deg
How it lands
– Off its face: up to 0.60 mm from the survey, 2.30 mm from the bench.
– Out of line with its union: up to 0.8 deg from the survey, 4.1 deg from the bench.
Assumed
– Bench scatter 0.6 mm a length, 2 deg a bend, 4 deg a turn, k = 2 [assumed: common practice, no source].
– Spring-back in proportion to the 90 deg test piece [assumed].
{CAUTIONS}
{FOOT}
""",
    f"""
100.0 mm
100.0 mm
Each of these two bars is 100.0 mm: measure both. If either is not, the print was scaled; do not use the gauges.
PIPE, BENCH SHEET
feed
job heron-feed
revision 2
given 2026-03-14
page 3 of 3
Bend gauges, true size lay the bent tube on: it must lie between the heavy lines
bend 1: 60.0 deg
R 12.70 mm, tube 4.76 mm
bend 2: 90.0 deg
R 12.70 mm, tube 4.76 mm
Turn disc, true size hole 4.76 mm: cut out and slip over the tube
DISC
anticlockwise clockwise
1 Glue it to thin card, cut it out, cut the hole to a push fit. The dashed line may be slit to pass a nut.
2 Slip it on the straight after the bend just made, this face towards the start end. Line 0 up with the leg before that bend, sighting along the tube, and tape it there.
3 Turn tube and disc together until the mark of the next bend points the way the bender will pull the tube.
{FOOT}
""",  # noqa: E501
]

SUMMARY = f"""
JOB SUMMARY
Heron
job heron-feed
revision 2
given 2026-03-14
page 1 of 2
Owner B. Larkfield
Engine Heron, 3 1/2 in gauge
Working pressure 80 psi by the gauge (5.5 bar)
What happened The feed pipe broke off at the clack when the tender came away.
Findings 1 stop, 1 look, 1 go.
STOP Is there room for the straight at the union? (fitup: blower)
– The straight stands 0.2 mm inside the boiler.
Do: Turn the union by 30 deg.
LOOK Will the far end drop on? (fitup: feed) 2.3 ± 0.4 mm, limit 1.0 mm
– A union pulls in what is under the limit. [common practice]
Do: Bend a trial wire first.
GO Does the nut mate with the clack? (parts: feed)
– Both are 1/4 x 40. [the owner's reading]
Pipes
– feed: 2 bends, cut length 116.18 ± 0.55 mm. See its bench sheet.
Where the points are mm in the card's frame: x long side, y short side, z out of the print; ± is k = 2
point what it is x mm y mm z mm views
clack.face middle of the clack's lower face 82.10 ± 0.21 31.51 ± 0.18 47.97 ± 0.30 2
union.face -4.20 ± 0.25 12.00 ± 0.20 60.25 ± 0.40 2
What could not be fixed, and what to do
nut.corner It is marked in one photograph only.
Do: Mark it in a second one.
How well it agrees the worst first; off in its own standard deviations
All together: chi-square 101.3 on 96 degrees of freedom.
The card came out at 1.0012 ± 0.0010 of its nominal length and 0.9991 ± 0.0012 of its nominal width.
mark, reading or known point off by deviations
reading clack.face to union.face 0.41 mm -2.6
mark clack.face in above 1.24 px 0.8
Photographs used
photograph file phone card note
left left.jpg owner 24 corners from the left, card in view
above above.jpg owner no card seen
Assumed
– A union pulls in what is under the limit. [common practice]
– The card is as large as it should be, to 1 % [assumed: none of its check lines was measured].
– Formers and scatter are those of the assumed workshop [assumed: common practice, no source].
{FOOT}
JOB SUMMARY
Heron
job heron-feed
revision 2
given 2026-03-14
page 2 of 2
{CAUTIONS}
{FOOT}
"""


def pages_of(made: bytes) -> list[str]:
    """Text of each page in the order it was set."""
    document = pypdfium2.PdfDocument(made)
    return [document[place].get_textpage().get_text_range() for place in range(len(document))]


def _same(got: str, wanted: str) -> None:
    """Word for word and in order; where the paper's width breaks a line is not the sheet's meaning."""
    assert got.split() == wanted.split()


def _own(findings: Sequence[Finding]) -> list[Finding]:
    return [finding for finding in findings if finding.about == "feed"]


def test_a_pipes_bench_sheet(job: Job, shop: Shop, pipe: PipePlan, findings: tuple[Finding, ...]) -> None:
    pages = pages_of(pdf("pipe.typ", pipe_sheet(job, pipe, shop, _own(findings)), "pipe", job.job.date))
    assert len(pages) == 3
    _same(pages[0], PIPE[0])
    _same(pages[1], PIPE[1])
    # The disc's figures run round in a circle; they are counted, not read in a row.
    before, _, rest = pages[2].partition("cut out and slip over the tube")
    disc, _, after = rest.partition("anticlockwise")
    _same(f"{before}cut out and slip over the tube\nDISC\nanticlockwise{after}", PIPE[2])
    figures = disc.replace("leg before", " ").replace("bend 2: 30.0 deg", " ").split()
    assert sorted(map(int, figures)) == sorted([0, 180, *(2 * list(range(10, 180, 10)))])


def test_a_jobs_summary(plan: Planned) -> None:
    record = summary(plan.job, plan.survey, plan.findings, plan.pipes, plan.shop)
    _same("\n".join(pages_of(pdf("summary.typ", record, "summary", plan.job.job.date))), SUMMARY)


def test_what_stops_a_pipe_or_a_joint_of_its_ends_heads_its_sheet(plan: Plan) -> None:
    about = ("feed", "feed.end and tender_cone.socket", "feedback.end and clack.inlet", "feed2")
    stops = tuple(Finding("parts", each, f"About {each}?", Answer.STOP) for each in about)
    page = pages_of(sheets_of(replace(plan, findings=stops))["pipe-feed.pdf"])[0]
    before = page.partition("CUT LENGTH")[0].split("\r\n")[-3:-1]
    assert before == ["STOP About feed?", "STOP About feed.end and tender_cone.socket?"]


def test_a_pipe_without_a_test_piece_says_to_measure(job: Job, shop: Shop, pipe: PipePlan) -> None:
    bends = tuple(replace(bend, set_to=None) for bend in pipe.bends)
    record = pipe_sheet(job, replace(pipe, bends=bends), shop)
    assert [bend["cells"][3] for bend in record["bends"]] == [
        {"main": "no test piece yet", "small": "measure, correct"},
        {"main": "no test piece yet", "small": "measure, correct"},
    ]
    assert record["steps"][3] == "Bend 1, 36.17 mm to 49.47 mm: 60.0 deg once sprung back."
    assert record["assumed"][1] == "Spring-back: nothing allowed for where there is no test piece yet."


def test_a_chosen_figure_has_no_plus_or_minus_and_says_so(job: Job, shop: Shop, pipe: PipePlan) -> None:
    chosen = replace(pipe.bends[0], feed=Figure(17.5, "mm"))
    record = pipe_sheet(job, replace(pipe, bends=(chosen, pipe.bends[1])), shop)
    assert record["bends"][0]["cells"][0] == {"main": "17.50 mm", "small": "as chosen"}


@pytest.mark.parametrize(
    ("turn_deg", "words"),
    [
        (30.0, "30.0 deg\nclockwise"),
        (-111.08, "111.1 deg\nanticlockwise"),
        (180.0, "180.0 deg"),
        (-179.98, "180.0 deg"),
        (-0.02, "0.0 deg"),
    ],
)
def test_a_turn_is_written_with_its_way_round_and_no_sign(
    job: Job, shop: Shop, pipe: PipePlan, turn_deg: float, words: str
) -> None:
    bends = (pipe.bends[0], replace(pipe.bends[1], rotation=Figure(turn_deg, "deg", 1.4, 1)))
    cell = pipe_sheet(job, replace(pipe, bends=bends), shop)["bends"][1]["cells"][1]
    assert f"{cell['main']}\n{cell['small']}" == f"{words}\n± 1.4 deg"


def test_a_straight_pipe_has_no_bends_gauges_or_disc(job: Job, shop: Shop, pipe: PipePlan) -> None:
    corners = pipe.vertices_mm[[0, 1]]
    record = pipe_sheet(job, replace(pipe, bends=(), vertices_mm=corners, legs=pipe.legs[:1]), shop)
    assert (record["bends"], record["gauges"], record["disc"]) == ([], [], None)
    assert record["steps"] == [
        "Saw 116.18 mm of soft tube, square, and clear the burr. Mark one end START: measure from there.",
        "Slide the union nuts on now, threads towards their own ends: they will not pass a bend or a soldered cone.",
        "Try both sockets: file the far end back, 0.50 mm at most, until both ends seat.",
    ]
    assert len(pages_of(pdf("pipe.typ", record, "pipe", job.job.date))) == 2
