"""Unit: routes among obstacles, old routes followed, spanners and gaps, on arrangements worked by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from route_scenes import ALLOWED, BENDER, TUBE_RADIUS_MM
from trialfit.errors import Refusal
from trialfit.finding import Answer, Figure
from trialfit.fitup.bends import bend_table, replay, start_pose
from trialfit.fitup.chance import drops_on, fixed_draws, strays_drawn
from trialfit.fitup.hand_spanner import HandSpanner
from trialfit.fitup.landing import Scatter
from trialfit.fitup.obstacles import Around, Obstacle
from trialfit.fitup.offer import offer_of
from trialfit.fitup.old_route import OldTube, followed
from trialfit.fitup.order.loose import Grip
from trialfit.fitup.pipe import Surroundings, allowed_misses, pipe_between
from trialfit.fitup.records import Array, EndFace, PipePlan, TubeStock
from trialfit.fitup.route import way_among
from trialfit.fitup.route_findings import route_findings
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.spanner_swing import Swing, sampled, swing_on, windows
from trialfit.fitup.ways import ways_of
from trialfit.fitup.ways_out import union_play
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid

TUBE = TubeStock(2 * TUBE_RADIUS_MM, 0.7, "CW024A")
SCATTER = Scatter(0.6, 2.0, 4.0)
STILL = Scatter(0.0, 0.0, 0.0)
SURE = np.zeros((12, 12))


def face(name: str, at: tuple[float, float, float], way: tuple[float, float, float], straight: float = 14.0) -> EndFace:
    return EndFace(name, np.array(at, dtype=np.float64), np.array(way, dtype=np.float64), straight, 3.0)


def post(x: float, y: float, radius: float) -> Cylinder:
    """A round post along z through the plane of the pipe."""
    return Cylinder(np.array([x, y, -50.0]), np.array([x, y, 50.0]), radius)


def laid(
    start: EndFace,
    end: EndFace,
    obstacles: list[Obstacle],
    bends_most: int = 2,
    covariance: Array = SURE,
    scatter: Scatter = STILL,
) -> PipePlan:
    around = Surroundings(Around(tuple(obstacles), TUBE_RADIUS_MM), wanted=Figure(2.0, "mm", None, 1), assumed=True)
    return pipe_between("feed", start, end, covariance, TUBE, 12.7, 10.0, 0.5, scatter, None, bends_most, around)


def stops(pipe: PipePlan) -> list[str]:
    return [each.sentence for each in pipe.routing.stopped]


LINE = face("a", (0, 0, 0), (1, 0, 0)), face("b", (150, 0, 0), (-1, 0, 0))


def test_a_straight_pipe_past_a_post_is_gapped_by_hand() -> None:
    """A post of radius 6, its middle 12 off the line at x = 60: 12 - 6 - 2.38 = 3.62 from skin to skin."""
    pipe = laid(*LINE, [Obstacle("post", "", post(60, 12, 6), 2.0)])
    (only,) = pipe.routing.passes
    assert (only.by, only.where, str(only.at), str(only.gap)) == ("post", "on its way", "60 mm", "3.6 mm")
    assert pipe.routing.stopped == ()
    (finding,) = route_findings(pipe)
    assert (finding.question, finding.answer, finding.do) == ("Does its way clear everything?", Answer.GO, "")
    assert [str(reason) for reason in finding.because] == [
        "On its way, 60 mm from the start face, it passes post at 3.6 mm (how surely it stands there is not known); "
        "2.0 mm is wanted.",
        "A clearance of 2.0 mm is taken to be wanted; no published figure was found for pipes of this size. [assumed]",
        "Plus-or-minus: of both faces, of the thing's own place and of the bench; pipe and thing are taken as "
        "independent, and the pipe between its unions as following each the more the nearer it is. [assumed]",
    ]


def test_a_post_in_the_way_of_a_straight_pipe_is_gone_round() -> None:
    """The post 5 off the line: 5 - 6 - 2.38 is 3.4 mm inside. Two bends on parallel axes make no offset of nought."""
    with pytest.raises(Refusal) as refused:
        laid(*LINE, [Obstacle("post", "", post(60, 5, 6), 2.0)])
    fault = refused.value.fault
    assert "no bend, 150.0 mm: on its way, 60 mm from the start face, it would stand 3.4 mm inside post" in fault.got
    assert "With three bends there is one: write bends_most = 3" in fault.remedy
    assert "without post there is one: look at where it stands and how large it is said to be" in fault.remedy
    pipe = laid(*LINE, [Obstacle("post", "", post(60, 5, 6), 2.0)], 3)
    assert len(pipe.bends) == 3
    # It bulges away from the post by at least 2 + 2.38 + 6 - 5 and lands where it should.
    assert pipe.routing.passes[0].gap.value == pytest.approx(2.0, abs=0.05)
    table = bend_table(pipe.vertices_mm, 12.7)
    there = replay(table, start_pose(pipe.vertices_mm))
    assert there.position_mm == pytest.approx(np.array([150, 0, 0]), abs=1e-9)
    assert there.direction == pytest.approx(np.array([1, 0, 0]), abs=1e-9)
    # The least a bulge of so much can take: three bends of small angle lengthen it by under 5 mm here.
    assert 150 < pipe.centre_line.value < 155


def test_the_straight_that_an_end_needs_is_looked_at_first() -> None:
    """A wall along the line, 2.18 to the side of its middle: the tube, of radius 2.38, stands 0.2 inside it."""
    wall = Obstacle("boiler", "", HalfSpace(np.array([0, -2.18, 0.0]), np.array([0, 1.0, 0])), 2.0)
    with pytest.raises(Refusal) as refused:
        laid(*LINE, [wall])
    fault = refused.value.fault
    assert fault.got == (
        "the straight needed at a already stands 0.2 mm inside boiler; "
        "the straight needed at b already stands 0.2 mm inside boiler"
    )
    assert fault.wanted == "straights at both ends that stand clear of everything"
    assert fault.remedy == (
        "Look at where the survey has both faces and boiler, and at their sizes; or ask for less straight there."
    )


def test_its_own_fitting_is_passed_over_along_its_straight_alone() -> None:
    """The body round face a reaches 10 mm out: within the straight of 14 it is let in, elsewhere it would be inside."""
    body = Obstacle("valve", "body", Cylinder(np.array([-20, 0, 0.0]), np.array([10, 0, 0.0]), 8.0), 2.0, near="start")
    around = Surroundings(Around((body,), TUBE_RADIUS_MM, (14.0, 14.0)))
    pipe = pipe_between("feed", *LINE, SURE, TUBE, 12.7, 10.0, 0.5, STILL, surroundings=around)
    # The first place that counts is 14 mm out, 4 from the body's end: 4 - 2.38.
    assert str(pipe.routing.passes[0].gap) == "1.6 mm"


def test_less_clearance_is_kept_where_all_of_it_has_no_way() -> None:
    """Two walls 7.6 mm apart round the line leave 3.8 - 2.38 = 1.42 each side: with 1 mm it goes, with 1.5 not."""
    walls = [
        Obstacle(name, "", Box(np.array([75, side * 53.8, 0.0]), np.eye(3), np.array([20.0, 50, 200])), 2.0)
        for name, side in (("frame", 1), ("tank", -1))
    ]
    pipe = laid(*LINE, walls)
    assert str(pipe.routing.kept) == "1.0 mm"
    assert [str(each.gap) for each in pipe.routing.passes] == ["1.4 mm", "1.4 mm"]
    (finding,) = route_findings(pipe)
    assert (finding.answer, str(finding.figure), str(finding.limit)) == (Answer.LOOK, "1.4 mm", "2.0 mm")
    texts = [reason.text for reason in finding.because]
    assert "With 2.0 mm all round no way was found; this one was sought with 1.0 mm." in texts


@pytest.mark.parametrize(
    ("radius", "answer"),
    # The post 20 off the line. Gap 20 - radius - 2.38, k = 2 of 2 sqrt(0.6^2 + 0.8^2) = 2.0.
    [(13.0, Answer.GO), (16.5, Answer.LOOK), (20.5, Answer.STOP)],
)
def test_survey_and_bench_decide_between_go_look_and_stop(radius: float, answer: Answer) -> None:
    """Both faces known to 0.6 mm (one sigma) and moving alike, the post to 0.8: 2 (0.6^2 + 0.8^2)^0.5 = 2.0 mm."""
    moves = np.zeros((12, 12))
    for one in (0, 6):
        for other in (0, 6):
            moves[one : one + 3, other : other + 3] = 0.6**2 * np.eye(3)
    place = np.diag([0.8**2] * 3 + [0.0] * 3)
    thing = Obstacle("post", "", post(60, 20, radius), -9.0, 0.0, "", place, np.array([60.0, 20.0, 0.0]))
    pipe = laid(*LINE, [thing], covariance=moves)
    (only,) = pipe.routing.passes
    assert only.gap.k2 == pytest.approx(2.0, abs=1e-3)
    assert only.gap.value == pytest.approx(20 - radius - 2.38, abs=0.01)
    assert only.placed
    finding = route_findings(pipe)[0]
    assert finding.answer is answer
    assert bool(finding.do) is (answer is not Answer.GO)


def test_a_thing_that_turns_moves_by_its_lever() -> None:
    """A post that may lean 0.01 rad (one sigma) about a point 50 mm from where the pipe passes: 2 x 0.5 = 1.0 mm."""
    lean = np.diag([0.0, 0.0, 0.0, 0.01**2, 0.0, 0.0])
    thing = Obstacle("post", "", post(60, 12, 6), 0.0, 0.0, "", lean, np.array([60.0, 12.0, -50.0]))
    (only,) = laid(*LINE, [thing]).routing.passes
    assert only.gap.k2 == pytest.approx(1.0, abs=1e-3)


def test_the_bench_moves_the_middle_of_a_pipe_whose_ends_are_home() -> None:
    """Two legs of 80 - 12.7 mm round one right angle, the bend 1 deg out (one sigma): by hand, off the bisector.

    Turned about the corner's arc, half of 1 deg of bend stands before the middle of the bend. Its end is off by
    about 0.01745 x 80 and is drawn back in proportion: at the middle, half way along, by half of that. What is left
    is less than 0.01745 x 80 / 2 = 0.70 mm (one sigma), and more than nought.
    """
    start, end = face("a", (0, 0, 0), (1, 0, 0)), face("b", (80, 80, 0), (0, -1, 0))
    ball = Capsule(np.array([70.0, 10.0, 0.0]), np.array([70.0, 10.0, 0.0]), 1.0)
    pipe = laid(start, end, [Obstacle("ball", "", ball, 0.0)], scatter=Scatter(0.0, 2.0, 0.0))
    (only,) = pipe.routing.passes
    assert only.where == "in bend 1"
    assert only.gap.k2 is not None
    assert 0.1 < only.gap.k2 < 1.4


def three_bends() -> PipePlan:
    start, end = face("a", (0, 0, 0), (-1, 0, 0)), face("b", (30, 0, 0), (1, 0, 0))
    covariance = np.diag([0.1**2] * 3 + [0.003**2] * 3 + [0.1**2] * 3 + [0.003**2] * 3)
    return laid(start, end, [], 3, covariance, SCATTER)


def test_faces_back_to_back_take_three_bends() -> None:
    """Both look away from each other: round in a plane, the angles add up to 360 deg.

    The equal way has 120 deg thrice: 14 + 26.6 + (102 - 44) + 26.6 + 58 + 26.6 + 14 = 223.8 mm. With less straight
    between the bends and other angles it is shorter: the shortest cannot be under the arcs of 360 deg, 79.8, and four
    straights of 14, 10, 10 and 14: 127.8 mm.
    """
    pipe = three_bends()
    assert len(pipe.bends) == 3
    assert 127.8 < pipe.centre_line.value < 223.8
    table = bend_table(pipe.vertices_mm, 12.7)
    assert replay(table, start_pose(pipe.vertices_mm)).position_mm == pytest.approx(np.array([30, 0, 0]), abs=1e-9)
    assert min(table.straights_mm) >= 10 - 1e-6
    assert [bend.number for bend in pipe.bends] == [1, 2, 3]


def test_strays_and_chance_of_three_bends_agree_with_pipes_replayed_one_by_one() -> None:
    """The far end of 4000 mismade pipes against the spread that landing and chance go by; 4 % is sampling."""
    pipe = three_bends()
    offer = offer_of(pipe, np.zeros((12, 12)), SCATTER)
    table, begin = bend_table(pipe.vertices_mm, 12.7), start_pose(pipe.vertices_mm)
    random = np.random.default_rng(3)
    ends = []
    for _ in range(4000):
        lines = tuple(
            replace(
                line,
                feed_mm=line.feed_mm + random.normal(0, 0.3),
                rotation_deg=line.rotation_deg + (random.normal(0, 2) if k else 0.0),
                angle_deg=line.angle_deg + random.normal(0, 1),
            )
            for k, line in enumerate(table.lines)
        )
        slipped = replace(table, lines=lines, last_straight_mm=table.last_straight_mm + random.normal(0, 0.3))
        ends.append(replay(slipped, begin).position_mm)
    found = np.sqrt(np.linalg.eigvalsh(np.cov(np.array(ends).T)))
    assert found == pytest.approx(np.sqrt(np.linalg.eigvalsh(offer.bench[:3, :3])), rel=0.05)
    share = drops_on(offer, strays_drawn(offer, offer.bench, fixed_draws()), union_play()).mean()
    assert 0 < share < 1


def test_axes_exactly_in_one_line_have_an_allowed_miss() -> None:
    """Exactly in line and known to something: the miss is that of the straight pipe; one bend would be of nothing."""
    unsure = np.diag([0.3**2] * 3 + [0.01**2] * 3 + [0.3**2] * 3 + [0.01**2] * 3)
    none, one = allowed_misses(*LINE, unsure)
    # k = 2 of one end: 2 (0.01^2 + (0.3 / 150)^2 x 2)^0.5 rad is 1.19 deg, over the most that is allowed.
    assert none == (1.0, 1.0)
    assert one == (0.3, 0.3)
    assert len(pipe_between("p", *LINE, unsure, TUBE, 12.7, 10.0, 0.5, SCATTER).bends) == 0


def old(corners: Sequence[tuple[float, float, float]], radius: float | None = 12.7) -> OldTube:
    vertices = np.array(corners, dtype=np.float64)
    return OldTube("old_feed", vertices, np.full_like(vertices, 0.5), radius)


BOX = face("a", (0, 0, 0), (1, 0, 0)), face("b", (100, 100, 100), (0, 0, -1))


@pytest.mark.parametrize("turned", [False, True])
def test_an_old_route_is_followed_corner_by_corner(turned: bool) -> None:
    """The old corners lie 1 and 2 mm off the new axes; the new ones nearest to them, so many millimetres away."""
    corners = [(0.0, 1, 0), (90.0, 1, 0), (102.0, 100, 20), (102.0, 100, 100)]
    path, route = followed(*BOX, BENDER, old(corners[::-1] if turned else corners))
    expected = [(0, 0, 0), (90, 0, 0), (100, 100, 20), (100, 100, 100)]
    assert path.vertices_mm == pytest.approx(np.array(expected, dtype=np.float64), abs=1e-9)
    assert route.reversed is turned
    # The last leg stands 2 mm off all along, and nothing more than that.
    assert str(route.departs) == "2.0 ± 0.5 mm"


def test_an_old_route_goes_out_where_the_new_straight_wants_more() -> None:
    """The first old corner 20 mm out: the bend there takes more than 20 - 14 = 6 mm of it, so the corner goes out."""
    path, _ = followed(*BOX, BENDER, old([(0, 0, 0), (20, 0, 0), (100, 100, 20), (100, 100, 100)]))
    assert path.straights_mm[0] == pytest.approx(14.0, abs=1e-9)
    assert path.vertices_mm[2] == pytest.approx(np.array([100, 100, 20.0]), abs=0.6)


def test_an_old_route_of_four_bends_keeps_its_inner_corners() -> None:
    corners = [(0, 0.5, 0), (50, 0.5, 0), (50, 60, 0), (100, 60, 30), (100, 100, 30), (100, 100, 99)]
    path, route = followed(*BOX, BENDER, old(corners))
    assert path.vertices_mm[2:4] == pytest.approx(np.array(corners[2:4], dtype=np.float64))
    assert path.vertices_mm[1] == pytest.approx(np.array([50, 0, 0]))
    assert path.misses_deg == pytest.approx((0.0, 0.0), abs=1e-6)
    # Half a millimetre aside, and the first bend turned a little with it.
    assert route.departs.value == pytest.approx(0.5, abs=0.05)


def test_an_old_route_that_leaves_too_little_straight_is_refused_with_the_place() -> None:
    """Corners 30 mm apart between two right angles leave 30 - 2 x 12.7 = 4.6 mm, where 10 is wanted."""
    start, end = face("a", (0, 0, 0), (1, 0, 0)), face("b", (100, 30, 0), (-1, 0, 0))
    with pytest.raises(Refusal) as refused:
        followed(start, end, BENDER, old([(0, 0, 0), (50, 0, 0), (50, 30, 0), (100, 30, 0)]), "pipe feed")
    assert refused.value.fault.what == "pipe feed, like old_feed"
    assert refused.value.fault.got == "4.6 mm straight between bends 1 and 2, where 10.0 is wanted"
    with pytest.raises(Refusal, match="an old pipe without a bend"):
        followed(start, end, BENDER, old([(0, 0, 0), (90, 30, 0)]))


def handle_at(turn_deg: float) -> Solid:
    """A post 60 mm out from a nut at the origin whose axis is z, at so many degrees from x."""
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return post(60 * c, 60 * s, 5.0)


def spanner(solids: Sequence[Solid], at: tuple[float, float, float] = (0, 0, 0), length_mm: float = 100.0) -> Swing:
    """A 10 mm nut whose axis is z, with a spanner whose handle is 6 mm wide, and what stands round it."""
    middle, up = np.array(at, dtype=np.float64), np.array([0, 0, 1.0])
    hexagon = Hexagon(middle - 2.5 * up, middle + 2.5 * up, 10.0, np.array([1.0, 0, 0]))
    things = [Thing(f"post{k}", "", "engine", (Piece("body", each),)) for k, each in enumerate(solids)]
    nut = Thing("clack nut", "", "part", (Piece("hexagon", hexagon),))
    held = HandSpanner(10.0, length_mm, 4.5, 22.0, 6.0)
    return swing_on(Grip("clack nut", "hexagon", middle, up, held), Scene((nut, *things)))


def test_a_post_takes_from_a_spanner_what_its_width_covers() -> None:
    """A post of radius 5 and half a handle of 3, 60 mm out, cover asin(8 / 60) = 7.66 deg each side: two parts of 15
    deg where they meet at it, three where it stands in the middle of one. One of radius 4 covers 6.70 deg.
    """
    assert int((~spanner([handle_at(0)]).free).sum()) == 2
    assert int((~spanner([handle_at(22.5)]).free).sum()) == 3
    assert int((~spanner([post(60 * np.cos(np.pi / 8), 60 * np.sin(np.pi / 8), 4.0)]).free).sum()) == 1
    assert spanner([handle_at(0)]).has_window
    # Posts every 60 deg leave 60 - 15.3 = 44.7 between: no window of 60.
    assert not spanner([handle_at(turn) for turn in range(0, 360, 60)]).has_window
    # With two neighbouring ones gone there are 3 x 60 - 15.3.
    assert spanner([handle_at(turn) for turn in range(0, 240, 60)]).has_window


def test_windows_go_round_the_end_of_the_circle() -> None:
    free = np.zeros((3, 24), dtype=bool)
    free[0, :2], free[0, -2:] = True, True  # four of 15 deg
    free[1, :1], free[1, -2:] = True, True  # three
    free[2] = True
    assert windows(free, 60.0).tolist() == [True, False, True]
    assert windows(free, 30.0).tolist() == [True, True, True]


def test_a_way_that_shuts_a_spanner_in_is_passed_over() -> None:
    """A nut at the middle of the line's side with posts all round but towards the line: the straight pipe shuts it."""
    nut = np.array([75.0, 45.0, 0.0])
    posts = [
        Cylinder(each + np.array([0, 0, -20.0]), each + np.array([0, 0, 20.0]), 5.0)
        for turn in range(0, 181, 36)
        for each in [nut + 60 * np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn)), 0])]
    ]
    swing = spanner(posts, (75.0, 45.0, 0.0), 80.0)
    assert swing.has_window
    straight = ways_of(np.array([[LINE[0].position_mm, LINE[1].position_mm]]), 12.7)
    assert not swing.left_by(sampled(straight, TUBE_RADIUS_MM))[0]
    settled = way_among(*LINE, BENDER, 3, ALLOWED, Around((), TUBE_RADIUS_MM), (swing,))
    assert [each.sentence for each in settled.stopped] == [
        "no bend, 150.0 mm: it leaves no window of 60 deg for a spanner on clack nut"
    ]
    assert len(settled.path.vertices_mm) == 5
    assert swing.left_by(sampled(ways_of(settled.path.vertices_mm[None], 12.7), TUBE_RADIUS_MM))[0]


def test_the_runner_up_is_really_another_way() -> None:
    """A post between two faces side by side on an offset: left of it and right of it are both ways."""
    start, end = face("a", (0, 0, 0), (1, 0, 0)), face("b", (140, 60, 0), (-1, 0, 0))
    pipe = laid(start, end, [Obstacle("post", "", post(70, 30, 8), 2.0)])
    assert len(pipe.bends) == 2
    other = pipe.routing.other
    assert other is not None
    assert other.departs.value >= 1.5 * 12.7
    assert other.centre_line.value >= pipe.centre_line.value - 0.3
    assert len(stops(pipe)) == 1
    assert "inside post" in stops(pipe)[0]
