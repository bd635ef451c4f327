"""Records of the job document: screwed fittings that must point somewhere."""

from __future__ import annotations

from pydantic import Field, model_validator

from trialfit.job.tooling import ThreadName
from trialfit.job.values import Angle, AngleAboveZero, LengthFromZero, Name, Number, Record, refused


class ClockingEntry(Record):
    """A screwed fitting that must point somewhere. Angles are clockwise from twelve, as seen looking along its thread
    from outside towards the part it screws into."""

    what: str = Field("", description="Which one, in words.", examples=["elbow of the blower pipe"])
    thread: ThreadName = Field(description="The thread it screws in by.", examples=["1/4x40"])
    wanted: Angle = Field(description="Where it must point; 120 deg is four o'clock.", examples=["120 deg"])
    twelve: str = Field(description="What stands at twelve o'clock, in words.", examples=["straight up"])
    stopped: Angle | None = Field(
        None,
        description="Where it stopped in the owner's trial: tightened as told, or hand tight for a taper thread.",
        examples=["250 deg"],
    )
    washer: LengthFromZero | None = Field(
        None, description="Thickness of the washer that was under it in the trial, if any.", examples=["0.5 mm"]
    )
    nip: AngleAboveZero | None = Field(
        None,
        description="How much further it turns when tightened, where the trial went only until it touched.",
        examples=["15 deg"],
    )
    turns: tuple[Number, Number] | None = Field(
        None, description="Least and most turns past hand tight, for a taper thread.", examples=[[1.0, 2.0]]
    )
    axis: tuple[Name, Name] | None = Field(
        None,
        description="Used where `stopped` is not given: two surveyed points on the thread's axis, the outer one first.",
        examples=[["elbow.back", "elbow.face"]],
    )
    arm: Name | None = Field(
        None, description="With it: the surveyed point at the end that must point somewhere.", examples=["elbow.end"]
    )
    twelve_at: Name | None = Field(
        None, description="With it: a surveyed point that stands at twelve o'clock.", examples=["gauge_top.face"]
    )

    port: Name | None = Field(
        None,
        description="The part.port that points there, where the fitting is one of the parts; with it `twelve_at` may "
        "stand alone.",
        examples=["blower_elbow.outlet"],
    )

    @model_validator(mode="after")
    def _is_seen_whole(self) -> ClockingEntry:
        seen = [self.axis, self.arm, *([] if self.port and not (self.axis or self.arm) else [self.twelve_at])]
        if any(each is not None for each in seen) and any(each is None for each in seen):
            raise refused("a part of axis, arm and twelve_at", "all three of them", "Add those that are missing.")
        if self.turns is not None and not 0 <= self.turns[0] <= self.turns[1]:
            raise refused(str(list(self.turns)), "the least first, not negative", "Write [least, most].", "turns")
        return self
