"""Records of the job document: what of the engine stands in the way, from marked points or typed sizes."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from trialfit.job.envelopes import Triple
from trialfit.job.values import Angle, Length, LengthAboveZero, LengthFromZero, Name, Record, refused

Through = Annotated[tuple[Name, ...], Field(min_length=3)]

# What each shape is given by: one of these sets of keys, whole.
_WAYS: dict[str, tuple[tuple[str, ...], ...]] = {
    "plane": (("through", "seen_from"),),
    "plate": (("through", "seen_from", "thick"),),
    "box": (("corner", "size"),),
    "cylinder": (
        ("rim", "seen_from", "long"),
        ("start", "end", "diameter"),
        ("start_at", "end_at", "diameter"),
    ),
}
_BESIDES: dict[str, tuple[str, ...]] = {
    "plane": ("behind",),
    "plate": ("behind", "beyond"),
    "box": ("turned",),
    "cylinder": (),
}
_EVERY = sorted({key for ways in _WAYS.values() for way in ways for key in way} | {"behind", "beyond", "turned"})


class EngineBodyEntry(Record):
    """A body of the engine that stays where it is: boiler, backhead, tank side, frame plate, cladding."""

    what: str = Field("", description="What it is, in words.", examples=["backhead plate"])
    shape: Literal["plane", "plate", "box", "cylinder"] = Field(
        description="A plane is solid all behind it; a plate has a thickness.", examples=["plane"]
    )
    through: Through | None = Field(
        None,
        description="Of a plane or plate: three surveyed points or more on its face, not in one line; the first two "
        "give a plate its long edge.",
        examples=[["gauge_top.face", "gauge_bot.face", "bare_bush.face"]],
    )
    behind: Length | None = Field(
        None,
        description="How far behind those points its face lies, as where they are on bushes that stand proud.",
        examples=["4.5 mm"],
    )
    seen_from: Name | None = Field(None, description="A surveyed point on its open side.", examples=["regulator.rod"])
    thick: LengthAboveZero | None = Field(None, description="Thickness of a plate.", examples=["3 mm"])
    beyond: LengthFromZero | None = Field(
        None, description="How far a plate goes on past the outermost of its points.", examples=["20 mm"]
    )
    corner: Triple | None = Field(
        None, description="One corner of a box in the job's frame.", examples=[["190 mm", "20 mm", "0 mm"]]
    )
    size: Triple | None = Field(
        None,
        description="How far it goes from that corner along x, y and z, before it is turned; negative the other way.",
        examples=[["4 mm", "120 mm", "110 mm"]],
    )
    turned: Angle | None = Field(
        None,
        description="How far the box is turned about the upright through its `corner`, anticlockwise from above.",
        examples=["-6 deg"],
    )
    rim: Through | None = Field(
        None,
        description="Of a cylinder: three surveyed points or more round the edge of its near end.",
        examples=[["barrel.top", "barrel.left", "barrel.right"]],
    )
    long: LengthAboveZero | None = Field(
        None, description="How far a cylinder goes away from that end.", examples=["180 mm"]
    )
    start: Triple | None = Field(
        None, description="Middle of one end of a cylinder, typed.", examples=[["90 mm", "180 mm", "70 mm"]]
    )
    end: Triple | None = Field(None, description="Middle of its other end.", examples=[["90 mm", "360 mm", "70 mm"]])
    start_at: Name | None = Field(
        None, description="Instead of `start`: a surveyed point there.", examples=["smokebox.middle"]
    )
    end_at: Name | None = Field(None, description="Instead of `end`: a surveyed point there.", examples=["barrel.back"])
    diameter: LengthAboveZero | None = Field(
        None, description="Diameter of a cylinder, without lagging.", examples=["108 mm"]
    )
    lagging: LengthAboveZero | None = Field(
        None, description="Thickness of lagging and cladding over it.", examples=["5 mm"]
    )
    pm: LengthAboveZero | None = Field(
        None,
        description="Plus-or-minus of its face or typed places, k = 2; without it ± 1 mm is assumed.",
        examples=["0.5 mm"],
    )
    by: str = Field("", description="Who measured it, with what.", examples=["owner, square and rule"])

    @model_validator(mode="after")
    def _is_given_whole(self) -> Self:
        ways = _WAYS[self.shape]
        given = [key for key in _EVERY if getattr(self, key) is not None]
        way = max(ways, key=lambda each: sum(key in given for key in each))
        for key in given:
            if key not in way and key not in _BESIDES[self.shape]:
                remedy = f"Take it out; a {self.shape} is given by {_listed(ways)}."
                raise refused(
                    f"{key} on a {self.shape}", f"only {', '.join((*way, *_BESIDES[self.shape]))}", remedy, key
                )
        lacking = [key for key in way if key not in given]
        if lacking:
            every = " and ".join(lacking)
            remedy = f"Add {every}; a {self.shape} is given by {_listed(ways)}."
            raise refused("nothing", f"{every}, as it is a {self.shape}", remedy, lacking[0])
        return self


def _listed(ways: tuple[tuple[str, ...], ...]) -> str:
    return ", or by ".join(f"{', '.join(way[:-1])} and {way[-1]}" for way in ways)
