"""Values of the job document that keep how they were written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import AllowInfNan, BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, Strict
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from trialfit.errors import Refusal
from trialfit.units import Quantity, read


class Record(BaseModel):
    """A frozen record of the job document; a key it does not know is a fault."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


_LARGEST = 10**9


def refused(got: str, wanted: str, remedy: str, *at: str | int) -> PydanticCustomError:
    """Make the error a validator raises, so that the reader can say it in the bench's words.

    Parameters
    ----------
    got, wanted, remedy
        As in `trialfit.errors.Fault`.
    *at
        Keys from the record being validated to the one at fault; none where it is the value itself.

    Returns
    -------
    PydanticCustomError
        To be raised.
    """
    return PydanticCustomError("refused", "{got}", {"got": got, "wanted": wanted, "remedy": remedy, "at": at})


@dataclass(frozen=True)
class Measure:
    """Marks a value as a quantity of one kind, and says what may stand there.

    Parameters
    ----------
    kind
        Kind of quantity, as `trialfit.units.read` takes it.
    sign
        Which numbers make sense.
    """

    kind: str
    sign: Literal["any", "not negative", "above zero"] = "any"

    def take(self, value: Any) -> Quantity:
        """Read what was typed.

        Parameters
        ----------
        value
            Text, or a quantity already read.

        Returns
        -------
        Quantity
            The quantity, as written.

        Raises
        ------
        PydanticCustomError
            It cannot be read, or has the wrong sign.
        """
        try:
            quantity = value if isinstance(value, Quantity) else read(value, self.kind)
        except Refusal as refusal:
            fault = refusal.fault
            raise refused(fault.got, fault.wanted, fault.remedy) from None
        if abs(quantity.number) > _LARGEST:
            raise refused("a figure of more than nine digits", f"a {self.kind} of a likely size", "Check the figure.")
        if self.sign == "above zero" and quantity.number <= 0:
            raise refused(quantity.written, f"a {self.kind} above zero", "Check the figure and its sign.")
        if self.sign == "not negative" and quantity.number < 0:
            raise refused(quantity.written, f"a {self.kind} of zero or more", "Leave the minus sign off, or write 0.")
        return quantity

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Give pydantic the reader, and the writer that gives back what was typed."""
        return core_schema.no_info_plain_validator_function(
            self.take, serialization=core_schema.plain_serializer_function_ser_schema(str)
        )


def _calendar_day(value: Any) -> Any:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise refused(
        str(value) or "nothing", "a day written year-month-day", "Write it without quotes, for instance 2026-03-14."
    )


Length = Annotated[Quantity, Measure("length")]
LengthFromZero = Annotated[Quantity, Measure("length", "not negative")]
LengthAboveZero = Annotated[Quantity, Measure("length", "above zero")]
Pressure = Annotated[Quantity, Measure("pressure", "above zero")]
Angle = Annotated[Quantity, Measure("angle")]
AngleAboveZero = Annotated[Quantity, Measure("angle", "above zero")]
Pixels = Annotated[Quantity, Measure("pixels", "above zero")]
Day = Annotated[date, BeforeValidator(_calendar_day)]
Number = Annotated[float, Strict(), AllowInfNan(False)]
Whole = Annotated[int, Strict()]
YesNo = Annotated[bool, Strict()]
Name = Annotated[str, Field(min_length=1)]


class Reading(Record):
    """A length somebody measured.

    Parameters
    ----------
    value
        The reading as written.
    pm
        Its plus-or-minus: two standard deviations (k = 2).
    by
        Who took it, with what.
    """

    value: LengthAboveZero = Field(description="The reading as written.", examples=["48.5 mm"])
    pm: LengthAboveZero = Field(description="Its plus-or-minus: two standard deviations (k = 2).", examples=["0.2 mm"])
    by: Name = Field(description="Who took it, with what.", examples=["owner, vernier caliper"])

    @property
    def value_mm(self) -> float:
        """The reading. [mm]"""
        return float(self.value.to("mm"))

    @property
    def sigma_mm(self) -> float:
        """One standard deviation. [mm]"""
        return float(self.pm.to("mm")) / 2.0
