"""Currencies and how many decimals their smallest unit has.

Source: ISO 4217, by the rows of ``figures/currencies.csv``.
"""

from __future__ import annotations

from functools import cache

from trialfit.errors import Refusal
from trialfit.tables.rows import rows


def currencies() -> tuple[str, ...]:
    """Give the codes of the currencies.

    Returns
    -------
    tuple of str
        In the order of the file.
    """
    return tuple(_digits())


def minor_digits(code: str) -> int:
    """Give the decimals of a currency's smallest unit.

    Parameters
    ----------
    code
        Three letters, such as ``GBP``.

    Returns
    -------
    int
        Two for pence and cents, none for yen.

    Raises
    ------
    Refusal
        The tables do not know the currency.
    """
    if code not in _digits():
        raise Refusal(
            "currency", code or "nothing", "three letters of ISO 4217 such as GBP",
            f"Write one of {', '.join(_digits())}.",
        )  # fmt: skip
    return _digits()[code]


@cache
def _digits() -> dict[str, int]:
    return {row["code"]: int(row["minor_digits"]) for row in rows("currencies.csv")}
