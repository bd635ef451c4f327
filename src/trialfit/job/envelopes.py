"""Records of the job document: the room a part takes up, piece by piece, as measured."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from trialfit.job.values import Length, LengthAboveZero, Number, Record, refused

Triple = tuple[Length, Length, Length]

_NEEDED: dict[str, str] = {"capsule": "diameter", "cylinder": "diameter", "hexagon": "flats", "box": ""}


class PieceEntry(Record):
    """One simple solid of a part's envelope, in the part's own frame: z along its main axis, x along its side arm."""

    shape: Literal["capsule", "cylinder", "hexagon", "box"] = Field(
        description="Its shape; a capsule is a rod with round ends.", examples=["hexagon"]
    )
    start: Triple = Field(
        description="Middle of one end; of a capsule the middle of its ball, of a box one corner.",
        examples=[["0 mm", "0 mm", "0 mm"]],
    )
    end: Triple = Field(
        description="Middle of the other end; of a box the opposite corner.", examples=[["0 mm", "0 mm", "8 mm"]]
    )
    diameter: LengthAboveZero | None = Field(
        None, description="Diameter of a capsule or cylinder.", examples=["9.5 mm"]
    )
    flats: LengthAboveZero | None = Field(
        None, description="Of a hexagon instead of a diameter, across its flats.", examples=["10 mm"]
    )
    towards: tuple[Number, Number, Number] | None = Field(
        None, description="Which way the middle of a hexagon's flat looks, where it is known.", examples=[[1, 0, 0]]
    )

    @model_validator(mode="after")
    def _has_its_sizes(self) -> Self:
        needed = _NEEDED[self.shape]
        for key in ("diameter", "flats"):
            given = getattr(self, key) is not None
            if given and key != needed:
                raise refused(f"{key} on a {self.shape}", f"{needed or 'two corners'} only", "Take it out.", key)
            if not given and key == needed:
                raise refused("nothing", f"{key}, as it is a {self.shape}", f'Add {key} = "10 mm".', key)
        if self.towards is not None and self.shape != "hexagon":
            raise refused(f"towards on a {self.shape}", "towards on a hexagon only", "Take it out.", "towards")
        self._has_room()
        return self

    def _has_room(self) -> None:
        start, end = ([float(each.to("mm")) for each in place] for place in (self.start, self.end))
        apart = [abs(a - b) for a, b in zip(start, end, strict=True)]
        if self.shape == "box" and min(apart) == 0:
            remedy = "Give two corners that lie across the box from each other, inside it."
            raise refused("a box without thickness", "two opposite corners", remedy, "end")
        if self.shape in ("cylinder", "hexagon") and max(apart) == 0:
            raise refused(f"a {self.shape} without length", "two ends apart", "Measure its length.", "end")
