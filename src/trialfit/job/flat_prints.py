"""Records of the job document: photographs to be printed flat, at true size, to lay work out over."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from trialfit.job.values import LengthAboveZero, Name, Record


class FlatPrintEntry(Record):
    """A photograph that the pack holds flattened to a plane, at true size."""

    photograph: Name = Field(description="The photograph, by its name.", examples=["front"])
    around: Name | None = Field(
        None, description="The point it is printed round; without it the card.", examples=["check.face"]
    )
    size: LengthAboveZero | None = Field(
        None, description="Side of the square that is printed; without it a usual one.", examples=["120 mm"]
    )
    through: Annotated[tuple[Name, ...], Field(max_length=12)] = Field(
        (),
        description="Three surveyed points or more that the plane goes through; without them the card's plane.",
        examples=[["gauge_top.face", "check.face", "blowdown.face"]],
    )
    height: LengthAboveZero | None = Field(
        None, description="For arrows: how far things stand proud of the plane; without it 5 mm.", examples=["12 mm"]
    )
