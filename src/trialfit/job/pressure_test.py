"""Records of the job document: what is tested under pressure, with what gauge, and what was seen."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from trialfit.job.tooling import MetalName
from trialfit.job.values import Day, LengthAboveZero, Measure, Name, Pressure, Record, YesNo, refused
from trialfit.tables.rules import rule
from trialfit.units import Quantity

JointKind = Literal["silver-soldered", "soft-soldered", "screwed", "union"]
Volume = Annotated[Quantity, Measure("volume", "above zero")]
Time = Annotated[Quantity, Measure("time", "above zero")]
Share = Annotated[Quantity, Measure("share", "not negative")]


def _low(pressure: Quantity) -> Quantity:
    most = rule("pressure testing", "air for finding leaks").high or 0.0
    if float(pressure.to("bar")) > most + 1e-9:
        remedy = "Air only finds leaks, at low pressure, under water, after a passed water test. Prove by water."
        raise refused(pressure.written, f"at most {most:g} bar of air", remedy)
    return pressure


AirPressure = Annotated[Pressure, AfterValidator(_low)]


class DrilledWall(Record):
    """The least wall of something drilled through."""

    bore: LengthAboveZero = Field(
        description="Bore of the hole; where it is tapped, the thread's greatest diameter.", examples=["3.2 mm"]
    )
    wall: LengthAboveZero = Field(
        description="Least metal between the hole and the outside or the next hole.", examples=["1.1 mm"]
    )
    metal: MetalName = Field(description="Its metal, by its name in the tables.", examples=["CW451K"])


class TubeUnderTest(Record):
    """A tube that is no pipe of the job."""

    od: LengthAboveZero = Field(description="Outside diameter.", examples=["3/16 in"])
    wall: str = Field(description="Wall, as a length or a wire gauge.", examples=["22 swg"])
    bend_radius: LengthAboveZero | None = Field(
        None, description="Centre-line radius of its tightest bend.", examples=["12.7 mm"]
    )


class Gauge(Record):
    """The gauge the test is read on."""

    division: Pressure = Field(description="What can be read on it.", examples=["0.02 bar"])
    hose: Volume | None = Field(None, description="Room in hose, gauge and connections.", examples=["15 mL"])


class Bubbles(Record):
    """Bubbles seen under water."""

    bubble: LengthAboveZero = Field(description="Diameter of a bubble.", examples=["3 mm"])
    every: Time = Field(description="Time from bubble to bubble.", examples=["1 s"])


class SeenAtTest(Record):
    """What was seen at one test."""

    day: Day = Field(description="When.", examples=["2026-03-20"])
    by: Name = Field(description="Who tested, with what.", examples=["the workshop, hand pump and gauge"])
    medium: Literal["water", "air"] = Field(description="What with.", examples=["water"])
    pressure: Pressure = Field(description="Pressure at the start.", examples=["0.5 bar"])
    held: Time | None = Field(None, description="How long it was held.", examples=["10 min"])
    after: Pressure | None = Field(None, description="Pressure at the end.", examples=["0.48 bar"])
    bubbles: Bubbles | None = Field(None, description="Bubbles, by air under water.")
    what: str = Field("", description="What was seen, and where.", examples=["dry all over"])


class PressureTestEntry(Record):
    """Something that is tested under pressure."""

    what: str = Field("", description="What it is, in words.", examples=["feed pipe with both cones"])
    pipes: tuple[Name, ...] = Field((), description="Pipes of the job in it, by name.", examples=[["feed"]])
    tubes: dict[str, TubeUnderTest] = Field(default_factory=dict, description="Other tubes in it, by name.")
    walls: dict[str, DrilledWall] = Field(default_factory=dict, description="Drilled walls in it, by name.")
    joints: tuple[JointKind, ...] = Field(
        (), description="Kinds of joint in it.", examples=[["silver-soldered", "union"]]
    )
    hot: YesNo = Field(True, description="Whether it is as hot as the boiler at work.", examples=[False])
    ovality: Share | None = Field(
        None, description="Flattening in the bends: greatest less least diameter over nominal.", examples=["5 %"]
    )
    volume: Volume = Field(description="Room in it.", examples=["20 mL"])
    water: Pressure | None = Field(
        None, description="Water test pressure, as agreed with who decides.", examples=["160 psi"]
    )
    agreed_with: str = Field("", description="Who agreed to it.", examples=["the club's boiler inspector"])
    air: AirPressure | None = Field(
        None, description="Air for finding leaks, low and under water; without it the low limit.", examples=["0.5 bar"]
    )
    gauge: Gauge | None = Field(None, description="The gauge.")
    water_gauge: Gauge | None = Field(None, description="The gauge of the water test, where it is another.")
    seen: tuple[SeenAtTest, ...] = Field((), description="What was seen, test by test.")
