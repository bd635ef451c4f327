"""Unit: a union that stands, moved along its pipe until a spanner can be swung on its nut; figures by hand."""

from __future__ import annotations

import pytest

from trialfit.finding import Answer
from trialfit.fitup.order.moved_findings import QUESTION
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.plan import Plan, plan

# Two blocks look at each other, 200 mm apart along x; a union stands between, its face at 97 and its root at 113 mm.
# The nut on its face, 9.1 mm across flats and 10 long with 6 mm on the thread, lies in a trough that begins at FROM and
# is LONG, 30 mm wide and open at the top, whose sides no spanner's handle goes past.
RUN = """
format = 1
[job]
name = "run"
owner = "H. Wrenfield"
date = 2026-03-14
[engine]
name = "Greylag"
working_pressure = "80 psi"
[points]
left = { at = ["0 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
left_back = { at = ["-30 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
right = { at = ["200 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
right_back = { at = ["230 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
face = { at = ["97 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
root = { at = ["113 mm", "0 mm", "0 mm"], pm = "0.1 mm", by = "typed" }
[bodies.floor]
shape = "box"
corner = ["FROM mm", "-40 mm", "-40 mm"]
size = ["LONG mm", "25 mm", "80 mm"]
[bodies.near_side]
shape = "box"
corner = ["FROM mm", "-15 mm", "-40 mm"]
size = ["LONG mm", "80 mm", "25 mm"]
[bodies.far_side]
shape = "box"
corner = ["FROM mm", "-15 mm", "15 mm"]
size = ["LONG mm", "80 mm", "25 mm"]
[parts.left_block]
kind = "bush"
[parts.left_block.ports]
thread = { thread = "5/16x32", gender = "female", face = "left", axis_from = "left_back" }
[parts.left_block.envelope.body]
shape = "cylinder"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-20 mm"]
diameter = "12 mm"
[parts.middle]
kind = "union body"
[parts.middle.ports]
face = { thread = "5/16x32", gender = "male", face = "face", axis_from = "root" }
ROOT
[parts.middle.envelope.body]
shape = "cylinder"
start = ["0 mm", "0 mm", "-16 mm"]
end = ["0 mm", "0 mm", "0 mm"]
diameter = "7.9 mm"
[parts.nut]
kind = "union nut"
[parts.nut.ports]
thread = { thread = "5/16x32", gender = "female" }
[parts.nut.envelope.hexagon]
shape = "hexagon"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-10 mm"]
flats = "9.1 mm"
[[joints]]
a = "nut.thread"
b = "middle.face"
hidden = "6 mm"
[pipes.first]
tube = { od = "3/16 in", wall = "22 swg" }
start = { port = "left_block.thread", straight = "14 mm", enters = "0 mm" }
end = { port = "middle.face", straight = "14 mm", enters = "0 mm" }
file_allowance = "0.5 mm"
"""
SECOND = """
[parts.right_block]
kind = "bush"
[parts.right_block.ports]
thread = { thread = "5/16x32", gender = "female", face = "right", axis_from = "right_back" }
[parts.right_block.envelope.body]
shape = "cylinder"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-20 mm"]
diameter = "12 mm"
[pipes.second]
tube = { od = "3/16 in", wall = "22 swg" }
start = { port = "middle.root", straight = "14 mm", enters = "0 mm" }
end = { port = "right_block.thread", straight = "14 mm", enters = "0 mm" }
file_allowance = "0.5 mm"
"""
IN_A_RUN = 'root = { thread = "5/16x32", gender = "male", face = "root", axis_from = "face" }'


def planned(begins_mm: float, ends_mm: float, in_a_run: bool) -> Plan:
    text = RUN.replace("ROOT", IN_A_RUN if in_a_run else "") + (SECOND if in_a_run else "")
    return plan(
        read_job(text.replace("FROM", f"{begins_mm:g}").replace("LONG", f"{ends_mm - begins_mm:g}")), assumed_shop()
    )


