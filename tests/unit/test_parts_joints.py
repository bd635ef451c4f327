"""Unit: each joint mates or is refused, with the whole text of every reason; sums by hand in comments.

Thread sizes: 1/4x40 is 6.35 mm by 25.4/40 = 0.635 mm, 1/4x32 by 25.4/32 = 0.79375 mm, both 55 deg (BS 84 form);
2BA is 4.7 mm by 0.81 mm, 47.5 deg (BS 93); 3/16x32 is 4.7625 mm by 0.79375 mm. 3/16 in is 4.7625 mm exactly.
"""

from __future__ import annotations

from typing import Any

import pytest

from trialfit.finding import Answer
from trialfit.job.records import Job
from trialfit.parts.build import build_joints, build_parts, find_port
from trialfit.parts.joints import joint_findings, mate, mate_all
from trialfit.parts.records import Mating, Port

CARD = {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"}
BRAZE = "[Filler-metal replacement table, cadmium-free, with melting ranges and gap advice: 0.05 to 0.20 mm a side]"


def job_of(parts: dict[str, Any], **more: Any) -> Job:
    engine = {"name": "Bittern", "working_pressure": "80 psi"}
    return Job.model_validate({"format": 1, "job": CARD, "engine": engine, "parts": parts, **more})


def port(kind: str, name: str, part: str, **given: Any) -> Port:
    return find_port(build_parts(job_of({part: {"kind": kind, "ports": {name: given}}})), f"{part}.{name}")


def body(thread: str = "1/4x40", gender: str = "male", angle: str | None = "60 deg") -> Port:
    seat = {"kind": "cone", "gender": "female"} | ({"angle": angle} if angle else {})
    return port("union body", "face", "body", thread=thread, gender=gender, seat=seat)


def cone(angle: str | None = "60 deg", kind: str = "cone") -> Port:
    seat = {"kind": kind, "gender": "male"} | ({"angle": angle} if angle else {})
    return port("union cone", "seat", "cone", seat=seat)


def texts(mating: Mating) -> list[str]:
    return [f"{check.answer}: {check.reason}" for check in mating.checks]


def advice(mating: Mating) -> list[str]:
    return [check.do for check in mating.checks if check.do]


def test_a_nut_goes_on_its_body() -> None:
    mating = mate(port("union nut", "thread", "nut", thread="1/4 x 40"), body())
    assert mating.answer is Answer.GO
    assert texts(mating) == ["go: 1/4x40 on 1/4x40. [BS 84]", "go: One thread is male, the other female."]


@pytest.mark.parametrize(
    ("female", "male", "reason", "do"),
    [
        (
            "1/4x32",
            "1/4x40",
            # 0.79375 - 0.635 = 0.15875
            "stop: 1/4x32 on 1/4x40: pitches 0.794 and 0.635 mm, 0.159 mm out at every turn. [memory]",
            "Make one of the two anew, or make an adaptor from 1/4x32 to 1/4x40.",
        ),
        (
            "5/16x40",
            "1/4x40",
            # 7.9375 - 6.35 = 1.5875
            "stop: 5/16x40 on 1/4x40: diameters 7.94 and 6.35 mm, 1.59 mm apart. [memory]",
            "Make one of the two anew, or make an adaptor from 5/16x40 to 1/4x40.",
        ),
        (
            "3/16x32",
            "2BA",
            # 4.7625 - 4.7 = 0.0625, 0.81 - 0.79375 = 0.01625: 1.3 % and 2 % apart
            "stop: 3/16x32 on 2BA: diameters 4.76 and 4.70 mm, 0.06 mm apart; pitches 0.794 and 0.810 mm, 0.016 mm out "
            "at every turn; flanks of 55 and 47.5 deg, which bear on an edge only. They are easily taken for one "
            "another: the one starts on the other and then binds or strips. [memory]",
            "Make one of the two anew, or make an adaptor from 3/16x32 to 2BA.",
        ),
    ],
)
def test_threads_that_do_not_go_on_each_other(female: str, male: str, reason: str, do: str) -> None:
    mating = mate(port("union nut", "thread", "nut", thread=female), body(thread=male))
    assert texts(mating)[0] == reason
    assert advice(mating) == [do]
    assert not mating.mates


def test_one_thread_under_two_names() -> None:
    mating = mate(port("cap", "thread", "cap", thread="3/16 BSF", gender="female"), body("3/16x32"))
    assert texts(mating)[0] == "go: 3/16 BSF on 3/16x32, which are one thread under two names. [BS 84; memory]"


def test_two_males() -> None:
    mating = mate(port("bush", "thread", "bush", thread="1/4x40", gender="male"), body())
    assert texts(mating)[1] == "stop: Both threads are male: bush.thread and body.face."
    assert advice(mating)[0] == "Make an adaptor with two female ends, or look at both again."


def test_a_gender_that_is_not_given_is_not_guessed() -> None:
    mating = mate(port("bush", "thread", "bush", thread="1/4x40"), body())
    assert texts(mating)[1] == "look: Whether the thread of bush.thread is male or female is not given."


@pytest.mark.parametrize(
    ("female", "male", "reason"),
    [
        (
            "G1/8",
            "R1/8",
            "look: R1/8 is taper and G1/8 parallel: they go together, but a G thread is not made to seal on the "
            "thread. [ISO 228-1 scope: not pressure-tight on thread]",
        ),
        (
            "R1/8",
            "G1/8",
            "look: G1/8 is parallel and R1/8 taper: the parallel one binds on the first threads of the taper hole, a "
            "joint no standard provides for. [ISO 228-1 scope: not pressure-tight on thread]",
        ),
    ],
)
def test_parallel_and_taper(female: str, male: str, reason: str) -> None:
    ports = [port("adaptor", "a", "one", thread=female, gender="female"), port("cock", "inlet", "two", thread=male,
             gender="male")]  # fmt: skip
    for a, b in (ports, ports[::-1]):
        assert texts(mate(a, b))[0] == reason


@pytest.mark.parametrize(
    ("male", "female", "answer", "reason", "do"),
    [
        ("60 deg", "60 deg", "go", "The cones close: male cone 60 deg, female 60 deg.", []),
        ("60.5 deg", "60 deg", "go", "The cones close: male cone 60.5 deg, female 60 deg.", []),
        (
            "60 deg",
            "61.5 deg",
            "look",
            "Male cone 60 deg, female 61.5 deg: they touch on a line near the small end. [memory]",
            ["Lap the two together, or turn one to the other."],
        ),
        (
            "62 deg",
            "60 deg",
            "look",
            "Male cone 62 deg, female 60 deg: they touch on a line at the mouth. [memory]",
            ["Lap the two together, or turn one to the other."],
        ),
        (
            "90 deg",
            "60 deg",
            "stop",
            "Male cone 90 deg, female 60 deg: they touch on a line at the mouth. [memory]",
            ["Turn the male cone to 60 deg, or open the female one with a 90 deg cutter."],
        ),
        (
            None,
            "60 deg",
            "look",
            "The cone angle of cone.seat is not given, and no standard settles it for small unions.",
            ["Measure the included angle of cone.seat."],
        ),
    ],
)
def test_cones(male: str | None, female: str, answer: str, reason: str, do: list[str]) -> None:
    mating = mate(cone(male), body(angle=female))
    assert texts(mating) == [f"{answer}: {reason}"]
    assert advice(mating) == do


def seated(kind: str, gender: str, part: str) -> Port:
    return port("tee", "branch", part, seat={"kind": kind, "gender": gender})


@pytest.mark.parametrize(
    ("one", "other", "reason"),
    [
        (("flat", "male"), ("flat", "male"), "go: Both seats are flat."),
        (
            ("cone", "male"),
            ("flat", "female"),
            "stop: p.branch has a cone seat and q.branch a flat seat: they touch on an edge.",
        ),
        (("cone", "female"), ("cone", "female"), "stop: Both seats are female: p.branch and q.branch."),
        (("ball", "male"), ("cone", "female"), "go: The ball of p.branch seats in a cone of any angle."),
        (("cone", "female"), ("ball", "male"), "go: The ball of q.branch seats in a cone of any angle."),
        (("ball", "male"), ("ball", "female"), "go: A ball seat in a hollow of its own kind."),
        (
            ("cone", "male"),
            ("ball", "female"),
            "stop: The male cone of p.branch meets the hollow ball seat of q.branch on its edge.",
        ),
    ],
)
def test_kinds_and_genders_of_seat(one: tuple[str, str], other: tuple[str, str], reason: str) -> None:
    assert texts(mate(seated(*one, "p"), seated(*other, "q"))) == [reason]


@pytest.mark.parametrize(
    ("bore", "reason", "do"),
    [
        # (4.86 - 4.7625) / 2 = 0.04875, which is 0.05 to the two decimals the limit is printed with
        ("4.86 mm", f"go: The 4.76 mm tube leaves 0.05 mm a side in the 4.86 mm socket. {BRAZE}", []),
        # (5.16 - 4.7625) / 2 = 0.19875
        ("5.16 mm", f"go: The 4.76 mm tube leaves 0.20 mm a side in the 5.16 mm socket. {BRAZE}", []),
        (
            "4.75 mm",
            "stop: The 4.76 mm tube of pipe.end will not enter the 4.75 mm bore of cone.socket.",
            ["Open the bore to 4.86 mm."],
        ),
        (
            # (5.3 - 4.7625) / 2 = 0.26875; 4.7625 + 0.1 = 4.8625, + 0.4 = 5.1625
            "5.3 mm",
            f"stop: The 4.76 mm tube leaves 0.27 mm a side in the 5.30 mm socket, too loose for silver solder to fill. "
            f"{BRAZE}",
            ["Make the socket anew with 4.86 to 5.16 mm bore, or sleeve it."],
        ),
        (
            # (4.82 - 4.7625) / 2 = 0.02875
            "4.82 mm",
            "look: The 4.76 mm tube leaves 0.029 mm a side in the 4.82 mm socket: enough for thin-running silver "
            "solders, tight for others. [Brazing clearance and strength article: 0.025 to 0.127 mm a side]",
            ["Open the socket to 4.86 mm, or use a thin-running silver solder."],
        ),
        (
            # (4.80 - 4.7625) / 2 = 0.01875
            "4.8 mm",
            f"look: The 4.76 mm tube leaves 0.019 mm a side in the 4.80 mm socket: too tight for any silver solder to "
            f"run. {BRAZE}",
            ["Open the socket to 4.86 mm."],
        ),
    ],
)
def test_a_tube_in_a_socket(bore: str, reason: str, do: list[str]) -> None:
    tube, socket = port("pipe", "end", "pipe", tube="3/16 in"), port("union cone", "socket", "cone", socket=bore)
    for a, b in ((tube, socket), (socket, tube)):
        assert texts(mate(a, b)) == [reason]
        assert advice(mate(a, b)) == do


@pytest.mark.parametrize(
    ("hole", "reason"),
    [
        # 5 - 4.7625 = 0.2375; 5.5 - 4.7625 = 0.7375; 4.8 - 4.7625 = 0.0375
        (
            "5 mm",
            "go: The 5.00 mm hole is 0.24 mm over the 4.76 mm tube. [0.05 to 0.60 mm on the diameter; common practice]",
        ),
        (
            "5.5 mm",
            "look: The 5.50 mm hole is 0.74 mm over the 4.76 mm tube: the nut bears on the edge of its cone only. "
            "[0.05 to 0.60 mm on the diameter; common practice]",
        ),
        (
            "4.8 mm",
            "look: The 4.80 mm hole is 0.04 mm over the 4.76 mm tube: a tube out of round will not let it slide. "
            "[0.05 to 0.60 mm on the diameter; common practice]",
        ),
        ("4.7 mm", "stop: The 4.76 mm tube of pipe.start will not enter the 4.70 mm bore of nut.hole."),
    ],
)
def test_a_tube_through_a_nut(hole: str, reason: str) -> None:
    nut, tube = port("union nut", "hole", "nut", socket=hole), port("pipe", "start", "pipe", tube="3/16 in")
    assert texts(mate(nut, tube)) == [reason]


def test_two_tubes_two_sockets() -> None:
    tubes = [port("pipe", "end", name, tube="3/16 in") for name in ("p", "q")]
    sockets = [port("elbow", "inlet", name, socket="4.86 mm") for name in ("p", "q")]
    assert texts(mate(*tubes)) == ["stop: Both are a tube: p.end and q.end."]
    assert texts(mate(*sockets)) == ["stop: Both are a socket: p.inlet and q.inlet."]


def test_nothing_in_common_and_nothing_known() -> None:
    socket, nut = port("elbow", "inlet", "elbow", socket="4.86 mm"), port("union nut", "thread", "nut", thread="1/4x40")
    assert texts(mate(socket, nut)) == [
        "stop: They have nothing in common: elbow.inlet has a bore, nut.thread a thread."
    ]
    bare = port("union nut", "thread", "nut")
    assert texts(mate(body(), bare)) == ["look: Nothing is given of nut.thread, so the joint cannot be checked."]
    assert advice(mate(body(), bare)) == ["Measure the thread of nut.thread."]


def test_a_seat_on_one_side_only_is_asked_after() -> None:
    mating = mate(body(), port("cap", "thread", "cap", thread="1/4x40", gender="female"))
    assert texts(mating)[2] == "look: body.face has a seat; whether cap.thread has one is not given."
    # A nut never has a seat, so nothing is asked of it.
    assert mate(body(), port("union nut", "thread", "nut", thread="1/4x40")).answer is Answer.GO


def test_every_reason_is_given_and_the_gravest_first_in_the_finding() -> None:
    wrong = port(
        "cap", "thread", "cap", thread="1/4x32", gender="male",
        seat={"kind": "cone", "gender": "male", "angle": "61 deg"},
    )  # fmt: skip
    mating = mate(body(), wrong)
    assert [check.of for check in mating.checks] == ["thread", "gender", "seat"]
    assert [check.answer for check in mating.checks] == [Answer.STOP, Answer.STOP, Answer.LOOK]
    (finding,) = joint_findings([mating])
    assert (finding.stage, finding.answer, finding.question) == (
        "parts",
        Answer.STOP,
        "Does body.face go together with cap.thread?",
    )
    assert str(finding.figure) == "0.635 mm"
    assert str(finding.limit) == "0.794 mm"
    assert [str(reason) for reason in finding.because] == [text.split(": ", 1)[1] for text in texts(mating)]


def test_a_look_does_not_borrow_a_figure_that_passed() -> None:
    mating = mate(cone("60 deg"), port("adaptor", "a", "ad", thread="1/4x40", gender="male",
                  seat={"kind": "cone", "gender": "female", "angle": "60 deg"}))  # fmt: skip
    assert mating.answer is Answer.GO
    no_seat_given = mate(body(), port("cap", "thread", "cap", thread="1/4x40", gender="female"))
    (finding,) = joint_findings([no_seat_given])
    assert (finding.answer, finding.figure) == (Answer.LOOK, None)


def test_the_joints_of_a_job() -> None:
    parts = {
        "nut": {"kind": "union nut", "ports": {"thread": {"thread": "1/4x40"}, "hole": {"socket": "5 mm"}}},
        "body": {"kind": "union body", "ports": {"face": {"thread": "1/4x40", "gender": "male"}}},
    }
    end = {"port": "body.face", "straight": "14 mm", "enters": "3 mm"}
    pipe = {"tube": {"od": "3/16 in", "wall": "22 swg"}, "start": end, "end": end, "file_allowance": "0.5 mm"}
    joints = [{"a": "nut.thread", "b": "body.face"}, {"a": "feed.end", "b": "nut.hole"}]
    job = job_of(parts, pipes={"feed": pipe}, joints=joints)
    matings = mate_all(build_joints(job, build_parts(job)))
    assert [(mating.a, mating.b, mating.answer) for mating in matings] == [
        ("nut.thread", "body.face", Answer.GO),
        ("feed.end", "nut.hole", Answer.GO),
    ]


def test_a_handle_is_held_on_a_spindle_or_on_what_nothing_is_said_of() -> None:
    hub = port("handle", "hub", "handle")
    for held_on in (port("cock", "spindle", "cock"), port("bush", "thread", "rod")):
        for mating in (mate(hub, held_on), mate(held_on, hub)):
            (check,) = mating.checks
            assert check.answer is Answer.GO
            assert check.reason.text == "One is held on the other by its shape; that shape is not checked."


def test_a_handle_is_not_held_on_a_thread() -> None:
    hub, thread = port("handle", "hub", "handle"), body()
    for mating in (mate(hub, thread), mate(thread, hub)):
        (check,) = mating.checks
        assert check.answer is Answer.STOP
        assert check.reason.text == (
            "They have nothing in common: body.face has a thread and a seat, handle.hub is held."
        )
        assert check.do == "Look at which ports meet, or make an adaptor."
