"""Records of the job document: what the making plan cannot know of the work, what is charged, and the invoice."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from trialfit.job.breaks import Share
from trialfit.job.heating import Seconds
from trialfit.job.money import Amount
from trialfit.job.pricing import Count
from trialfit.job.values import Day, Name, Number, Record, Whole, refused


class WorkWanted(Record):
    """A piece of work that the making plan does not hold."""

    what: str = Field("", description="What is done, in words.", examples=["drill out the broken tail"])
    operation: Name = Field("repair", description="The operation whose times it goes by.", examples=["machine"])
    count: Count = Field(1, description="How many times.", examples=[1])
    likely: Seconds | None = Field(
        None, description="What one takes, where that is better known for this job.", examples=["40 min"]
    )
    high: Seconds | None = Field(
        None, description="With it: what one takes longer than one time in ten.", examples=["90 min"]
    )

    @model_validator(mode="after")
    def _has_both(self) -> WorkWanted:
        if (self.likely is None) != (self.high is None):
            raise refused("one of likely and high", "both or neither", "Add the other.", "high")
        if self.likely is not None and self.high is not None and self.high.to("min") <= self.likely.to("min"):
            raise refused(str(self.high), f"more than {self.likely}", "Give the one-in-ten time.", "high")
        return self


class MaterialWanted(Record):
    """Something charged for that the making plan does not hold. Its price stands here or in the shop's stock."""

    what: str = Field("", description="What it is, in words.", examples=["stainless ball 5/32 in"])
    stock: Name | None = Field(None, description="Its name in the shop's stock.", examples=["ball_5_32"])
    price: Amount | None = Field(
        None, description="Price of one, where the stock has none or another.", examples=["0.60"]
    )
    count: Number = Field(1.0, gt=0, description="How many, or how much of the stock's unit.", examples=[2.0])

    @model_validator(mode="after")
    def _has_a_price(self) -> MaterialWanted:
        if self.stock is None and self.price is None:
            remedy = 'Write price = "0.60", or stock = "name" of the shop file.'
            raise refused("neither stock nor price", "one of them", remedy)
        return self


class ChoiceEntry(Record):
    """Something that may be repaired, or made anew."""

    what: str = Field("", description="What it is, in words.", examples=["the sheared elbow"])
    repair: tuple[Name, ...] = Field(
        min_length=1,
        description="The work of repairing it: names of [quote.work], or of the plan as turned.NAME, pipes.NAME, "
        "assemblies.NAME, assemblies.NAME.WORK.",
        examples=[["drill_out", "sleeve"]],
    )
    remake: tuple[Name, ...] = Field(
        min_length=1, description="The work of making it anew, likewise.", examples=[["turned.elbow"]]
    )
    fails: Share = Field(
        description="Odds that the repair fails and it has to be made anew after all.", examples=["15 %"]
    )
    by: str = Field("", description="Whose odds they are.", examples=["workshop, three of twenty"])
    breaks: Name | None = Field(
        None, description="The broken tail it has: its strength before and after is shown.", examples=["elbow_tail"]
    )
    chosen: Literal["repair", "remake"] | None = Field(
        None, description="What is quoted; without it the one with the lower four-in-five price.", examples=["repair"]
    )


class QuoteEntry(Record):
    """What is quoted."""

    work: dict[str, WorkWanted] = Field(
        default_factory=dict, description="Work that the making plan does not hold, by name."
    )
    materials: dict[str, MaterialWanted] = Field(
        default_factory=dict, description="Materials that it does not hold, by name."
    )
    choices: dict[str, ChoiceEntry] = Field(
        default_factory=dict, description="What may be repaired or made anew, by name."
    )
    leave_out: tuple[Name, ...] = Field(
        (), description="Work of the plan that is not charged, named as in a choice.", examples=[["take in"]]
    )
    post: Name | None = Field(None, description="The shop's way of posting it.", examples=["inland"])
    valid: Whole = Field(30, ge=1, description="Days the price holds.", examples=[30])
    note: str = Field(
        "", description="Anything the owner should read beside the price.", examples=["the boiler is not tested"]
    )


class InvoiceEntry(Record):
    """The invoice."""

    number: Name = Field(description="Its number.", examples=["2026-014"])
    day: Day = Field(description="Its date.", examples=["2026-04-02"])
    charged: Literal["as quoted", "by the time taken"] = Field(
        "as quoted",
        description="What the work is charged by: the quoted price, or the times entered, at most the quoted price.",
        examples=["as quoted"],
    )
    paid: Amount | None = Field(None, description="What has been paid already.", examples=["50.00"])
    due: Whole = Field(14, ge=0, description="Days to pay in.", examples=[14])
