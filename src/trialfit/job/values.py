"""Values of the job document that keep how they were written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, PlainSerializer
from pydantic_core import PydanticCustomError

from trialfit.errors import Refusal
from trialfit.units import Quantity, read


class Record(BaseModel):
    """A frozen record of the job document; a key it does not know is a fault."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def _reader(kind: str) -> Callable[[Any], Quantity]:
    def read_kind(value: Any) -> Quantity:
        if isinstance(value, Quantity):
            return value
        try:
            return read(value, kind)
        except Refusal as refusal:
            fault = refusal.fault
            raise PydanticCustomError(
                "refused",
                "{got}",
                {"got": fault.got, "wanted": fault.wanted, "remedy": fault.remedy},
            ) from None

    return read_kind


_as_written = PlainSerializer(lambda quantity: quantity.written, return_type=str)

Length = Annotated[Quantity, BeforeValidator(_reader("length")), _as_written]
Pressure = Annotated[Quantity, BeforeValidator(_reader("pressure")), _as_written]
Angle = Annotated[Quantity, BeforeValidator(_reader("angle")), _as_written]
Pixels = Annotated[Quantity, BeforeValidator(_reader("pixels")), _as_written]


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

    value: Length
    pm: Length
    by: str

    @property
    def value_mm(self) -> float:
        """The reading. [mm]"""
        return float(self.value.to("mm"))

    @property
    def sigma_mm(self) -> float:
        """One standard deviation. [mm]"""
        return float(self.pm.to("mm")) / 2.0
