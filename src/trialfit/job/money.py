"""Amounts of money as a person writes them: exact decimals, never binary fractions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from pydantic import AfterValidator, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from trialfit.errors import Refusal
from trialfit.job.values import refused
from trialfit.tables.currencies import minor_digits

_AMOUNT = re.compile(r"\d{1,9}(\.\d{1,4})?")


@dataclass(frozen=True)
class Money:
    """Marks a value as an amount of money in the shop's currency.

    Parameters
    ----------
    above_zero
        Whether nothing at all makes no sense.
    """

    above_zero: bool = False

    def take(self, value: Any) -> Decimal:
        """Read what was typed.

        Parameters
        ----------
        value
            Text such as ``12.50``, a whole number, or an amount already read.

        Returns
        -------
        Decimal
            The amount, exact.

        Raises
        ------
        PydanticCustomError
            It is no amount, or was typed as a binary fraction.
        """
        wanted = 'an amount in quotes such as "12.50"'
        if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
            raise refused(str(value), wanted, f'Put it in quotes, so that it stays exact: "{value}".')
        written = str(value).strip()
        if not _AMOUNT.fullmatch(written):
            remedy = "Figures and a point only: no sign, no comma, no currency; the shop file names the currency once."
            raise refused(written or "nothing", wanted, remedy)
        if self.above_zero and Decimal(written) == 0:
            raise refused(written, "an amount above zero", "Leave it out where nothing is charged.")
        return Decimal(written)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Give pydantic the reader, and the writer that gives back what was typed."""
        return core_schema.no_info_plain_validator_function(
            self.take, serialization=core_schema.plain_serializer_function_ser_schema(str)
        )


def _currency(code: str) -> str:
    try:
        minor_digits(code)
    except Refusal as refusal:
        fault = refusal.fault
        raise refused(fault.got, fault.wanted, fault.remedy) from None
    return code


Amount = Annotated[Decimal, Money()]
AmountAboveZero = Annotated[Decimal, Money(above_zero=True)]
Currency = Annotated[str, AfterValidator(_currency)]
