"""Unit: what a flat print refuses, and what it says, whole texts compared."""

from __future__ import annotations

import re

import numpy as np
import pytest
from numpy.typing import NDArray

from flat_scenes import FlatScene, carded, flat_scene, knowing, looking
from trialfit.errors import Refusal
from trialfit.sheets.flat_pages import pages_over
from trialfit.sheets.flat_words import basis, proud, stands, white
from trialfit.survey.flat_band import proud_offset_mm, refuse_if_too_proud
from trialfit.survey.flat_limits import Window, lattice_of, refuse_if_nothing
from trialfit.survey.flat_plane import FlatPlane, plane_for
from trialfit.survey.flat_view import FlatView, view_of
from trialfit.survey.flat_window import shown_at, square, useful_window
from trialfit.survey.gather import Sighted

Array = NDArray[np.float64]
MIDDLE = np.array([64.0, 40.0, 0.0])


def _carded(eye: tuple[float, float, float]) -> tuple[FlatScene, FlatView, FlatPlane]:
    made = carded(looking(np.array(eye), MIDDLE))
    seen = view_of(made.job, made.sighted, "p0")
    return made, seen, plane_for(seen, (64.0, 40.0))


def _known(points: list[list[float]], moved: Array | None = None) -> FlatScene:
    at = np.array(points)
    slips = np.zeros((len(at), 2))
    return knowing(looking(np.array([60.0, -200.0, 260.0]), MIDDLE), at, at if moved is None else moved, slips)


def _refused(said: str) -> pytest.RaisesExc[Refusal]:
    return pytest.raises(Refusal, match=f"^{re.escape(said)}$")


def test_a_photograph_the_job_does_not_name() -> None:
    made, _, _ = _carded((64.0, -150.0, 250.0))
    with _refused('photograph "p1": got a name the job does not know, wanted one of its photographs. Name one of p0.'):
        view_of(made.job, made.sighted, "p1")


def test_no_card_and_three_known_points() -> None:
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0]])
    with _refused(
        "p0.jpg: photograph p0: got no card and 3 known points marked in it, wanted at least 6 corners of the card, or "
        "4 known points marked in it that are not in one line. Take a photograph with the whole card in view, or give "
        "four points their `at` and mark them in it."
    ):
        view_of(made.job, made.sighted, "p0")


def test_no_card_and_four_known_points_in_one_line() -> None:
    made = _known([[0, 0, 0], [30, 1, 0], [60, 0, 0], [100, 1, 0]])
    with pytest.raises(Refusal, match="no card and 4 known points in one line"):
        view_of(made.job, made.sighted, "p0")


def test_known_points_that_lie_in_no_plane() -> None:
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0], [0, 80, 25]])
    seen = view_of(made.job, made.sighted, "p0")
    with pytest.raises(Refusal, match=r"out of the plane that fits k0, k1, k2 and k3 best, wanted points in one plane"):
        plane_for(seen, None)
    # Three of them may be named instead.
    assert plane_for(seen, None, ("k0", "k1", "k2")).name == "the plane through k0, k1 and k2"


def test_planes_that_are_none() -> None:
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0], [0, 80, 0], [50, 0.5, 0]])
    seen = view_of(made.job, made.sighted, "p0")
    with _refused(
        "plane: got points k0, k1 and k4, which are nearly in one line, wanted points well off one line. Choose a "
        "point well to one side of the line through the others."
    ):
        plane_for(seen, None, ("k0", "k1", "k4"))
    with _refused("plane: got points k0 and k1, wanted at least three different points. Name other points."):
        plane_for(seen, None, ("k0", "k1"))
    with _refused("point k9: got a name the survey does not know, wanted one of its points. Mark it."):
        plane_for(seen, None, ("k0", "k1", "k9"))


def test_a_plane_seen_too_edge_on() -> None:
    # 300 mm away and 60 mm up: asin(60 / 306) is 11 deg, a little more over what lies nearer.
    _, seen, plane = _carded((64.0, -260.0, 60.0))
    with _refused(
        "photograph p0, the card's plane: got seen edge-on: the line of sight lies at most 13 deg over it, wanted at "
        "least 15 deg. Take a photograph from higher over it, the card in view, or choose another plane with --through."
    ):
        # The near edge of the window, y = 0, is 260 mm off: atan(60 / 260) is 13 deg.
        refuse_if_nothing(seen, plane, lattice_of(seen, plane, Window(0.0, 0.0, 128.0, 80.0)))


def test_a_plane_too_far_away() -> None:
    # 2950 px focal length: 1.8 px a millimetre at about 1.6 m.
    _, seen, plane = _carded((64.0, 40.0 - 10.0, 1600.0))
    with pytest.raises(Refusal, match=r"got at most 1\.8 pixels a millimetre, wanted at least 2"):
        useful_window(seen, plane)


def test_a_place_the_picture_does_not_show() -> None:
    _, seen, plane = _carded((64.0, -150.0, 250.0))
    with pytest.raises(Refusal, match="nothing of it in the picture"):
        useful_window(seen, plane, square(np.array([5000.0, 0.0]), 100.0))


def test_heights_and_sizes_that_make_no_sense() -> None:
    _, seen, plane = _carded((64.0, -150.0, 250.0))
    with _refused(
        "--height: got 130 mm, wanted above nought and less than half of the 250 mm that the lens stood over the "
        "plane. Give how far most things stand out of the plane, such as 5 mm."
    ):
        refuse_if_too_proud(seen, plane, 130.0)
    with _refused("--size: got 5 mm, wanted 20 to 3000 mm. Leave it out for the usual 300 mm."):
        square(np.zeros(2), 5.0)
    with _refused(
        "flat print: got 1200 x 1200 mm, 48 pages, wanted at most 40 pages. Give a smaller --size."
    ):  # ceil(1190 / 150) x ceil(1190 / 200) = 8 x 6
        pages_over(Window(0.0, 0.0, 1200.0, 1200.0), "a4")


