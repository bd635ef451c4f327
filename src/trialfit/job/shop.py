"""What the workshop owns and has learnt. Until the workshop says so, figures are assumed and shown as such."""

from __future__ import annotations

from pydantic import Field

from trialfit.job.assemblies import Temperature
from trialfit.job.breaks import Mass
from trialfit.job.heating import Power, Seconds
from trialfit.job.pricing import OperationEntry, Pricing, TimeEntry
from trialfit.job.tooling import MetalName, Tooling, assumed_tooling
from trialfit.job.values import AngleAboveZero, LengthAboveZero, LengthFromZero, Name, Record, YesNo


class Former(Record):
    """One former of the shop's bender."""

    od: LengthAboveZero = Field(description="Outside diameter of the tube it takes.", examples=["3/16 in"])
    radius: LengthAboveZero = Field(description="Centre-line radius it gives.", examples=["12.7 mm"])
    grip: LengthFromZero = Field(description="Straight it needs on either side of a bend.", examples=["10 mm"])
    springs_back: AngleAboveZero | None = Field(
        None, description="What a 90 deg test piece sprang back by.", examples=["3.5 deg"]
    )


class BenchScatter(Record):
    """How far this bench's pipes stray from what was wanted, each k = 2."""

    length: LengthAboveZero = Field(description="A straight or a cut length.", examples=["0.6 mm"])
    bend: AngleAboveZero = Field(description="The angle of one bend.", examples=["2 deg"])
    rotation: AngleAboveZero = Field(description="The turn between two bends.", examples=["4 deg"])


class Slug(Record):
    """A trial of a torch: how long it took to melt a shaving of tin on a slug of round bar."""

    mass: Mass = Field(description="Mass of the slug.", examples=["100 g"])
    across: LengthAboveZero = Field(description="Diameter of the bar it was sawn from.", examples=["20 mm"])
    metal: MetalName = Field("CW614N", description="Its metal, by its name in the tables.", examples=["CW614N"])
    took: Seconds = Field(description="From cold to the melting of the tin.", examples=["48 s"])
    pm: Seconds = Field(description="Its plus-or-minus, k = 2, from three trials or more.", examples=["5 s"])


class Torch(Record):
    """One torch with one burner."""

    power: Power = Field(description="Heat of the gas it burns, from its maker's sheet.", examples=["1.5 kW"])
    flame: Temperature | None = Field(
        None, description="Temperature of its flame; without it 1600 C is assumed.", examples=["1700 C"]
    )
    slug: Slug | None = Field(None, description="Its trial; without one, times cannot be given.")


class Shop(Record):
    """The workshop."""

    name: Name = Field(description="Its name, for the sheets.", examples=["the workshop"])
    measured: YesNo = Field(
        False,
        description="Whether the figures below are this bench's own, or still assumed.",
        examples=[True],
    )
    formers: tuple[Former, ...] = Field((), description="The formers of its bender.")
    scatter: BenchScatter = Field(description="How far its pipes stray.")
    clearance: LengthFromZero | None = Field(
        None,
        description="Room its pipes keep from everything they pass; without it 2 mm is assumed.",
        examples=["2 mm"],
    )
    tooling: Tooling | None = Field(None, description="What it cuts, holds and tightens with.")
    torches: dict[str, Torch] = Field(default_factory=dict, description="Its torches, by name.")
    pricing: Pricing | None = Field(None, description="What it charges.")
    operations: dict[str, OperationEntry] = Field(
        default_factory=dict, description="Its own guesses at what operations take, by the operation's name."
    )
    times: tuple[TimeEntry, ...] = Field((), description="Times taken at the bench.")
    pages: str = Field(
        "",
        description="Where its pages answer on its own network, for the code on bag labels.",
        examples=["http://bench.local:8417"],
    )


def assumed_shop() -> Shop:
    """Give the workshop the program assumes until it is told better.

    Returns
    -------
    Shop
        Formers of about three outside diameters, a careful bench's scatter, a small workshop's usual tooling, and two
        torches nobody has timed; `measured` is False.

    Source
    ------
    Common practice, no source: formers at 2.7 to 3 outside diameters, 0.3 mm, 1 deg and 2 deg of one-sigma scatter.
    """
    formers = [
        {"od": "1/8 in", "radius": "9.5 mm", "grip": "8 mm"},
        {"od": "5/32 in", "radius": "12 mm", "grip": "9 mm"},
        {"od": "3/16 in", "radius": "12.7 mm", "grip": "10 mm"},
        {"od": "1/4 in", "radius": "19 mm", "grip": "12 mm"},
    ]
    return Shop.model_validate(
        {
            "name": "assumed workshop",
            "formers": formers,
            "scatter": {"length": "0.6 mm", "bend": "2 deg", "rotation": "4 deg"},
            "tooling": assumed_tooling(),
            "torches": {"small torch": {"power": "1.2 kW"}, "large torch": {"power": "3.5 kW"}},
        }
    )
