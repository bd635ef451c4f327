"""The words of the sheets that owners read, kept apart from code: one folder a language, one file a sheet.

``say`` gives a sentence; numbers, lengths, pressures and dates are written as the owner's country writes them. To add
a language, add a folder with the same files; `docs/decisions/0008-words-apart-from-code.md` says how.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from math import floor
from pathlib import Path
from typing import Literal

from babel.dates import format_date
from babel.numbers import format_decimal, get_decimal_symbol
from fluent.runtime import FluentBundle, FluentResource

from trialfit.job.records import Job
from trialfit.strength.tail import GRAVITY_N_KG
from trialfit.units import Quantity, inches, psi, read

Language = Literal["en", "de"]
System = Literal["metric", "inch"]

LANGUAGES: tuple[Language, ...] = ("en", "de")
FOLDER = Path(__file__).parent
_OUNCE_G = float(read("1 oz", "mass").to("g"))
_POUND_KG = float(read("1 lb", "mass").to("kg"))
_INCH_POUND_NM = float(read("1 lbf·in", "torque").to("N·m"))
# Where decimal signs and the order of a date come from.
_LOCALES: dict[Language, str] = {"en": "en_GB", "de": "de_DE"}


@dataclass(frozen=True)
class Words:
    """The words of one owner.

    Parameters
    ----------
    language
        What he reads.
    system
        Whether he measures in millimetres or in inches.
    """

    language: Language = "en"
    system: System = "metric"

    def say(self, message: str, **given: str | int | float) -> str:
        """Give a sentence.

        Parameters
        ----------
        message
            Its name in the catalogue.
        **given
            What goes into it; a number only where the sentence counts with it. [-]

        Returns
        -------
        str
            In the owner's language.

        Raises
        ------
        KeyError
            The catalogue has no such sentence, or it wants something that was not given.
        """
        bundle = _bundle(self.language)
        if not bundle.has_message(message):
            raise KeyError(f"no sentence {message} in {self.language}")
        pattern = bundle.get_message(message).value
        if pattern is None:
            raise KeyError(f"the sentence {message} says nothing in {self.language}")
        said, faults = bundle.format_pattern(pattern, given)
        if faults:
            raise KeyError(f"{message} in {self.language}: {'; '.join(map(str, faults))}")
        return str(said)

    def number(self, value: float | Decimal, places: int = 0) -> str:
        """Write a number.

        Parameters
        ----------
        value
            The number. [any]
        places
            Figures after the decimal sign, all of them written.

        Returns
        -------
        str
            With the country's decimal sign.
        """
        shown = "#,##0" + ("." + "0" * places if places else "")
        return format_decimal(value, format=shown, locale=_LOCALES[self.language])

    def length(self, value_mm: float, places: int = 1) -> str:
        """Write a length.

        Parameters
        ----------
        value_mm
            The length. [mm]
        places
            Figures after the decimal sign in millimetres; inches have one or two more.

        Returns
        -------
        str
            With its unit.
        """
        if self.system == "inch":
            return f"{self.number(inches(value_mm), places + 1)} in"
        return f"{self.number(value_mm, places)} mm"

    def as_marked(self, size: Quantity) -> str:
        """Write a size as it is marked on a spanner or a bag: in the unit it was given in, whoever reads it.

        Parameters
        ----------
        size
            The size as the job writes it.

        Returns
        -------
        str
            With the country's decimal sign.
        """
        return str(size).replace(".", get_decimal_symbol(_LOCALES[self.language]))

    def torque(self, value_nm: float) -> str:
        """Write a torque to a figure a hand can use.

        Parameters
        ----------
        value_nm
            The torque. [N·m]

        Returns
        -------
        str
            With its unit; in inches both units, inch pounds rounded down.
        """
        written = f"{self.number(value_nm, 2 if value_nm < 1 else 1)} N·m"
        if self.system == "inch":
            return f"{self.number(floor(10 * value_nm / _INCH_POUND_NM) / 10, 1)} lbf·in ({written})"
        return written

    def mass(self, value_g: float, k2_g: float | None = None) -> str:
        """Write a mass as a kitchen scale shows it.

        Parameters
        ----------
        value_g
            The mass. [g]
        k2_g
            Two standard deviations, where they are to be told; never written as nought. [g]

        Returns
        -------
        str
            With its unit; in inches both units, the ounce first.
        """
        unit, over, places = ("g", 1.0, 0) if value_g < 1000.0 else ("kg", 1000.0, 2)
        sure = "" if k2_g is None else f" ± {self.number(max(k2_g / over, 10.0**-places), places)}"
        grams = f"{self.number(value_g / over, places)}{sure} {unit}"
        return f"{self.number(value_g / _OUNCE_G, 1)} oz ({grams})" if self.system == "inch" else grams

    def force(self, value_n: float) -> str:
        """Write a force, rounded down.

        Parameters
        ----------
        value_n
            The force. [N]

        Returns
        -------
        str
            With its unit; in inches both units, the pound first.
        """
        newtons = f"{self.number(floor(value_n))} N"
        pounds = floor(10.0 * value_n / (_POUND_KG * GRAVITY_N_KG)) / 10.0
        return f"{self.number(pounds, 1)} lbf ({newtons})" if self.system == "inch" else newtons

    def hanging(self, value_n: float) -> str:
        """Write which mass pulls with a force when it hangs, rounded down.

        Parameters
        ----------
        value_n
            The force. [N]

        Returns
        -------
        str
            With its unit, the owner's own alone.
        """
        kilograms = value_n / GRAVITY_N_KG
        if self.system == "inch":
            return f"{self.number(floor(10.0 * kilograms / _POUND_KG) / 10.0, 1)} lb"
        return f"{self.number(floor(10.0 * kilograms) / 10.0, 1)} kg"

    def exact(self, value: Decimal) -> str:
        """Write a decimal number with as many figures as it has.

        Parameters
        ----------
        value
            The number. [any]

        Returns
        -------
        str
            With the country's decimal sign.
        """
        return self.number(value, max(0, -int(value.as_tuple().exponent)))

    def money(self, amount: Decimal, currency: str) -> str:
        """Write an amount of money.

        Parameters
        ----------
        amount
            The amount, rounded.
        currency
            Three letters of ISO 4217.

        Returns
        -------
        str
            With the country's decimal sign; the three letters tell dollars from dollars.
        """
        return f"{self.exact(amount)} {currency}"

    def pressure(self, value_mpa: float) -> str:
        """Write a pressure.

        Parameters
        ----------
        value_mpa
            The pressure, gauge. [MPa]

        Returns
        -------
        str
            In bar and psi, the owner's own first.
        """
        bar = f"{self.number(value_mpa * 10, 1)} bar"
        pounds = f"{self.number(psi(value_mpa))} psi"
        return f"{pounds} ({bar})" if self.system == "inch" else f"{bar} ({pounds})"

    def as_read(self, pressure: Quantity) -> str:
        """Write a pressure read off a gauge: as it was read, and in the owner's unit before it where that is another.

        Parameters
        ----------
        pressure
            As the job writes it.

        Returns
        -------
        str
            With the country's decimal sign.
        """
        read_off, pounds = self.as_marked(pressure), psi(float(pressure.to("MPa")))
        if self.system == "inch":
            return read_off if pressure.unit == "psi" else f"{self.number(pounds, 1)} psi ({read_off})"
        return f"{self.number(float(pressure.to('bar')), 2)} bar ({read_off})" if pressure.unit == "psi" else read_off

    def day(self, day: date) -> str:
        """Write a day.

        Parameters
        ----------
        day
            The day.

        Returns
        -------
        str
            As the country writes it, the month in letters.
        """
        return format_date(day, format="long", locale=_LOCALES[self.language])


def words_for(job: Job) -> Words:
    """Give the words of a job's owner.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    Words
        In the language and units the job names.
    """
    return Words(job.job.language, job.job.units)


def catalogue(language: Language) -> dict[str, str]:
    """Give a language's files as they are written.

    Parameters
    ----------
    language
        The language.

    Returns
    -------
    dict
        Text by the file's name.
    """
    return {file.name: file.read_text(encoding="utf-8") for file in sorted((FOLDER / language).glob("*.ftl"))}


@lru_cache
def _bundle(language: Language) -> FluentBundle:
    # Marks of writing direction round what is filled in would print as boxes in fonts that lack them.
    bundle = FluentBundle([_LOCALES[language].replace("_", "-")], use_isolating=False)
    for text in catalogue(language).values():
        bundle.add_resource(FluentResource(text))
    return bundle