def test_a_point_to_print_round() -> None:
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0], [0, 80, 0], [50, 40, 130]])
    seen = view_of(made.job, made.sighted, "p0")
    plane = plane_for(seen, None, ("k0", "k1", "k2"))
    # Half way up to the eye at (60, -200, 260): its ray meets the plane as far beyond it again.
    assert shown_at(seen, plane, "k4") == pytest.approx([40.0, 280.0], abs=0.5)
    with _refused(
        'point k44: got neither surveyed nor marked in the photograph, wanted one that is. Did you mean "k4"?'
    ):
        shown_at(seen, plane, "k44")


def test_a_point_that_stands_over_the_plane_is_said_to() -> None:
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0], [0, 80, 0], [50, 40, 52]])
    seen = view_of(made.job, made.sighted, "p0")
    plane = plane_for(seen, None, ("k0", "k1", "k2"))
    # Eye at (60, -200, 260): its ray goes on by 52 / (260 - 52) = 1/4 of (-10, 240), which is 60.05 mm long.
    said = "k4 is 52.0 mm over the plane: it is printed 60.1 mm too far out, and belongs over x 50.0, y 40.0 mm."
    assert re.sub(r"60\.\d", "60.1", stands(seen, plane, "k4")[0]) == said
    assert stands(seen, plane, "k3") == []
    assert stands(seen, plane, "nothing known") == []


def test_a_print_is_never_a_mirror_image() -> None:
    # Named the other way round the points turn away from the eye; y is turned over.
    made = _known([[0, 0, 0], [100, 0, 0], [100, 80, 0], [0, 80, 0]])
    seen = view_of(made.job, made.sighted, "p0")
    for names in (("k0", "k1", "k2"), ("k1", "k0", "k2"), ("k2", "k1", "k0"), ("k0", "k3", "k1")):
        plane = plane_for(seen, None, names)
        assert (seen.eye_mm - plane.origin_mm) @ plane.normal > 0.0
        assert plane.normal == pytest.approx([0.0, 0.0, 1.0], abs=0.02)


def test_proud_by_similar_triangles() -> None:
    # Eye 250 mm up over (64, -150). At (64, 95), 245 mm off, a thing 5 mm high is printed 245 x 5 / 245 = 5 mm out.
    _, seen, plane = _carded((64.0, -150.0, 250.0))
    assert proud_offset_mm(seen, plane, np.array([[64.0, 95.0]]), 5.0) == pytest.approx(
        np.array([[0.0, 5.0]]), abs=1e-3
    )


def test_what_a_lone_photograph_says_of_itself() -> None:
    made, seen, plane = _carded((64.0, -150.0, 250.0))
    assert seen.alone
    assert basis(seen, plane)[0] == (
        "This photograph stands alone. Its band is never called less than 0.5 mm up to 50 mm from its middle, 0.8 mm "
        "up to 100 mm from its middle and 2.9 mm beyond, counted from the middle of the card: measured on simulated "
        "photographs, not on this one."
    )
    card = made.job.card
    assert card is not None
    unmeasured = made.job.model_copy(update={"card": card.model_copy(update={"check_lines": ()})})
    seen = view_of(unmeasured, made.sighted, "p0")
    assert basis(seen, plane)[-1] == (
        "Nobody measured the card's check lines: the scale of the whole print is 100.0 ± 2.0 % of nominal (k = 2), and "
        "that is in the band."
    )


def test_a_survey_that_fails_leaves_the_photograph_to_stand_alone_and_says_why() -> None:
    made = flat_scene(np.random.default_rng(3), 2)
    job = made.job.model_copy(update={"marks": {"p1": made.job.marks["p1"]}, "readings": ()})
    cards = {"p0": made.sighted.cards["p0"]}
    seen = view_of(job, Sighted(made.sighted.photographs, cards), "p0")
    assert seen.alone
    assert seen.because.startswith("The job's survey cannot be solved (")


def test_where_neither_survey_nor_photograph_will_do_both_are_named() -> None:
    made = flat_scene(np.random.default_rng(3), 2)
    job = made.job.model_copy(update={"marks": {}, "readings": ()})
    seen = Sighted(made.sighted.photographs, {"p1": made.sighted.cards["p1"]})
    with pytest.raises(Refusal, match=r"no card and 0 known points.*The job's survey cannot be solved \("):
        view_of(job, seen, "p0")


def test_words_of_the_sheet() -> None:
    assert proud(5.0) == (
        "What stands proud of the plane is printed too far out. A thing 5 mm proud stands at an arrow's ring and is "
        "printed at its tip; the figure is that distance in mm. 10 mm proud: about twice as far. The band comes on top."
    )
    _, seen, plane = _carded((64.0, -260.0, 120.0))
    assert white(lattice_of(seen, plane, Window(-200.0, -200.0, 300.0, 600.0), 10.0)) == [
        "Left white is what lies outside the photograph; what was seen at less than 15 deg to the plane; what has "
        "fewer than 2 pixels a millimetre in the photograph; what would be more than 3 mm wrong."
    ]
    assert white(lattice_of(seen, plane, Window(50.0, 30.0, 80.0, 60.0), 10.0)) == []
