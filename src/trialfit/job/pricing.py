"""Records of the shop file: what an hour, a length of tube and a parcel cost, and what work has taken so far."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from trialfit.job.assemblies import FillerName
from trialfit.job.breaks import Mass, Share
from trialfit.job.heating import Seconds
from trialfit.job.money import Amount, AmountAboveZero, Currency
from trialfit.job.tooling import MetalName
from trialfit.job.values import Day, LengthAboveZero, Name, Record, Whole, YesNo, refused

Count = Annotated[Whole, Field(ge=1)]


class PostBand(Record):
    """What a parcel up to one mass costs."""

    up_to: Mass = Field(description="The heaviest parcel of this price.", examples=["1 kg"])
    price: Amount = Field(description="Its price.", examples=["8.40"])


class PostEntry(Record):
    """One way of posting."""

    what: str = Field("", description="Which one, in words.", examples=["inland, insured, signed for"])
    bands: tuple[PostBand, ...] = Field((), description="Prices by the parcel's mass, rising.")

    @model_validator(mode="after")
    def _rises(self) -> PostEntry:
        masses = [band.up_to.to("kg") for band in self.bands]
        if masses != sorted(set(masses)):
            raise refused("bands out of order", "bands from light to heavy", "Put them in order.", "bands")
        return self


class StockEntry(Record):
    """Something out of stock that is charged for. Tube and bar that say their size are found by the plan."""

    what: str = Field("", description="Which one, in words.", examples=["copper tube 3/16 in x 22 swg"])
    price: Amount = Field(description="Price of one of `each`.", examples=["9.20"])
    each: Literal["piece", "m", "kg", "g"] = Field("piece", description="What the price is for.", examples=["m"])
    form: Literal["tube", "round bar", "hexagon bar", "solder", "flux"] | None = Field(
        None, description="What it is, where the plan is to find it.", examples=["tube"]
    )
    filler: FillerName | None = Field(
        None, description="Of solder: which, by its name in the tables; priced by the gram.", examples=["Ag155"]
    )
    size: LengthAboveZero | None = Field(
        None, description="With it: outside diameter, or width across flats.", examples=["3/16 in"]
    )
    metal: MetalName | None = Field(None, description="With it: its metal.", examples=["CW024A"])

    @model_validator(mode="after")
    def _is_found(self) -> StockEntry:
        if self.form in ("solder", "flux") or self.filler is not None:
            wanted = {"form": self.form in ("solder", "flux"), "each": self.each == "g",
                      "filler": (self.filler is not None) == (self.form == "solder"),
                      "size": self.size is None, "metal": self.metal is None}  # fmt: skip
            wrong = next((key for key, right in wanted.items() if not right), None)
            if wrong is not None:
                remedy = 'Write form = "solder", filler = "Ag155", each = "g"; or form = "flux", each = "g".'
                raise refused(f"{wrong} as it stands", "solder with its filler, or flux, by the gram", remedy, wrong)
            return self
        given = [key for key in ("form", "size", "metal") if getattr(self, key) is not None]
        if given and (len(given) < 3 or self.each != "m"):
            remedy = 'Add what is missing, and each = "m".'
            raise refused(f"{', '.join(given)} only", "form, size and metal, priced by the metre", remedy)
        return self


class TaxEntry(Record):
    """The tax that is put on last."""

    name: Name = Field(description="What it is called on the sheet.", examples=["VAT"])
    share: Share = Field(description="Its share of the net price.", examples=["20 %"])
    number: str = Field("", description="The shop's number with the tax office.", examples=["XX 000 0000 00"])


class Pricing(Record):
    """What the workshop charges."""

    currency: Currency = Field(description="Three letters of ISO 4217.", examples=["GBP"])
    rate: AmountAboveZero | None = Field(
        None, description="Price of an hour's work; without it nothing can be priced.", examples=["36.00"]
    )
    minimum: Amount | None = Field(None, description="Least charge for the work of one job.", examples=["45.00"])
    tax: TaxEntry | None = Field(None, description="The tax, where the shop charges one.")
    post: dict[str, PostEntry] = Field(default_factory=dict, description="Ways of posting, by name.")
    stock: dict[str, StockEntry] = Field(default_factory=dict, description="What is charged out of stock, by name.")
    assumed: YesNo = Field(
        False,
        description="Whether these began as the example's invented prices: each is marked until it is changed.",
        examples=[True],
    )
    pay_to: str = Field("", description="How to pay, for the invoice.", examples=["by transfer, details on request"])


class OperationEntry(Record):
    """The shop's own guess at an operation, or one that the program does not know."""

    each: str = Field("piece", description="What is counted.", examples=["joint"])
    likely: Seconds = Field(description="What one takes, as often more as less.", examples=["25 min"])
    high: Seconds = Field(description="What one takes longer than one time in ten.", examples=["60 min"])

    @model_validator(mode="after")
    def _rises(self) -> OperationEntry:
        if self.high.to("min") <= self.likely.to("min"):
            raise refused(str(self.high), f"more than {self.likely}", "Give the one-in-ten time.", "high")
        return self


class TimeEntry(Record):
    """One time taken at the bench."""

    job: Name = Field(description="The job it was for.", examples=["bittern-backhead"])
    operation: Name = Field(description="The operation, by its name.", examples=["silver-solder"])
    count: Count = Field(1, description="How many were done in that time.", examples=[2])
    took: Seconds = Field(description="How long it took, all of them together.", examples=["55 min"])
    day: Day | None = Field(None, description="When.", examples=["2026-03-14"])
    note: str = Field("", description="Anything that made it long or short.", examples=["second heat needed"])
