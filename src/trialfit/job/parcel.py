"""Records of the job document: what came in the parcel, and what becomes of every piece."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from trialfit.job.breaks import Mass
from trialfit.job.pricing import Count
from trialfit.job.values import Day, LengthAboveZero, Name, Record, YesNo, refused

Goes = Literal["returned", "replaced", "scrapped", "kept"]
Enclosed = Literal["ordinary", "aerosol", "flux", "acid", "flammable liquid", "gas", "adhesive", "battery", "paint"]


class ArrivedEntry(Record):
    """One line of what arrived: a piece, or several alike."""

    what: Name = Field(description="What it is, in words.", examples=["check valve, right-hand"])
    count: Count = Field(1, description="How many of them.", examples=[2])
    condition: str = Field("", description="As it came.", examples=["sound, seat pitted"])
    part: Name | None = Field(None, description="Which part of the job it is, or was.", examples=["check_valve"])
    piece: str = Field(
        "", description="Which piece of such a part, where it is not the part itself.", examples=["ball"]
    )
    has: tuple[Name, ...] = Field((), description="Pieces seen in it and not taken out.", examples=[["ball", "cap"]])
    inside: Name | None = Field(None, description="The line it lies inside of.", examples=["check_valve"])
    bag: str = Field("", description="The bag it lies in.", examples=["A"])
    photograph: Name | None = Field(
        None, description="A photograph that shows it, printed small on the packing list.", examples=["front"]
    )
    one_way: str = Field(
        "", description="Where it goes one way only: which way.", examples=["small end towards the boiler"]
    )
    unlike: Name | None = Field(
        None, description="The line it looks like and must not be changed with.", examples=["tank_nut_old"]
    )
    mass: Mass | None = Field(None, description="Mass of one, by the scales.", examples=["46 g"])


class GoesEntry(Record):
    """What becomes of pieces that came."""

    piece: Name = Field(description="The line of what arrived.", examples=["check_valve"])
    goes: Goes = Field(description="What becomes of it.", examples=["replaced"])
    count: Count | None = Field(None, description="How many of them; without it all.", examples=[1])
    by: str = Field(
        "", description="Of what is replaced: what replaces it, as turned.NAME, pipes.NAME or in words.",
        examples=["turned.cones"],
    )  # fmt: skip
    old: Literal["returned", "scrapped", "kept"] | None = Field(
        None, description="Of what is replaced: what becomes of the old one.", examples=["returned"]
    )
    leave: str = Field(
        "", description="The owner's leave to scrap or keep it: how and when given.", examples=["letter of 18 March"]
    )

    @model_validator(mode="after")
    def _is_said_whole(self) -> GoesEntry:
        if self.goes == "replaced" and self.old is None:
            remedy = 'Add old = "returned", "scrapped" or "kept".'
            raise refused("nothing", "what becomes of the old one", remedy, "old")
        if self.goes != "replaced" and (self.by or self.old):
            key = "by" if self.by else "old"
            raise refused(f'{key} with "{self.goes}"', f'{key} only with "replaced"', "Take it out.", key)
        return self


class TransitEntry(Record):
    """A piece that is only there for the journey and comes off before fitting."""

    what: Name = Field(description="What it is, in words.", examples=["red plastic cap"])
    on: Name = Field(description="Where it sits, in words.", examples=["the cone at the tank end"])
    holds: str = Field("", description="What it holds, or keeps clean.", examples=["the loose cone"])
    count: Count = Field(1, description="How many of them.", examples=[2])
    mass: Mass | None = Field(None, description="Mass of one.", examples=["1 g"])


class EnclosedEntry(Record):
    """Something else that goes into the parcel."""

    what: Name = Field(description="What it is, in words.", examples=["two fibre washers"])
    count: Count = Field(1, description="How many.", examples=[1])
    kind: Enclosed = Field("ordinary", description="What sort of thing it is, for the carrier.", examples=["adhesive"])
    mass: Mass | None = Field(None, description="Mass of one.", examples=["2 g"])


class BoxEntry(Record):
    """The box it goes back in."""

    size: tuple[LengthAboveZero, LengthAboveZero, LengthAboveZero] = Field(
        description="Inside, longest side first.", examples=[["250 mm", "160 mm", "80 mm"]]
    )
    mass: Mass = Field(description="Mass of box, wrapping and papers.", examples=["180 g"])


class ParcelEntry(Record):
    """The parcel, in and out."""

    arrived: Day | None = Field(None, description="When it came.", examples=["2026-03-10"])
    by: str = Field("", description="Who unpacked it.", examples=["workshop"])
    lines: dict[str, ArrivedEntry] = Field(default_factory=dict, description="What arrived, by name.")
    out: tuple[GoesEntry, ...] = Field((), description="What becomes of it.")
    joined: dict[str, str] = Field(
        default_factory=dict,
        description="New turned parts and pipes that travel on something else, by turned.NAME or pipes.NAME: on what.",
        examples=[{"turned.cones": "silver-soldered to the feed pipe"}],
    )
    stays: tuple[Name, ...] = Field(
        (), description="New turned parts and pipes that do not go into this parcel.", examples=[["turned.spare"]]
    )
    transit: dict[str, TransitEntry] = Field(
        default_factory=dict, description="Pieces for the journey, to be taken off before fitting, by name."
    )
    enclosed: dict[str, EnclosedEntry] = Field(default_factory=dict, description="What else goes in, by name.")
    box: BoxEntry | None = Field(None, description="The box.")
    whole: YesNo = Field(
        False, description="Whether everything that came is written down; until then nothing is closed.",
        examples=[True],
    )  # fmt: skip
    label: str = Field(
        "",
        description="The owner's name for labels and sheets, where the fonts do not hold its script.",
        examples=["H. Wrenfield"],
    )
