"""Figures of the job document that are not sure: written as one, or as low, likely and high."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from trialfit.finding import Band
from trialfit.job.values import Measure, refused
from trialfit.units import Quantity

_LARGEST = 10**9
_IN = {"power": "kW", "share": "%", "temperature": "C", "volume": "mL"}


@dataclass(frozen=True)
class Spread:
    """Marks three figures that may be written as one.

    Parameters
    ----------
    of
        What each of the three is: how a quantity is measured, or None for a bare number above zero.
    """

    of: Measure | None = None

    def take(self, value: Any) -> tuple[Any, Any, Any]:
        """Read what was typed.

        Parameters
        ----------
        value
            One figure, or a list of three that rise.

        Returns
        -------
        tuple
            Low, likely and high.

        Raises
        ------
        PydanticCustomError
            It cannot be read, is not three, or does not rise.
        """
        if not isinstance(value, list | tuple):
            one = self._one(value)
            return one, one, one
        if len(value) != 3:
            raise refused(f"a list of {len(value)}", "one figure, or low, likely and high", "Give one or three.")
        low, likely, high = (self._one(each) for each in value)
        rising = [_plain(each) for each in (low, likely, high)]
        if rising != sorted(rising):
            got = ", ".join(str(each) for each in value)
            raise refused(got, "low, likely and high, rising", "Write the least first.")
        return low, likely, high

    def _one(self, value: Any) -> Quantity | float:
        if self.of is not None:
            return self.of.take(value)
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise refused(str(value) or "nothing", "a number", "Write it bare, without quotes or unit.")
        if not 0 < value <= _LARGEST:
            raise refused(f"{value:g}", "a number above zero, of a likely size", "Check the figure.")
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Give pydantic the reader, and the writer that gives back what was typed."""
        return core_schema.no_info_plain_validator_function(
            self.take, serialization=core_schema.plain_serializer_function_ser_schema(_written)
        )


def _plain(value: Quantity | float) -> float:
    return float(value.to(_IN[value.kind])) if isinstance(value, Quantity) else value


def _written(value: tuple[Any, ...]) -> list[Any]:
    return [str(each) if isinstance(each, Quantity) else each for each in value]


def band_of(
    spread: tuple[Quantity, Quantity, Quantity] | tuple[float, float, float], unit: str, places: int = 2,
    printed: str = "",
) -> Band:  # fmt: skip
    """Give a spread as a band.

    Parameters
    ----------
    spread
        Low, likely and high. [unit]
    unit
        The unit wanted; of bare numbers, the one they have.
    places
        Decimals worth printing. [-]
    printed
        Unit as printed, where it is another.

    Returns
    -------
    Band
        In that unit.
    """
    low, likely, high = (float(each.to(unit)) if isinstance(each, Quantity) else each for each in spread)
    return Band(low, likely, high, printed or unit, places)


Three = tuple[Quantity, Quantity, Quantity]
PowerSpread = Annotated[Three, Spread(Measure("power", "above zero"))]
ShareSpread = Annotated[Three, Spread(Measure("share", "above zero"))]
TemperatureSpread = Annotated[Three, Spread(Measure("temperature"))]
VolumeSpread = Annotated[Three, Spread(Measure("volume", "above zero"))]
NumberSpread = Annotated[tuple[float, float, float], Spread()]
