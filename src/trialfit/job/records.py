"""The records of a job document. `docs/job-file.md` says what each key is for, with its unit and an example."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from trialfit.job.assemblies import AssemblyEntry
from trialfit.job.before_and_after import BeforeAndAfterEntry
from trialfit.job.bodies import EngineBodyEntry
from trialfit.job.breaks import BreakEntry
from trialfit.job.check_lines import CheckLine
from trialfit.job.circuit import CircuitEntry
from trialfit.job.clocking import ClockingEntry
from trialfit.job.envelopes import PieceEntry, Triple
from trialfit.job.fitting import FittingEntry
from trialfit.job.flat_prints import FlatPrintEntry
from trialfit.job.heating import HeatingEntry
from trialfit.job.parcel import ParcelEntry
from trialfit.job.pressure_test import PressureTestEntry
from trialfit.job.quoting import InvoiceEntry, QuoteEntry
from trialfit.job.rims import RimEntry
from trialfit.job.taking_off import ComesOffEntry, OrderEntry
from trialfit.job.tubes import Clicks, TubeEntry
from trialfit.job.turned import Hidden, TurnedEntry
from trialfit.job.values import (
    Angle,
    AngleAboveZero,
    Day,
    Length,
    LengthAboveZero,
    LengthFromZero,
    Name,
    Number,
    Pixels,
    Pressure,
    Reading,
    Record,
    Whole,
    YesNo,
    refused,
)

Kind = Literal[
    "bush",
    "union body",
    "union cone",
    "union nut",
    "pipe",
    "elbow",
    "tee",
    "cock",
    "check valve",
    "cap",
    "adaptor",
    "three-way cock",
    "pump",
    "injector",
    "handle",
    "pin",
]
Gender = Literal["male", "female"]
Dictionary = Literal["DICT_4X4_50", "DICT_4X4_100", "DICT_5X5_50", "DICT_5X5_100"]
Squares = Annotated[Whole, Field(ge=2)]


class JobCard(Record):
    """Whose job it is and what it is about."""

    name: Name = Field(description="Short name of the job; it stands on every sheet.", examples=["bittern-backhead"])
    owner: Name = Field(description="Who owns the engine.", examples=["A. Fenwright"])
    language: Literal["en", "de"] = Field("en", description="Language of the sheets for the owner.", examples=["de"])
    units: Literal["metric", "inch"] = Field(
        "metric", description="Whether the owner measures in millimetres or in inches.", examples=["inch"]
    )
    date: Day = Field(description="The date printed on the sheets.", examples=["2026-03-14"])
    revision: Whole = Field(1, ge=1, description="Counts up each time sheets are sent out.", examples=[1])
    story: str = Field("", description="What happened, in a few sentences.", examples=["Union sheared off."])


class Engine(Record):
    """The engine far away."""

    name: Name = Field(description="What the owner calls it.", examples=["Bittern"])
    working_pressure: Pressure = Field(description="Gauge pressure in steam.", examples=["80 psi"])
    note: str = Field("", description="Anything else worth knowing.", examples=["5 in gauge, copper boiler"])


class Phone(Record):
    """A telephone that took photographs; all its photographs share one lens."""

    focal_35mm: LengthAboveZero | None = Field(
        None,
        description="35 mm equivalent focal length, if the photographs do not carry it.",
        examples=["26 mm"],
    )
    note: str = Field("", description="Whose, and which lens of it.", examples=["owner's, main lens"])


class Card(Record):
    """The scale card as printed: a board of fiducial markers in a chessboard."""

    page: tuple[LengthAboveZero, LengthAboveZero] = Field(
        description="Long and short side of the paper.", examples=[["148 mm", "105 mm"]]
    )
    squares: tuple[Squares, Squares] = Field(description="Squares along the long and short side.", examples=[[8, 5]])
    square: LengthAboveZero = Field(description="Side of a square.", examples=["16 mm"])
    marker: LengthAboveZero = Field(description="Side of a marker.", examples=["12 mm"])
    dictionary: Dictionary = Field(description="OpenCV's name of the marker set.", examples=["DICT_4X4_50"])
    check_lines: tuple[CheckLine, ...] = Field(
        (),
        description="What lines of known length measured on the paper; without any, the scale is only 1 % sure.",
    )


class PhotographEntry(Record):
    """One photograph."""

    file: Name = Field(description="File name in the job's photographs/ folder.", examples=["view0.jpg"])
    phone: Name = Field(description="Name of the phone that took it.", examples=["owner"])
    note: str = Field("", description="From where it was taken.", examples=["from the left, card in view"])
    bench: YesNo = Field(
        False,
        description="Whether it was taken at the bench, of a piece and not of the engine: the survey then leaves it "
        "alone.",
        examples=[True],
    )


class PointEntry(Record):
    """A named point on the engine."""

    what: str = Field("", description="What it is, in words.", examples=["middle of the union nut's lower face"])
    at: tuple[Length, Length, Length] | None = Field(
        None,
        description="x, y, z in the card's frame, where known.",
        examples=[["82 mm", "31.5 mm", "48 mm"]],
    )
    pm: LengthAboveZero | None = Field(
        None, description="Plus-or-minus of each of the three, k = 2; needed where `at` is given.", examples=["0.4 mm"]
    )
    by: str = Field("", description="Who measured it, with what.", examples=["owner, square and rule"])


class Mark(Record):
    """Where a point is seen in a photograph. Without a plus-or-minus of its own it is written ``[x, y]``."""

    px: tuple[Number, Number] = Field(
        description="x to the right, y down, from the centre of the top-left pixel of the upright photograph.",
        examples=[[1521.9, 852.8]],
    )
    pm: Pixels | None = Field(
        None, description="Plus-or-minus of this mark, k = 2, where it was harder to see.", examples=["5 px"]
    )

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, written: Any) -> Any:
        return {"px": written} if isinstance(written, list | tuple) else written


class SurveySettings(Record):
    """How the photographs were marked."""

    mark_pm: Pixels = Field(description="Plus-or-minus of an ordinary mark, k = 2.", examples=["3 px"])
    edge_pm: Pixels | None = Field(
        None,
        description="Plus-or-minus of a mark on an edge or a rim, k = 2; without it, that of an ordinary mark.",
        examples=["3 px"],
    )


class ReadingEntry(Reading):
    """A distance between two named points, measured."""

    between: tuple[str, str] = Field(description="The two points.", examples=[["cap.face", "nut.face"]])


class Seat(Record):
    """A seat that closes on its fellow."""

    kind: Literal["cone", "flat", "ball"] = Field(description="Shape of the seat.", examples=["cone"])
    gender: Gender = Field(description="Male stands proud, female is hollow.", examples=["female"])
    angle: AngleAboveZero | None = Field(None, description="Included angle of a cone.", examples=["60 deg"])
    across: LengthAboveZero | None = Field(
        None,
        description="Diameter where it begins: a female one at its mouth, a male cone at its nose; of a ball its own.",
        examples=["6.6 mm"],
    )


class PortEntry(Record):
    """A place where a part meets another."""

    thread: str | None = Field(None, description="Thread by its designation.", examples=["1/4x40"])
    gender: Gender | None = Field(None, description="Gender of the thread.", examples=["male"])
    seat: Seat | None = Field(None, description="The seat, if it has one.")
    tube: LengthAboveZero | None = Field(None, description="Outside diameter of a tube's end.", examples=["3/16 in"])
    socket: LengthAboveZero | None = Field(None, description="Bore of a socket for a tube.", examples=["4.86 mm"])
    face: str | None = Field(None, description="The surveyed point in the middle of its face.", examples=["nut.face"])
    axis_from: str | None = Field(
        None,
        description="A surveyed point behind the face: the port points from it to the face.",
        examples=["cap.face"],
    )
    axis_of: str | None = Field(
        None,
        description="Instead of `axis_from`: a rim, or a straight length as tube.leg1, whose axis the port has.",
        examples=["bare_bush_rim"],
    )
    axis_sense: Literal["along", "against"] = Field(
        "along",
        description="Whether the port points the way its `axis_of` does (a rim towards those who see it, a tube from "
        "its first length to its last), or the other way.",
        examples=["along"],
    )
    direction: tuple[Number, Number, Number] | None = Field(
        None,
        description="Which way it points, out of the part, in the part's own frame.",
        examples=[[0, 0, -1]],
    )
    at: Triple | None = Field(
        None,
        description="Where the middle of its face is, in the part's own frame; of a male thread, its outermost end.",
        examples=[["0 mm", "0 mm", "-14 mm"]],
    )
    at_pm: LengthAboveZero | None = Field(
        None,
        description="Plus-or-minus of each of the three, k = 2; without it ± 0.2 mm is assumed.",
        examples=["0.1 mm"],
    )


class PartEntry(Record):
    """A part: of a known kind, with its ports."""

    kind: Kind = Field(description="What it is.", examples=["check valve"])
    what: str = Field("", description="Which one, in words.", examples=["right-hand feed clack"])
    metal: str | None = Field(None, description="Its metal, by its name in the tables.", examples=["CW614N"])
    ports: dict[str, PortEntry] = Field(
        default_factory=dict, description="What is known of its ports, by the port's name for this kind."
    )
    envelope: dict[str, PieceEntry] = Field(
        default_factory=dict,
        description="The room it takes up, piece by piece, as measured; without it typical proportions are assumed.",
    )
    turned: Name | None = Field(
        None, description="The turned part it is, by name: its sizes then make its envelope.", examples=["cones"]
    )
    on: Name | None = Field(
        None, description="The body of the engine that carries it, where no joint says so.", examples=["tank_side"]
    )


class Joint(Record):
    """Two ports that go together."""

    a: Name = Field(
        description="One port, as part.port; the ends of a pipe to be made are pipe.start and pipe.end.",
        examples=["check_valve.inlet"],
    )
    b: Name = Field(description="The other, likewise.", examples=["feed_nut.thread"])
    hidden: Hidden | None = Field(
        None, description="How much of the male end is out of sight when the joint is made up."
    )
    turns: Number | None = Field(
        None,
        ge=0,
        description="How many turns a thread is screwed in, where `hidden` is not given.",
        examples=[4],
    )
    slack: LengthAboveZero | None = Field(
        None,
        description="How far out of place the joint may hold it each way, k = 2; without it a usual figure.",
        examples=["0.1 mm"],
    )
    angle: Angle | None = Field(
        None,
        description="How far `b` is turned about the joint from `a`, right-handed about the way `a` points: counted "
        "from x axis to x axis, or z axis of a part whose port lies along its x. It fixes nothing where `a` may itself "
        "stand any way round, as a round bush: name a port in its clocking there.",
        examples=["90 deg"],
    )
    angle_pm: AngleAboveZero | None = Field(
        None, description="Plus-or-minus of that, k = 2; without it ± 10 deg.", examples=["5 deg"]
    )
    lean: AngleAboveZero | None = Field(None, description="How far out of line, likewise.", examples=["0.5 deg"])

    @model_validator(mode="after")
    def _depth_once(self) -> Joint:
        if self.hidden is not None and self.turns is not None:
            raise refused("both hidden and turns", "one of the two", "Take out the one that is less sure.", "turns")
        return self


class Tube(Record):
    """The tube a pipe is made of."""

    od: LengthAboveZero = Field(description="Outside diameter.", examples=["3/16 in"])
    wall: str = Field(description="Wall, as a length or a wire gauge.", examples=["22 swg"])
    metal: str = Field("CW024A", description="Its metal, by its name in the tables.", examples=["CW024A"])


class PipeEnd(Record):
    """One end of a pipe to be made."""

    port: Name = Field(
        description="The port it goes to: one with a surveyed face, or of a part that its joints and clocking place.",
        examples=["check_valve.inlet"],
    )
    straight: LengthFromZero = Field(
        description="Straight needed before the first bend, from the face: nut slid back, and the bender's grip.",
        examples=["14 mm"],
    )
    enters: LengthFromZero = Field(
        description="How far the tube's end goes past the face, to the bottom of its socket.",
        examples=["3.5 mm"],
    )


class PipeEntry(Record):
    """A pipe that is wanted."""

    what: str = Field("", description="Which one, in words.", examples=["feed from the tender union to the clack"])
    tube: Tube = Field(description="What it is made of.")
    start: PipeEnd = Field(description="The end the bend table counts from.")
    end: PipeEnd = Field(description="The far end.")
    bend_radius: LengthAboveZero | None = Field(
        None,
        description="Centre-line radius; without it the shop's former for this tube.",
        examples=["12.7 mm"],
    )
    bends_most: Whole = Field(2, ge=0, le=3, description="The most bends allowed.", examples=[2])
    clearance: LengthFromZero | None = Field(
        None,
        description="Room wanted between its skin and everything it passes; without it the shop's.",
        examples=["2 mm"],
    )
    lagging: LengthAboveZero | None = Field(
        None, description="Thickness of lagging wound round it, kept clear besides.", examples=["1.5 mm"]
    )
    like: Name | None = Field(
        None,
        description="An old pipe of `tubes` whose way it follows, corner by corner, instead of the shortest.",
        examples=["old_feed"],
    )
    file_allowance: LengthFromZero = Field(description="Left on for facing the ends to length.", examples=["0.5 mm"])


class Job(Record):
    """One job document, whole."""

    format: Whole = Field(ge=1, le=1, description="Version of this layout.", examples=[1])
    job: JobCard = Field(description="Whose job it is.")
    engine: Engine = Field(description="The engine it is for.")
    survey: SurveySettings | None = Field(None, description="How the photographs were marked; needed with marks.")
    phones: dict[str, Phone] = Field(default_factory=dict, description="The telephones, by name.")
    card: Card | None = Field(None, description="The scale card, as printed.")
    photographs: dict[str, PhotographEntry] = Field(default_factory=dict, description="The photographs, by name.")
    points: dict[str, PointEntry] = Field(default_factory=dict, description="Points on the engine, by name.")
    marks: dict[str, dict[str, Mark]] = Field(
        default_factory=dict, description="Where points are seen: by the photograph's name, then the point's."
    )
    tubes: dict[str, TubeEntry] = Field(
        default_factory=dict, description="Pipes and rods that the photographs show, by name."
    )
    edges: dict[str, dict[str, dict[str, Clicks]]] = Field(
        default_factory=dict,
        description="Marks along the edges of tubes, either edge, in any order: by the photograph's name, the tube's, "
        "and the straight length or bend.",
        examples=[{"front": {"feed_pipe": {"leg1": [[2501, 1398], [2503, 1440], [2548, 1397], [2550, 1441]]}}}],
    )
    rims: dict[str, RimEntry] = Field(
        default_factory=dict, description="Rims of round faces that the photographs show, by name."
    )
    rim_marks: dict[str, dict[str, Clicks]] = Field(
        default_factory=dict,
        description="Five marks or more round a rim: by the photograph's name, then the rim's.",
        examples=[{"front": {"bare_bush_rim": [[2296, 793], [2353, 830], [2351, 880], [2296, 914], [2240, 860]]}}],
    )
    readings: tuple[ReadingEntry, ...] = Field((), description="Distances measured between points.")
    parts: dict[str, PartEntry] = Field(default_factory=dict, description="The parts that meet the pipes, by name.")
    joints: tuple[Joint, ...] = Field((), description="Which ports go together.")
    bodies: dict[str, EngineBodyEntry] = Field(
        default_factory=dict, description="What of the engine stands in the way, by name."
    )
    pipes: dict[str, PipeEntry] = Field(default_factory=dict, description="The pipes to be made, by name.")
    clocking: dict[str, ClockingEntry] = Field(
        default_factory=dict, description="Screwed fittings that must point somewhere, by name."
    )
    fitting: dict[str, FittingEntry] = Field(
        default_factory=dict, description="What the owner is told when he fits a part or pipe, by its name."
    )
    comes_off: dict[str, tuple[ComesOffEntry, ...]] = Field(
        default_factory=dict,
        description="How parts and pipes come off, by name, where their joints do not say it or there is another way.",
    )
    order: OrderEntry | None = Field(None, description="What has to come off and go on, and with which spanners.")
    turned: dict[str, TurnedEntry] = Field(default_factory=dict, description="The parts to be turned, by name.")
    breaks: dict[str, BreakEntry] = Field(default_factory=dict, description="Threaded tails that broke, by name.")
    assemblies: dict[str, AssemblyEntry] = Field(
        default_factory=dict, description="What is put together at the bench, by name."
    )
    heating: dict[str, HeatingEntry] = Field(default_factory=dict, description="Heats with the torch, by name.")
    circuit: CircuitEntry | None = Field(None, description="The water circuit.")
    pressure_tests: dict[str, PressureTestEntry] = Field(
        default_factory=dict, description="What is tested under pressure, by name."
    )
    parcel: ParcelEntry | None = Field(None, description="The parcel: what came in and what goes out.")
    flat_prints: dict[str, FlatPrintEntry] = Field(
        default_factory=dict, description="Photographs the pack holds printed flat at true size, by the print's name."
    )
    before_and_after: dict[str, BeforeAndAfterEntry] = Field(
        default_factory=dict, description="Pieces shown as they came and as they go back, at one scale, by name."
    )
    quote: QuoteEntry | None = Field(None, description="What is quoted.")
    invoice: InvoiceEntry | None = Field(None, description="The invoice.")
