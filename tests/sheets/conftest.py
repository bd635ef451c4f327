"""Sheets: one job and one pipe, worked out by hand, for the sheets to be written from."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
import pytest

from trialfit.feed.report import FeedReport
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.clocking_findings import Clocked
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.fit import Fit
from trialfit.fitup.order.records import Order
from trialfit.fitup.records import Amplification, Bend, EndFace, Landing, PipePlan, TubeStock
from trialfit.fitup.scene import Scene
from trialfit.heat.records import HeatReport
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.making.process_records import OrderOfWork
from trialfit.making.turned.plan import TurnedJob
from trialfit.parcel.records import ParcelAccount
from trialfit.parts.records import Part
from trialfit.quote.records import Invoice, Quote
from trialfit.strength.pressure_report import PressureTest
from trialfit.strength.report import BreakReport
from trialfit.survey.before_and_after import BeforeAndAfter
from trialfit.survey.flat_wanted import FlatWanted
from trialfit.survey.records import LeftOut, Lens, Residual, Station, Survey, SurveyedPoint


def job_record() -> dict[str, object]:
    """The job as its document says it."""
    return {
        "format": 1,
        "job": {
            "name": "heron-feed",
            "owner": "B. Larkfield",
            "date": "2026-03-14",
            "revision": 2,
            "story": "The feed pipe broke off at the clack\nwhen the tender came away.",
        },
        "engine": {"name": "Heron", "working_pressure": "80 psi", "note": "3 1/2 in gauge"},
        "phones": {"owner": {}},
        "card": {
            "page": ["148 mm", "105 mm"],
            "squares": [8, 5],
            "square": "16 mm",
            "marker": "12 mm",
            "dictionary": "DICT_4X4_50",
        },
        "photographs": {
            "left": {"file": "left.jpg", "phone": "owner", "note": "from the left, card in view"},
            "above": {"file": "above.jpg", "phone": "owner"},
        },
        "points": {"clack.face": {"what": "middle of the clack's lower face"}, "union.face": {}},
        "pipes": {
            "feed": {
                "what": "feed from the tender union to the clack",
                "tube": {"od": "3/16 in", "wall": "22 swg", "metal": "CW024A"},
                "start": {"port": "clack.inlet", "straight": "20 mm", "enters": "3.5 mm"},
                "end": {"port": "tender_union.cone", "straight": "14 mm", "enters": "4 mm"},
                "bend_radius": "12.7 mm",
                "file_allowance": "0.5 mm",
            }
        },
    }


NO_TURNED = TurnedJob((), ())


NOWHERE = Scene(())


@dataclass(frozen=True)
class Plan:
    """As much of a plan as the sheets take."""

    job: Job
    shop: Shop
    survey: Survey | None
    pipes: tuple[PipePlan, ...]
    findings: tuple[Finding, ...]
    turned: TurnedJob = NO_TURNED
    orders: tuple[OrderOfWork, ...] = ()
    heats: tuple[HeatReport, ...] = ()
    tests: tuple[PressureTest, ...] = ()
    flats: tuple[FlatWanted, ...] = ()
    compared: tuple[BeforeAndAfter, ...] = ()
    parcel: ParcelAccount | None = None
    quote: Quote | None = None
    invoice: Invoice | None = None
    circuit: FeedReport | None = None
    parts: tuple[Part, ...] = ()
    ends: EndsInPlace | None = None
    scene: Scene = NOWHERE
    removal: Order | None = None
    fitting: Order | None = None
    clocked: tuple[Clocked, ...] = ()
    breaks: tuple[BreakReport, ...] = ()
    fits: tuple[Fit, ...] = ()


@pytest.fixture
def plan(job: Job, shop: Shop, survey: Survey, pipe: PipePlan, findings: tuple[Finding, ...]) -> Plan:
    """The plan of the job with its one pipe."""
    return Plan(job, shop, survey, (pipe,), findings)


@pytest.fixture
def job() -> Job:
    """The job."""
    return Job.model_validate(job_record())


@pytest.fixture
def shop() -> Shop:
    """A workshop that has measured nothing."""
    return assumed_shop()


def feed_pipe(name: str = "feed") -> PipePlan:
    """A pipe with two bends, worked out by hand.

    Legs 40, 45, 30 mm from corner to corner; bends of 60 and 90 deg on R 12.7; turn 30 deg between them.
    Tangents: 12.7 tan 30 = 7.3323, 12.7 tan 45 = 12.7. Arcs: 12.7 pi/3 = 13.2994, 12.7 pi/2 = 19.9491.
    Straights: 40 - 7.3323 = 32.6677; 45 - 7.3323 - 12.7 = 24.9677; 30 - 12.7 = 17.3.
    Face to face 32.6677 + 13.2994 + 24.9677 + 19.9491 + 17.3 = 108.1839; with 3.5 + 4 + 0.5 it is 116.1839.
    Set to, with a 90 deg test piece that sprang back by 3.5: 60 x (1 + 3.5/90) = 62.3333, and 93.5.
    Marks: 3.5 + 32.6677 = 36.1677; + 13.2994 = 49.4671; + 24.9677 = 74.4348; + 19.9491 = 94.3839; left 21.8.
    """
    first, second = (1.0, 0.0), (cos(radians(60.0)), sin(radians(60.0)))
    corner = np.array([40.0 * first[0], 0.0, 0.0])
    next_corner = corner + 45.0 * np.array([second[0], second[1], 0.0])
    # The second bend turns about (0, 0, 1) turned 30 deg about the second leg: (0.4330, -0.25, 0.8660); its 90 deg
    # take the leg into that axis x leg = (-0.75, 0.4330, 0.5).
    end = next_corner + 30.0 * np.array([-0.75, 0.4330127, 0.5])

    def mm(value: float, k2: float | None) -> Figure:
        return Figure(value, "mm", k2)

    def deg(value: float, k2: float | None) -> Figure:
        return Figure(value, "deg", k2, 1)

    bends = (
        Bend(
            1,
            mm(36.1677, 0.31),
            deg(0.0, None),
            deg(60.0, 0.7),
            mm(36.1677, 0.31),
            mm(49.4671, 0.35),
            deg(62.3333, 0.8),
        ),
        Bend(
            2, mm(24.9677, 0.42), deg(30.0, 1.4), deg(90.0, 0.6), mm(74.4348, 0.48), mm(94.3839, 0.52), deg(93.5, 0.9)
        ),
    )
    return PipePlan(
        name=name,
        start=EndFace("clack.inlet", np.zeros(3), np.array([1.0, 0.0, 0.0]), 20.0, 3.5),
        end=EndFace("tender_union.cone", end, np.array([0.75, -0.4330127, -0.5]), 14.0, 4.0),
        tube=TubeStock(4.7625, 0.7112, "CW024A"),
        radius_mm=12.7,
        vertices_mm=np.array([np.zeros(3), corner, next_corner, end]),
        legs=(mm(40.0, 0.3), mm(45.0, 0.4), mm(30.0, 0.3)),
        bends=bends,
        centre_line=mm(108.1839, 0.55),
        cut_length=mm(116.1839, 0.55),
        file_allowance_mm=0.5,
        last_straight=mm(21.8, 0.3),
        amplifications=(
            Amplification("1 deg at bend 1", mm(1.1, None), deg(1.0, None)),
            Amplification("1 deg of rotation before bend 2", mm(0.52, None), deg(1.0, None)),
            Amplification("1 mm on leg 2", mm(1.0, None), deg(0.0, None)),
        ),
        far_end_scatter=mm(2.3, None),
        landing=Landing(mm(0.6, None), mm(2.3, None), deg(0.8, None), deg(4.1, None), (deg(0.0, None), deg(0.0, None))),
    )


@pytest.fixture
def pipe() -> PipePlan:
    """The pipe of `feed_pipe`."""
    return feed_pipe()


@pytest.fixture
def survey() -> Survey:
    """A survey of two points and one that could not be fixed; its figures are invented."""
    lens = ((2000.0, 1500.0), (0.01, 0.0, 0.0, 0.0, 0.0))
    return Survey(
        points=(
            SurveyedPoint("clack.face", (82.104, 31.512, 47.966), (0.212, 0.184, 0.301), 2),
            SurveyedPoint("union.face", (-4.2, 12.0, 60.25), (0.25, 0.2, 0.4), 2),
        ),
        covariance_mm2=np.eye(6) * 0.01,
        left_out=(LeftOut("nut.corner", "It is marked in one photograph only.", "Mark it in a second one."),),
        lenses=(Lens("owner", 3000.0, 12.0, *lens),),
        stations=(
            Station("left", np.eye(3), np.zeros(3), 3001.0, *lens, 24),
            Station("above", np.eye(3), np.zeros(3), 2999.0, *lens, 0),
        ),
        card_stretch=((1.0012, 0.9991), (0.001, 0.0012)),
        chi_square=101.26,
        freedom=96,
        residuals=(
            Residual("mark clack.face in above", 1.236, "px", 0.8),
            Residual("reading clack.face to union.face", 0.412, "mm", -2.6),
        ),
    )


@pytest.fixture
def findings() -> tuple[Finding, ...]:
    """One finding of each answer, the mildest first."""
    return (
        Finding(
            "parts", "feed", "Does the nut mate with the clack?", Answer.GO,
            because=(Reason("Both are 1/4 x 40.", "the owner's reading", Basis.MEASURED),),
        ),
        Finding(
            "fitup", "feed", "Will the far end drop on?", Answer.LOOK,
            Figure(2.3, "mm", 0.4, 1), Figure(1.0, "mm", None, 1),
            (Reason("A union pulls in what is under the limit.", "", Basis.PRACTICE),),
            "Bend a trial wire first.",
        ),
        Finding(
            "fitup", "blower", "Is there room for the straight at the union?", Answer.STOP,
            because=(Reason("The straight stands 0.2 mm inside the boiler."),), do="Turn the union by 30 deg.",
        ),
    )  # fmt: skip
