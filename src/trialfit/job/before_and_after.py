"""Records of the job document: photographs of a piece as it came and as it goes back, set side by side."""

from __future__ import annotations

from pydantic import Field, model_validator

from trialfit.job.check_lines import CheckLine
from trialfit.job.values import LengthFromZero, Name, Number, Reading, Record, refused

_ONE_WAY = "Keep one of them; without either the scale card that lies in the photograph gives its scale."


class SideEntry(Record):
    """One of the two photographs. The scale card that lies in it gives its scale, unless `marks` or a `point` do."""

    photograph: Name = Field(description="The photograph, by its name.", examples=["as_it_came"])
    show: tuple[tuple[Number, Number], tuple[Number, Number]] = Field(
        description="Two opposite corners of what is shown, x right and y down, in pixels of the upright photograph.",
        examples=[[[900, 620], [1900, 1800]]],
    )
    height: LengthFromZero | None = Field(
        None,
        description="How high the outline of the piece lies over the card's face, or over the two marks; without it "
        "not at all.",
        examples=["2.4 mm"],
    )
    check_lines: tuple[CheckLine, ...] = Field(
        (),
        description="With the card in a photograph of the bench: what lines of known length measured on the print that "
        "lies there; without any, the scale is only 1 % sure.",
    )
    marks: tuple[tuple[Number, Number], tuple[Number, Number]] | None = Field(
        None,
        description="Instead of a card: two places, in pixels, that are a known distance apart, as ticks of a rule "
        "beside the piece.",
        examples=[[[1204.5, 911], [1204, 1310]]],
    )
    apart: Reading | None = Field(None, description="With the marks: how far apart they are.")
    point: Name | None = Field(
        None,
        description="Instead of both, in a photograph of the survey: the surveyed point whose distance from the lens "
        "gives the scale.",
        examples=["feed_pipe.end"],
    )

    @property
    def by_card(self) -> bool:
        """Whether the card that lies in it gives its scale."""
        return self.marks is None and self.point is None

    @model_validator(mode="after")
    def _has_one_scale(self) -> SideEntry:
        if self.marks is not None and self.point is not None:
            raise refused("both marks and a point", "one thing that gives the scale", _ONE_WAY, "point")
        if (self.apart is not None) != (self.marks is not None):
            lacks, there = ("marks", "apart") if self.marks is None else ("apart", "marks")
            raise refused(f"{there} without {lacks}", "both or neither", f"Add {lacks}.", lacks)
        if self.check_lines and not self.by_card:
            got = f"check_lines with {'marks' if self.marks is not None else 'a point'}"
            raise refused(got, "check lines of a card that gives the scale", "Take it out.", "check_lines")
        if self.height is not None and self.point is not None:
            raise refused("height with a point", "height with the card or marks", "Take it out.", "height")
        for key, two in (("show", self.show), ("marks", self.marks)):
            if two is not None and (two[0] == two[1] or (key == "show" and _no_area(two))):
                raise refused("two places that enclose nothing", "two places well apart", "Read them off again.", key)
        return self


class BeforeAndAfterEntry(Record):
    """A piece as it came and as it goes back, two photographs at one scale."""

    what: str = Field("", description="What it is, in the owner's own language.", examples=["the feed pipe's end"])
    before: SideEntry = Field(description="The photograph of it as it came.")
    after: SideEntry = Field(description="The photograph of it as it goes back.")


def _no_area(two: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    return two[0][0] == two[1][0] or two[0][1] == two[1][1]
