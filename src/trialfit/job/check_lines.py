"""Records of the job document: lines of a printed card that were measured on the paper."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from trialfit.job.values import LengthAboveZero, Reading, Record


class CheckLine(Record):
    """A line of known nominal length on the printed card, and what it measured on the paper."""

    along: Literal["long", "short"] = Field(
        description="Which side of the card the line lies along.", examples=["long"]
    )
    nominal: LengthAboveZero = Field(description="What it should be.", examples=["120 mm"])
    reading: Reading = Field(description="What it measured.")