@pytest.fixture
def only_unions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Other changes take longer to try, and are not looked at here."""
    monkeypatch.setattr("trialfit.fitup.order.plan.freeing", lambda *_: ())


def told(worked: Plan) -> tuple[list[str], str, str]:
    assert worked.fitting is not None
    (finding,) = [each for each in worked.fitting.findings if each.question == QUESTION]
    assert finding.answer is Answer.LOOK
    return [str(each) for each in finding.because], str(finding.figure), finding.do


@pytest.mark.usefixtures("only_unions")
def test_a_union_in_a_run_is_slid_until_its_nut_is_past_the_trough() -> None:
    """The nut lies from 93 to 103, so its spanner, 0.45 x 9.1 = 4.1 mm thick, from 95.95 to 100.05.

    The trough begins at 94: with 6 mm the spanner still stands 0.05 mm in it, with 7 it is out. The other way it would
    take 110 - 95.95 = 14.05 mm. Then the first pipe is 97 - 7 long and the second 87 + 7, and 0.5 for the file.
    Its k = 2: of the face 0.1 mm, and 1 mm assumed of a body of which nobody says it: (0.1^2 + 1^2)^0.5.
    """
    worked = planned(94.0, 110.0, in_a_run=True)
    because, figure, do = told(worked)
    assert figure == "7.0 ± 1.0 mm"
    assert because[0] == (
        "With middle moved 7 mm along its run, into first, and both pipes laid out anew by the same rules, everything "
        "goes on; with 6 mm it does not."
    )
    assert because[1].startswith("first is then cut to 90.50 ± ") and because[1].endswith(
        "instead of 97.50 mm, and has 0 bends."
    )
    assert because[2].startswith("second is then cut to 94.50 ± ")
    assert because[3].endswith("With that added, 8 mm, it was tried too, and goes.")
    assert do.startswith(
        "Have middle carried 8 mm along, with whatever holds it, and saw first to 89.5 mm and second to 95.5 mm; "
    )
    assert worked.fitting is not None and worked.fitting.findings[0].do == (
        "One of these alone frees it, each tried: middle moved 7 mm along its run, into first."
    )


@pytest.mark.parametrize(("moved_mm", "goes"), [(6.0, False), (7.0, True)])
@pytest.mark.usefixtures("only_unions")
def test_what_is_said_to_free_it_does_where_the_job_has_it_so(
    moved_mm: float, goes: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same job with its union written where it is said to be moved to."""
    monkeypatch.setattr("trialfit.fitup.order.plan.moves_that_free", lambda *_: None)
    text = (RUN.replace("ROOT", IN_A_RUN) + SECOND).replace("FROM", "94").replace("LONG", "16")
    text = text.replace('"97 mm"', f'"{97 - moved_mm:g} mm"').replace('"113 mm"', f'"{113 - moved_mm:g} mm"')
    fitting = plan(read_job(text), assumed_shop()).fitting
    assert fitting is not None and bool(fitting.steps) is goes


@pytest.mark.usefixtures("only_unions")
def test_a_union_at_the_end_of_a_run_is_brought_out_by_a_distance_piece() -> None:
    """The trough begins at 80: the spanner has to go 100.05 - 80 = 20.05 mm; two nuts are 20 mm."""
    because, figure, do = told(planned(80.0, 112.0, in_a_run=False))
    assert figure == "21.0 ± 1.0 mm"
    assert because[0] == (
        "With middle brought 21 mm out along first by a distance piece, and the pipe laid out anew by the same rules, "
        "everything goes on; with 20 mm it does not."
    )
    assert because[1].startswith("first is then cut to 76.50 ± ")
    # With the 1 mm of k = 2.
    assert do.startswith(
        "Turn a distance piece 22 mm long for middle, with its thread and seat, and saw first to 75.5 mm;"
    )


@pytest.mark.usefixtures("only_unions")
def test_where_no_move_frees_it_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A trough from 40 to 150 mm: 20 and 25 mm of a distance piece leave the spanner in it, at 71 mm or more."""
    monkeypatch.setattr("trialfit.fitup.order.moved_unions.MOST_MM", 5.0)
    worked = planned(40.0, 150.0, in_a_run=False)
    because, figure, _ = told(worked)
    assert figure == "4 moves tried"
    assert because[0] == (
        "4 moves of left_block or middle, out along a pipe by a distance piece, each with its pipes laid out anew: "
        "none frees it."
    )
    assert because[-1].startswith("Not tried: a union moved round a bend or turned")
    assert worked.fitting is not None
    assert worked.fitting.findings[0].do.endswith("left loose, one more union, a union moved along its pipe.")
