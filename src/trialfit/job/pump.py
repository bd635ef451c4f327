"""Records of the job document: the figures of a feed pump, and what the boiler uses."""

from __future__ import annotations

from pydantic import Field, model_validator

from trialfit.job.spread import NumberSpread, PowerSpread, ShareSpread, TemperatureSpread, VolumeSpread
from trialfit.job.values import Length, LengthAboveZero, Name, Record, Whole, refused
from trialfit.tables.rows import rows

FITTING_NAMES = tuple(row["fitting"] for row in rows("fitting_losses.csv"))


class SuctionPipe(Record):
    """The pipe a pump draws through."""

    pipe: Name | None = Field(
        None, description="The pipe of the job that it is, whose tube says its bore.", examples=["suction"]
    )
    bore: LengthAboveZero | None = Field(
        None, description="Its bore, where it was measured or is no pipe to be made.", examples=["3 mm"]
    )
    length: LengthAboveZero = Field(description="Its length from tank to pump.", examples=["400 mm"])
    lift: Length | None = Field(
        None,
        description="Height of the pump over the water in the tank, below zero where the water stands higher; without "
        "it they are taken to be level.",
        examples=["60 mm"],
    )
    fittings: tuple[Name, ...] | None = Field(
        None,
        description="What the water passes besides mouth and suction ball; without it, what the joints put between "
        "tank and pump.",
        examples=[["strainer", "elbow", "union"]],
    )

    @model_validator(mode="after")
    def _fittings_are_known(self) -> SuctionPipe:
        for n, fitting in enumerate(self.fittings or ()):
            if fitting not in FITTING_NAMES:
                remedy = f"Name the nearest of {', '.join(FITTING_NAMES)}."
                raise refused(f'"{fitting}"', "a fitting of the tables", remedy, "fittings", n)
        return self


class BallSizes(Record):
    """A ball valve."""

    ball: LengthAboveZero = Field(description="Diameter of the ball.", examples=["3/16 in"])
    seat: LengthAboveZero = Field(description="Bore of its seat.", examples=["3.4 mm"])
    lift: LengthAboveZero | None = Field(None, description="How far it lifts, where measured.", examples=["0.7 mm"])

    @model_validator(mode="after")
    def _ball_stays_up(self) -> BallSizes:
        if self.seat.to("mm") >= self.ball.to("mm"):
            got = f"a ball of {self.ball} on a seat of {self.seat}"
            raise refused(got, "a ball greater than its seat", "Check which is which; it falls through.", "seat")
        return self


class PumpFigures(Record):
    """What is known of a ram pump. Where a figure is not sure it is written low, likely and high."""

    ram: LengthAboveZero = Field(description="Diameter of the ram.", examples=["3/8 in"])
    stroke: LengthAboveZero = Field(description="Its stroke.", examples=["1/2 in"])
    strokes: NumberSpread | None = Field(
        None,
        description="Delivery strokes a minute; without it the turns of the axle under [circuit.use].",
        examples=[[180, 240, 300]],
    )
    share: ShareSpread | None = Field(
        None,
        description="Share of the swept volume that it delivers, if measured.",
        examples=[["75 %", "85 %", "92 %"]],
    )
    suction: SuctionPipe | None = Field(None, description="The pipe it draws through.")
    balls: dict[str, BallSizes] = Field(
        default_factory=dict, description="Its ball valves, by which they are: suction, delivery."
    )
    air: VolumeSpread | None = Field(
        None,
        description="Air that stays in its barrel when suction ends: room that cannot be filled.",
        examples=[["0.1 mL", "0.3 mL", "0.5 mL"]],
    )
    leak: LengthAboveZero | None = Field(
        None, description="Hole that would leak as its bypass does when shut.", examples=["0.3 mm"]
    )

    @model_validator(mode="after")
    def _share_of_a_whole(self) -> PumpFigures:
        if self.share is not None and self.share[2].to("%") > 100:
            raise refused(self.share[2].written, "at most 100 % of what is swept", "Measure it again.", "share")
        return self


class EngineCylinders(Record):
    """The engine's cylinders, double acting."""

    number: Whole = Field(ge=1, description="How many.", examples=[2])
    bore: LengthAboveZero = Field(description="Bore.", examples=["1 in"])
    stroke: LengthAboveZero = Field(description="Stroke.", examples=["1 1/2 in"])
    cut_off: ShareSpread = Field(
        description="Share of the stroke over which steam is let in.", examples=[["60 %", "75 %", "80 %"]]
    )

    @model_validator(mode="after")
    def _share_of_a_stroke(self) -> EngineCylinders:
        if self.cut_off[2].to("%") > 100:
            raise refused(self.cut_off[2].written, "at most 100 % of the stroke", "Check it.", "cut_off")
        return self


class UseEntry(Record):
    """What the boiler uses, and the water it is fed with."""

    water: TemperatureSpread | None = Field(
        None, description="Water in the tank; without it 20 °C is assumed.", examples=[["15 C", "25 C", "40 C"]]
    )
    heat: PowerSpread | None = Field(
        None, description="Heat that gets into the water.", examples=[["0.6 kW", "0.9 kW", "1.3 kW"]]
    )
    turns: NumberSpread | None = Field(
        None, description="Turns of the driving axle a minute.", examples=[[180, 240, 300]]
    )
    cylinders: EngineCylinders | None = Field(None, description="The engine's cylinders.")

    @model_validator(mode="after")
    def _turns_with_cylinders(self) -> UseEntry:
        if self.cylinders is not None and self.turns is None:
            remedy = "Add turns = [180, 240, 300]: turns of the driving axle a minute."
            raise refused("nothing", "turns with the cylinders", remedy, "turns")
        return self
