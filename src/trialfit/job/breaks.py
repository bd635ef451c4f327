"""Records of the job document: what broke, what was seen of it, and how it is to be repaired."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from trialfit.job.tooling import MetalName, ThreadName
from trialfit.job.values import LengthAboveZero, LengthFromZero, Measure, Name, Record, YesNo, refused
from trialfit.units import Quantity

Where = Literal[
    "at the first thread",
    "at the shoulder",
    "at a cross hole",
    "part-way along the thread",
    "inside the other part",
    "in the plain tube",
]
Clue = Literal[
    "broke while tightening",
    "broke while unscrewing",
    "broke in a knock or a lift",
    "found broken",
    "bright all over",
    "dark all over",
    "part dark, part bright",
    "rings like a shell",
    "metal smeared round",
    "pink metal",
    "bent",
    "straight",
    "threads drawn out",
    "split lengthwise",
    "branched cracks",
    "crack ring beside the break",
    "hexagon marked",
    "hexagon clean",
    "adhesive in the thread",
    "paste or tape in the thread",
    "silver-soldered beside the thread",
    "water left in it in frost",
    "pipe pulled into place",
    "shakes in running",
    "leaked before it broke",
    "ammonia about",
]


def _part_of_a_whole(share: Quantity) -> Quantity:
    if share.number >= 100:
        raise refused(share.written, "less than the whole section, under 100 %", "Say how much of the face is gone.")
    return share


Mass = Annotated[Quantity, Measure("mass", "above zero")]
Share = Annotated[Quantity, Measure("share", "not negative"), AfterValidator(_part_of_a_whole)]


class Hangs(Record):
    """What hangs on the tail."""

    mass: Mass = Field(description="Its mass.", examples=["60 g"])
    arm: LengthAboveZero = Field(
        description="From the first thread that carries to its middle, or to where a hand would catch it.",
        examples=["35 mm"],
    )


class SpannerUsed(Record):
    """The spanner it was, or will be, tightened with."""

    length: LengthAboveZero = Field(description="From the tail's axis to the hand.", examples=["75 mm"])
    height: LengthFromZero | None = Field(
        None,
        description="From the first thread that carries to the spanner's plane; without it, the thread's diameter.",
        examples=["8 mm"],
    )


class Repaired(Record):
    """The tail as it is to be repaired; what is left out stays as it was found."""

    thread: ThreadName | None = Field(None, description="Its thread.", examples=["1/4x40"])
    bore: LengthFromZero | None = Field(None, description="Its bore under the thread.", examples=["1/8 in"])
    metal: MetalName | None = Field(None, description="Its metal, by its name in the tables.", examples=["CW451K"])
    soldered: YesNo = Field(
        False, description="Whether the tail comes to silver-soldering heat and goes soft.", examples=[True]
    )
    engaged: LengthAboveZero | None = Field(None, description="Full thread in the other part.", examples=["6 mm"])


class BreakEntry(Record):
    """A hollow threaded tail that broke."""

    what: str = Field("", description="Which one, in words.", examples=["tail of the feed elbow, in the bush"])
    part: Name | None = Field(None, description="The part it belongs to, by its name.", examples=["check_valve"])
    thread: ThreadName = Field(description="Its thread.", examples=["1/4x40"])
    bore: LengthFromZero = Field(description="Its bore where it broke.", examples=["5/32 in"])
    off_centre: LengthFromZero | None = Field(
        None,
        description="How far the bore stands off the thread's axis: half of thickest less thinnest wall.",
        examples=["0.1 mm"],
    )
    metal: MetalName | None = Field(
        None, description="Its metal; without it the part's, or free-cutting brass is assumed.", examples=["CW614N"]
    )
    soldered: YesNo = Field(
        False, description="Whether it has been at silver-soldering heat since it was drawn.", examples=[True]
    )
    shoulder: LengthAboveZero | None = Field(
        None,
        description="Outside diameter of the face it tightened against; left out where none bore.",
        examples=["10 mm"],
    )
    engaged: LengthAboveZero | None = Field(None, description="Full thread in the other part.", examples=["6 mm"])
    into: MetalName | None = Field(None, description="The other part's metal.", examples=["CC491K"])
    lost: Share | None = Field(
        None, description="Share of the section that no longer carried: pink, or an old crack.", examples=["30 %"]
    )
    lost_from: Literal["inside", "outside"] = Field(
        "outside", description="From which side that share was gone.", examples=["inside"]
    )
    where: Where | None = Field(None, description="Where it broke.", examples=["at the first thread"])
    evidence: tuple[Clue, ...] = Field(
        (), description="What was seen or told.", examples=[["bright all over", "threads drawn out"]]
    )
    hangs: Hangs | None = Field(None, description="What hangs on it.")
    spanner: SpannerUsed | None = Field(None, description="The spanner it is tightened with.")
    repaired: Repaired | None = Field(None, description="The tail as it is to be repaired.")

    @model_validator(mode="after")
    def _agrees(self) -> BreakEntry:
        for one, other in (("bent", "straight"), ("hexagon marked", "hexagon clean")):
            if one in self.evidence and other in self.evidence:
                raise refused(f'"{one}" and "{other}"', "one of the two", "Take one out.", "evidence")
        return self
