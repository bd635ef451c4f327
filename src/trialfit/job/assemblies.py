"""Records of the job document: what is made up of several bodies, and the work to be done on them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from trialfit.job.tooling import MetalName
from trialfit.job.values import (
    AngleAboveZero,
    LengthAboveZero,
    Measure,
    Name,
    Record,
    Whole,
    YesNo,
    refused,
)
from trialfit.tables.joining import fillers, solders
from trialfit.units import Quantity

Work = Literal[
    "silver-solder",
    "soft-solder",
    "anneal",
    "warm",
    "pickle",
    "bend",
    "slide on",
    "fit seal",
    "retaining compound",
    "screw together",
    "take off",
    "machine",
    "lap",
    "paint",
    "drain",
    "close",
    "test",
]
Seal = Literal[
    "NBR",
    "EPDM",
    "FKM",
    "VMQ",
    "FEPM",
    "PTFE",
    "FFKM",
    "PTFE tape",
    "fibre washer",
    "bonded seal",
    "copper washer",
]
End = Literal["start", "end"]
Temperature = Annotated[Quantity, Measure("temperature")]

# Keys that only some kinds of work have any use for.
_ONLY_FOR: dict[str, tuple[str, ...]] = {
    "filler": ("silver-solder", "soft-solder"),
    "reaches": ("silver-solder", "soft-solder", "anneal", "warm"),
    "kept_cool": ("silver-solder", "soft-solder", "anneal", "warm"),
    "seal": ("fit seal",),
    "grade": ("retaining compound",),
    "hole": ("slide on",),
    "long": ("slide on",),
    "radius": ("bend",),
    "angle": ("bend",),
}
_NEEDED: dict[str, tuple[str, ...]] = {
    "silver-solder": ("filler",),
    "soft-solder": ("filler",),
    "fit seal": ("seal",),
    "warm": ("reaches",),
    "slide on": ("end",),
}


def _filler(written: str) -> str:
    known = [each.name for each in fillers()] + list(dict.fromkeys(each.name for each in solders()))
    if written not in known:
        raise refused(written, "a filler or solder of the tables", f"Write one of {', '.join(known)}.")
    return written


FillerName = Annotated[str, AfterValidator(_filler)]


class Body(Record):
    """One body of an assembly: a tube, a cone, a nut."""

    what: str = Field("", description="What it is, in words.", examples=["feed pipe"])
    metal: MetalName | None = Field(None, description="Its metal, by its name in the tables.", examples=["CW024A"])
    od: LengthAboveZero | None = Field(
        None, description="Outside diameter, of a tube that nuts slide on.", examples=["3/16 in"]
    )
    stops: tuple[End, ...] = Field(
        (), description="Ends that came with something on them which no nut passes.", examples=[["start"]]
    )
    seals: tuple[Seal, ...] = Field((), description="Seals that were in it when it came.", examples=[["NBR"]])
    old_solder: YesNo = Field(
        False, description="Whether it holds silver solder somebody else put there.", examples=[True]
    )
    wet: YesNo = Field(False, description="Whether it may hold water shut in.", examples=[True])
    openings: Whole | None = Field(
        None, ge=1, description="How many openings it has, where it is hollow and will be shut.", examples=[2]
    )


class Step(Record):
    """One piece of work. The order in which they stand is kept where nothing speaks against it."""

    do: Work = Field(description="What is done.", examples=["silver-solder"])
    what: str = Field("", description="In words, for the bench sheet.", examples=["cone at the clack"])
    on: tuple[Name, ...] = Field(
        min_length=1, description="The bodies it is done on; a joint names both.", examples=[["tube", "clack_cone"]]
    )
    filler: FillerName | None = Field(None, description="Filler or solder, by its name.", examples=["Ag155"])
    reaches: Temperature | None = Field(
        None, description="How hot it gets; without it the filler's liquidus.", examples=["700 C"]
    )
    kept_cool: tuple[Name, ...] = Field(
        (),
        description="Bodies kept cool meanwhile: by a wet rag, by a clamp, or far enough off, as its heat shows.",
        examples=[["nut"]],
    )
    seal: Seal | None = Field(None, description="The seal that is fitted.", examples=["FKM"])
    grade: Literal["ordinary", "high-temperature"] = Field(
        "ordinary", description="Grade of the retaining compound.", examples=["high-temperature"]
    )
    stands: Temperature | None = Field(
        None, description="Highest temperature that what is fitted stands, where better known.", examples=["200 C"]
    )
    stands_acid: YesNo | None = Field(
        None, description="Whether what is fitted stands the pickle, where better known.", examples=[True]
    )
    end: End | None = Field(None, description="At, or nearest to, which end of the tube.", examples=["start"])
    outside: LengthAboveZero | None = Field(
        None, description="Outside diameter of what then stands at that end.", examples=["7 mm"]
    )
    hole: LengthAboveZero | None = Field(None, description="Hole of a nut that is slid on.", examples=["4.9 mm"])
    long: LengthAboveZero | None = Field(None, description="Length of that hole.", examples=["8 mm"])
    radius: LengthAboveZero | None = Field(None, description="Centre-line radius of a bend.", examples=["12.7 mm"])
    angle: AngleAboveZero | None = Field(None, description="Angle of a bend.", examples=["90 deg"])
    shuts: Name | None = Field(None, description="A hollow body this shuts one opening of.", examples=["float"])
    after: tuple[Name, ...] = Field((), description="Work that must be done before this.", examples=[["lap_seat"]])
    because: str = Field("", description="Why, where `after` says so.", examples=["the seat guides the reamer"])
    after_test: YesNo = Field(False, description="Whether it may be done once the test is passed.", examples=[True])

    @model_validator(mode="before")
    @classmethod
    def _one_body(cls, written: Any) -> Any:
        """A single body may be written without brackets."""
        if isinstance(written, dict) and isinstance(written.get("on"), str):
            return {**written, "on": [written["on"]]}
        return written

    @model_validator(mode="after")
    def _keys_fit(self) -> Step:
        for key, kinds in _ONLY_FOR.items():
            if key in self.model_fields_set and self.do not in kinds:
                remedy = f"Take it out, or is the work to be {' or '.join(kinds)}?"
                raise refused(f'"{key}" with "{self.do}"', f"{key} only with {', '.join(kinds)}", remedy, key)
        for key in _NEEDED.get(self.do, ()):
            if getattr(self, key) is None:
                raise refused("nothing", f"{key} with {self.do}", f"Add {key}: it decides the order.", key)
        return self


class AssemblyEntry(Record):
    """Something made or repaired at the bench out of several bodies."""

    what: str = Field("", description="What it is, in words.", examples=["feed pipe with cones and nuts"])
    bodies: dict[str, Body] = Field(default_factory=dict, description="The bodies, by name.")
    joined: tuple[tuple[Name, Name], ...] = Field(
        (), description="Bodies that were joined when they came.", examples=[[["elbow", "tail"]]]
    )
    work: dict[str, Step] = Field(default_factory=dict, description="The work, by name.")
