"""Records of the job document: what the owner is told of one part when he fits it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from trialfit.job.assemblies import Temperature
from trialfit.job.heating import Sits
from trialfit.job.values import LengthAboveZero, LengthFromZero, Measure, Name, Record, YesNo, refused
from trialfit.units import Quantity

FitSeal = Literal[
    "dry", "retaining compound", "high-temperature retaining compound", "jointing compound", "PTFE tape", "washer",
    "copper washer", "fibre washer", "bonded seal",
]  # fmt: skip
Torque = Annotated[Quantity, Measure("torque", "above zero")]
Time = Annotated[Quantity, Measure("time", "above zero")]


class FittingEntry(Record):
    """What the owner is told of one part or pipe when he fits it."""

    called: str = Field(
        "",
        description="What the owner calls it, in his own language; without it, what the job says it is.",
        examples=["the nut under the check valve"],
    )
    seal: FitSeal | None = Field(
        None,
        description="What seals it where the owner makes it up; without it nothing is said.",
        examples=["retaining compound"],
    )
    sits: Sits | None = Field(
        None,
        description="Where that seal sits in service; without it, it is taken to be as hot as the boiler.",
        examples=["dead leg"],
    )
    off_boiler: LengthFromZero | None = Field(
        None, description="Length of pipe between the boiler and it, in a dead leg.", examples=["60 mm"]
    )
    stands: Temperature | None = Field(
        None, description="Highest temperature the seal stands, as its maker says.", examples=["200 C"]
    )
    cures: Time | None = Field(
        None,
        description="How long the compound is left alone; without it, a retaining compound's full cure in the tables.",
        examples=["24 h"],
    )
    spanner: LengthAboveZero | None = Field(
        None, description="Across the flats of what the owner turns.", examples=["8 mm"]
    )
    tight: Torque | None = Field(
        None, description="How hard to tighten it, where the workshop knows.", examples=["0.8 N·m"]
    )
    tail: Name | None = Field(
        None,
        description="The broken tail whose new one it is: its safe torque is given, or `tight` where that is less.",
        examples=["elbow_tail"],
    )
    clocking: Name | None = Field(
        None,
        description="The clocking that says which way it points; without it, the one of the part's own name.",
        examples=["elbow"],
    )
    hold: YesNo = Field(
        False, description="Whether what is behind it must be held with a second spanner.", examples=[True]
    )
    note: str = Field("", description="Anything else, in the owner's own language.", examples=["mind the gauge glass"])

    @model_validator(mode="after")
    def _cures_what_cures(self) -> FittingEntry:
        if self.sits == "dead leg" and self.off_boiler is None:
            raise refused("a dead leg", "off_boiler with it", 'Add how far it is: off_boiler = "60 mm".', "off_boiler")
        if self.cures is not None and "compound" not in (self.seal or ""):
            raise refused("cures", "a compound that cures", "Take it out, or name the compound under seal.", "cures")
        return self
