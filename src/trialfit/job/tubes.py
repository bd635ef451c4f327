"""The records of pipes and rods as the photographs show them, and of the marks along their edges."""

from __future__ import annotations

from pydantic import Field

from trialfit.job.values import LengthAboveZero, Name, Number, Reading, Record, Whole

Click = tuple[Number, Number]
Clicks = tuple[Click, ...]


class TubeEntry(Record):
    """A pipe or rod that the photographs show: straight, or straight lengths with a bend between each two."""

    what: str = Field("", description="Which one, in words.", examples=["what is left of the old feed pipe"])
    od: Reading = Field(description="Its outside diameter, measured.")
    bends: Whole = Field(
        0, ge=0, le=8, description="How many bends it has; its straight lengths are leg1, leg2 and so on.", examples=[2]
    )
    bend_radius: Reading | None = Field(
        None, description="Centre-line radius of its bends, where it is known; marks on the bends find it too."
    )
    on_axis: dict[str, tuple[Name, ...]] = Field(
        default_factory=dict,
        description="Points in the middle of a straight length, by the name of the length.",
        examples=[{"leg1": ["check_union.face"]}],
    )
    on_axis_pm: LengthAboveZero | None = Field(
        None,
        description="How far off that middle they may lie each way, k = 2; needed where `on_axis` is given.",
        examples=["0.3 mm"],
    )
