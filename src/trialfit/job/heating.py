"""Records of the job document: one heat with the torch, what hangs together in it, and what must not get too hot."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from trialfit.job.assemblies import FillerName, Seal, Temperature
from trialfit.job.breaks import Mass
from trialfit.job.tooling import MetalName
from trialfit.job.values import (
    LengthAboveZero,
    LengthFromZero,
    Measure,
    Name,
    Record,
    Whole,
    YesNo,
    refused,
)
from trialfit.tables.joining import fluxes
from trialfit.units import Quantity

Power = Annotated[Quantity, Measure("power", "above zero")]
Seconds = Annotated[Quantity, Measure("time", "above zero")]
Does = Literal["silver-solder", "soft-solder", "release", "anneal"]
Sits = Literal["boiler side", "dead leg", "tank side"]
Holds = Literal["retaining compound", "high-temperature retaining compound", "lapped seat", "paint"]

FLUXES = tuple(dict.fromkeys(flux.name for flux in fluxes()))


class HeatedBody(Record):
    """A body that is heated, or that hangs on one: a nut, an elbow, a bush."""

    what: str = Field("", description="What it is, in words.", examples=["elbow body"])
    metal: MetalName | None = Field(
        None, description="Its metal; left out where the assembly's body of that name says it.", examples=["CW614N"]
    )
    mass: Mass = Field(description="Its mass, by the kitchen scales.", examples=["32 g"])
    across: LengthAboveZero = Field(description="Its width, as a cylinder would have it.", examples=["14 mm"])
    long: LengthAboveZero = Field(description="Its length, likewise.", examples=["22 mm"])
    wet: YesNo = Field(False, description="Whether it may hold water shut in.", examples=[True])
    openings: Whole | None = Field(
        None, ge=0, description="How many openings it has while it is heated, where it is hollow.", examples=[2]
    )
    old_solder: YesNo = Field(
        False, description="Whether it holds silver solder somebody else put there.", examples=[True]
    )


class HeatedPipe(Record):
    """A tube or rod between bodies, or with a free end."""

    what: str = Field("", description="What it is, in words.", examples=["feed pipe"])
    metal: MetalName | None = Field(
        None, description="Its metal; left out where the assembly's body of that name says it.", examples=["CW024A"]
    )
    od: LengthAboveZero = Field(description="Outside diameter.", examples=["3/16 in"])
    wall: str | None = Field(None, description="Wall, as a length or a gauge; none for a rod.", examples=["22 swg"])
    long: LengthAboveZero = Field(description="Length between the bodies.", examples=["120 mm"])
    start: Name | None = Field(None, description="The body at its start; none for a free end.", examples=["elbow"])
    end: Name | None = Field(None, description="The body at its end; none for a free end.", examples=["cone"])
    wet: YesNo = Field(False, description="Whether it may hold water shut in.", examples=[True])


class Spot(Record):
    """A place on a body, or so far along a pipe."""

    on: Name = Field(description="The body or the pipe.", examples=["pipe"])
    along: LengthFromZero | None = Field(
        None, description="From the pipe's start; left out on a body.", examples=["30 mm"]
    )


class ThereAlready(Spot):
    """Something that is there already and must stay as it is. One of filler, seal and holds."""

    what: str = Field("", description="Which one, in words.", examples=["joint of the cone"])
    filler: FillerName | None = Field(None, description="A joint, by its filler or solder.", examples=["Ag155"])
    seal: Seal | None = Field(None, description="A seal.", examples=["FKM"])
    holds: Holds | None = Field(None, description="Something else that heat spoils.", examples=["retaining compound"])
    stands: Temperature | None = Field(
        None, description="Highest temperature it stands, where better known.", examples=["200 C"]
    )
    sits: Sits | None = Field(None, description="Where it sits in service.", examples=["dead leg"])
    off_boiler: LengthFromZero | None = Field(
        None, description="Length of pipe between the boiler and it, in a dead leg.", examples=["60 mm"]
    )

    @model_validator(mode="after")
    def _one_thing(self) -> ThereAlready:
        given = [key for key in ("filler", "seal", "holds") if getattr(self, key) is not None]
        if len(given) != 1:
            got = " and ".join(given) if given else "nothing"
            raise refused(got, "one of filler, seal and holds", "Say what it is that must stay as it is.")
        if self.sits == "dead leg" and self.off_boiler is None:
            raise refused("a dead leg", "off_boiler with it", 'Add how far it is: off_boiler = "60 mm".', "off_boiler")
        return self


class Rag(Spot):
    """A wet rag, kept wet, or a clamp that takes heat up."""

    kind: Literal["wet rag", "clamp"] = Field("wet rag", description="Which of the two.", examples=["clamp"])
    long: LengthAboveZero = Field(description="How much of the pipe it covers.", examples=["15 mm"])
    mass: Mass | None = Field(None, description="Mass of a clamp.", examples=["250 g"])
    metal: MetalName = Field("MS070M20", description="Metal of a clamp.", examples=["MS070M20"])

    @model_validator(mode="after")
    def _clamp_has_mass(self) -> Rag:
        if self.kind == "clamp" and self.mass is None:
            raise refused("nothing", "a clamp's mass", "Add it: it decides how long the clamp helps.", "mass")
        return self


class Gap(Record):
    """The fit of one part in another, as it is cold."""

    hole: LengthAboveZero = Field(description="Bore of the outer part.", examples=["4.90 mm"])
    shank: LengthAboveZero = Field(description="Diameter of the inner part.", examples=["4.76 mm"])
    overlap: LengthAboveZero = Field(description="How far one is within the other.", examples=["5 mm"])
    outer: MetalName = Field(description="Metal of the outer part.", examples=["CW614N"])
    inner: MetalName = Field(description="Metal of the inner part.", examples=["CW024A"])
    wire: LengthAboveZero | None = Field(None, description="Diameter of the solder wire.", examples=["1.5 mm"])

    @model_validator(mode="after")
    def _goes_in(self) -> Gap:
        if self.shank.to("mm") >= self.hole.to("mm"):
            raise refused(
                f"a shank of {self.shank} in a hole of {self.hole}", "a shank smaller than its hole",
                "Check which is which; a joint without a gap takes no solder.", "shank",
            )  # fmt: skip
        return self


class Thin(Record):
    """A thin flat part near the flame."""

    on: Name = Field(description="The body it belongs to.", examples=["bracket"])
    thick: LengthAboveZero = Field(description="Its thickness.", examples=["0.5 mm"])
    across: LengthAboveZero = Field(description="Its width between what holds it flat.", examples=["25 mm"])


class HeatingEntry(Record):
    """One heat with the torch."""

    what: str = Field("", description="Which one, in words.", examples=["pipe into the elbow"])
    do: Does = Field(description="What it is for.", examples=["silver-solder"])
    assembly: Name | None = Field(
        None, description="The assembly it belongs to, whose bodies say what they are of.", examples=["elbow"]
    )
    torch: Name | None = Field(
        None, description="The workshop's torch; without it, its first.", examples=["small torch"]
    )
    flame_on: Name = Field(description="The body, or the pipe at its start, the flame plays on.", examples=["elbow"])
    joint: Spot = Field(description="What must come up to heat.")
    filler: FillerName | None = Field(None, description="Filler or solder, by its name.", examples=["Ag155"])
    flux: str | None = Field(None, description="Flux, by its name in the tables.", examples=["general silver"])
    reaches: Temperature | None = Field(
        None, description="How hot it must get; without it the filler's liquidus.", examples=["280 C"]
    )
    bodies: dict[str, HeatedBody] = Field(default_factory=dict, description="The bodies, by name.")
    pipes: dict[str, HeatedPipe] = Field(default_factory=dict, description="The pipes between them, by name.")
    there: dict[str, ThereAlready] = Field(
        default_factory=dict, description="What is there already and must stay as it is, by name."
    )
    rags: tuple[Rag, ...] = Field((), description="Wet rags and clamps.")
    gap: Gap | None = Field(None, description="The fit of the joint.")
    thin: tuple[Thin, ...] = Field((), description="Thin flat parts.")
    sits: Sits | None = Field(None, description="Where the joint sits in service.", examples=["boiler side"])
    off_boiler: LengthFromZero | None = Field(
        None, description="Length of pipe between the boiler and it, in a dead leg.", examples=["60 mm"]
    )

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, written: Any) -> Any:
        """A joint that is a whole body may be written as its name."""
        if isinstance(written, dict) and isinstance(written.get("joint"), str):
            return {**written, "joint": {"on": written["joint"]}}
        return written

    @model_validator(mode="after")
    def _makes_sense(self) -> HeatingEntry:
        if self.do in ("silver-solder", "soft-solder") and self.filler is None:
            raise refused("nothing", f"filler with {self.do}", "Add it: it decides how hot.", "filler")
        if self.filler is None and self.reaches is None and self.do == "anneal":
            raise refused("nothing", "reaches with anneal", 'Add it, for instance reaches = "600 C".', "reaches")
        if self.flux is not None and self.flux not in FLUXES:
            raise refused(self.flux, "a flux of the tables", f"Write one of {', '.join(FLUXES)}.", "flux")
        if self.sits == "dead leg" and self.off_boiler is None:
            raise refused("a dead leg", "off_boiler with it", 'Add how far it is: off_boiler = "60 mm".', "off_boiler")
        return self
