"""The records of round faces as the photographs show them, and of the marks round their rims."""

from __future__ import annotations

from pydantic import Field

from trialfit.job.values import LengthAboveZero, Name, Reading, Record


class RimEntry(Record):
    """The rim of a round face: a bush, a flange, a washer, the open end of a tube."""

    what: str = Field("", description="Which one, in words.", examples=["outer edge of the empty bush's face"])
    centre: Name = Field(description="The point in its middle; no other rim has it.", examples=["bare_bush.face"])
    diameter: Reading | None = Field(None, description="Its diameter, where somebody measured it.")
    on_axis: tuple[Name, ...] = Field(
        (), description="Other points on the axis through its middle.", examples=[["bare_bush.back"]]
    )
    on_axis_pm: LengthAboveZero | None = Field(
        None,
        description="How far off that axis they may lie each way, k = 2; needed where `on_axis` is given.",
        examples=["0.3 mm"],
    )
