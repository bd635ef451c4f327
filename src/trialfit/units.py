"""Numbers as the bench writes them, read exactly and written back.

A quantity keeps the number and the unit that were typed; conversion is exact (fractions), and only the last
step to a float rounds. Source of the factors: the inch is 25.4 mm and the pound 0.45359237 kg exactly by the
international yard and pound agreement of 1959; standard gravity 9.80665 m/s2 exactly (ISO 80000-3).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from math import pi

from trialfit.errors import Refusal

_INCH = Fraction(254, 10)
_POUND_FORCE = Fraction(45359237, 10**8) * Fraction(980665, 10**5)


@dataclass(frozen=True)
class _Unit:
    symbol: str
    kind: str
    factor: Fraction
    offset: Fraction = Fraction(0)
    fractions: bool = False


def _psi() -> Fraction:
    return _POUND_FORCE / _INCH**2


_UNITS = {
    unit.symbol: unit
    for unit in (
        _Unit("mm", "length", Fraction(1)),
        _Unit("um", "length", Fraction(1, 1000)),
        _Unit("cm", "length", Fraction(10)),
        _Unit("m", "length", Fraction(1000)),
        _Unit("in", "length", _INCH, fractions=True),
        _Unit("thou", "length", _INCH / 1000),
        _Unit("swg", "wire gauge", Fraction(1)),
        _Unit("tpi", "threads per inch", Fraction(1)),
        _Unit("MPa", "pressure", Fraction(1)),
        _Unit("kPa", "pressure", Fraction(1, 1000)),
        _Unit("bar", "pressure", Fraction(1, 10)),
        _Unit("psi", "pressure", _psi()),
        _Unit("C", "temperature", Fraction(1)),
        _Unit("F", "temperature", Fraction(5, 9), Fraction(-160, 9)),
        _Unit("K", "temperature", Fraction(1), Fraction(-27315, 100)),
        _Unit("deg", "angle", Fraction(1)),
        _Unit("turn", "turns", Fraction(1), fractions=True),
        _Unit("px", "pixels", Fraction(1)),
        _Unit("kg", "mass", Fraction(1)),
        _Unit("g", "mass", Fraction(1, 1000)),
        _Unit("lb", "mass", Fraction(45359237, 10**8), fractions=True),
        _Unit("oz", "mass", Fraction(45359237, 10**8) / 16, fractions=True),
        _Unit("N", "force", Fraction(1)),
        _Unit("lbf", "force", _POUND_FORCE),
        _Unit("N·m", "torque", Fraction(1)),
        _Unit("lbf·in", "torque", _POUND_FORCE * _INCH / 1000),
        _Unit("s", "time", Fraction(1)),
        _Unit("min", "time", Fraction(60)),
        _Unit("h", "time", Fraction(3600)),
        _Unit("kW", "power", Fraction(1)),
        _Unit("W", "power", Fraction(1, 1000)),
        _Unit("mL/min", "flow", Fraction(1)),
        _Unit("mL", "volume", Fraction(1)),
        _Unit("L", "volume", Fraction(1000)),
        _Unit("%", "share", Fraction(1, 100)),
    )
}

_SPELLINGS = {
    '"': "in", "″": "in", "”": "in", "''": "in", "inch": "in", "inches": "in", "ins": "in", "in.": "in", "ins.": "in",
    "mil": "thou", "µm": "um", "μm": "um", "micron": "um", "microns": "um",
    "turns": "turn", "°": "deg", "degree": "deg", "degrees": "deg",
    "°C": "C", "degC": "C", "deg C": "C", "°F": "F", "degF": "F", "deg F": "F",
    "Nm": "N·m", "N m": "N·m", "N.m": "N·m", "lbf in": "lbf·in", "lbf.in": "lbf·in",
    "SWG": "swg", "TPI": "tpi", "PSI": "psi", "Bar": "bar", "psig": "psi", "lb/in2": "psi", "barg": "bar",
    "MM": "mm", "IN": "in", "ml/min": "mL/min", "sec": "s", "mins": "min", "hour": "h", "hours": "h",
    "ml": "mL", "cc": "mL", "cm3": "mL", "l": "L", "litre": "L",
}  # fmt: skip

_EXAMPLES = {
    "length": "5.6 mm or 3/16 in",
    "wire gauge": "22 swg",
    "threads per inch": "40 tpi",
    "pressure": "80 psi or 5.5 bar",
    "temperature": "170 C or 338 F",
    "angle": "45 deg",
    "turns": "1.5 turns",
    "pixels": "1.5 px",
    "mass": "120 g",
    "force": "60 N",
    "torque": "2.2 N·m",
    "time": "20 min",
    "power": "1.2 kW",
    "flow": "150 mL/min",
    "volume": "20 mL",
    "share": "40 %",
}

_NAMES = {
    "angle": "an angle",
    "turns": "a number of turns",
    "pixels": "a number of pixels",
    "threads per inch": "a number of threads per inch",
}

_NUMBER = re.compile(
    r"""(?P<sign>[+-])?\s*
    (?: (?P<whole>\d+) (?:\s+|-) (?P<top>\d+)\s*/\s*(?P<bottom>\d+)
      | (?P<top2>\d+)\s*/\s*(?P<bottom2>\d+)
      | (?P<decimal>\d+\.?\d*|\.\d+)
    )""",
    re.VERBOSE,
)

# Beyond this no float holds the figure once its unit is worked in.
_MOST_BITS = 900


@dataclass(frozen=True)
class Quantity:
    """A number with its unit, as typed.

    Parameters
    ----------
    number
        The number, exact, in `unit`. [unit]
    unit
        Symbol of the unit, one spelling each.
    written
        What was typed, kept letter for letter.
    """

    number: Fraction
    unit: str
    written: str

    @property
    def kind(self) -> str:
        """Kind of quantity: length, pressure, temperature ..."""
        return _UNITS[self.unit].kind

    def to(self, unit: str) -> Fraction:
        """Convert exactly.

        Parameters
        ----------
        unit
            Symbol of a unit of the same kind.

        Returns
        -------
        Fraction
            The number in that unit. [unit]

        Raises
        ------
        Refusal
            The unit is of another kind.
        """
        ours, theirs = _UNITS[self.unit], _UNITS[unit]
        if ours.kind != theirs.kind:
            raise Refusal(
                "unit",
                self.written,
                _named(theirs.kind),
                f"Write it as {_named(theirs.kind)}, for instance {_EXAMPLES[theirs.kind]}.",
            )
        return (self.number * ours.factor + ours.offset - theirs.offset) / theirs.factor

    def __str__(self) -> str:
        """Write it as it was typed."""
        return self.written


def read(text: object, kind: str, what: str = "value") -> Quantity:
    """Read one quantity, exactly.

    Parameters
    ----------
    text
        What was typed, such as ``3/16 in``, ``1-1/4"``, ``80 psi``. Anything but text is refused: a bare number
        says nothing about its unit.
    kind
        Wanted kind: length, wire gauge, threads per inch, pressure, temperature, angle, turns, pixels, mass,
        force, torque, time, power, flow, volume, share.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    Quantity
        Number, unit and the text as typed.

    Raises
    ------
    Refusal
        No unit, another kind of quantity, a fraction of a metric unit, or not a number.
    """
    example = _EXAMPLES[kind]
    wanted = f"{_named(kind)} such as {example}"
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise Refusal(what, repr(text), wanted, f'Write it in quotes with its unit: "{example.split(" or ")[0]}".')
    if not isinstance(text, str):
        raise Refusal(
            what, f"{text} without a unit", wanted,
            f'Put the unit behind the number, in quotes: "{_with_unit(str(text), kind)}".',
        )  # fmt: skip
    written = text.strip()
    plain = _plain(written)
    match = _NUMBER.match(plain)
    about = re.match(
        r"(about|approx\.?|approximately|circa|ca\.?|c\.|roughly|nearly|say|~|≈|some)\s*(?=[\d.])", plain, re.I
    )
    if match is None and about:
        figure = plain[about.end() :]
        remedy = f'Write the figure alone, "{figure}", and say how sure it is where plus-or-minus is asked.'
        raise Refusal(what, f"{text!r}", wanted, remedy)
    if match is None:
        raise Refusal(what, f"{text!r}", wanted, f"Begin with a number, for instance {example}.")
    number, is_fraction = _number_of(match, what, written, wanted)
    if number.numerator.bit_length() > _MOST_BITS or number.denominator.bit_length() > _MOST_BITS:
        raise Refusal(what, "a figure with hundreds of digits", wanted, "Check the figure.")
    rest = plain[match.end() :].strip()
    if rest == "":
        raise Refusal(
            what, f"{written} without a unit", wanted,
            f"Put the unit behind the number: {_with_unit(written, kind)}.",
        )  # fmt: skip
    if re.match(r",\d", rest):
        raise Refusal(what, written, wanted, f"Write the decimal with a point: {written.replace(',', '.')}.")
    unit = _UNITS.get(_SPELLINGS.get(rest, rest))
    if unit is None and kind == "angle" and "clock" in rest and 0 < number <= 12:
        raise Refusal(what, written, wanted, f"By the clock an hour is 30 deg: write {float(number % 12 * 30):g} deg.")
    if unit is None:
        raise Refusal(what, written, wanted, f"{rest!r} is not a unit known here; write for instance {example}.")
    if unit.kind != kind:
        raise Refusal(what, f"{written}, {_named(unit.kind)}", wanted, f"Give the {kind} here, for instance {example}.")
    if is_fraction and not unit.fractions:
        decimal = f"{float(number):g}"
        hint = f"{written[: len(written) - len(rest)].strip()} in, or {decimal} {unit.symbol}"
        raise Refusal(
            what, written, wanted, f"Fractions are of an inch here; did you mean {hint}?" if kind == "length"
            else f"Write it as a decimal: {decimal} {unit.symbol}.",
        )  # fmt: skip
    return Quantity(number, unit.symbol, written)


def length_mm(text: object, what: str = "length") -> float:
    """Read a length.

    Parameters
    ----------
    text
        Such as ``3/16 in``, ``.125 in``, ``30 thou``, ``5.6 mm``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Length. [mm]
    """
    return float(read(text, "length", what).to("mm"))


def pressure_mpa(text: object, what: str = "pressure") -> float:
    """Read a gauge pressure.

    Parameters
    ----------
    text
        Such as ``80 psi`` or ``5.5 bar``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Pressure above atmosphere. [MPa]
    """
    return float(read(text, "pressure", what).to("MPa"))


def temperature_c(text: object, what: str = "temperature") -> float:
    """Read a temperature.

    Parameters
    ----------
    text
        Such as ``170 C`` or ``338 F``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Temperature. [°C]
    """
    return float(read(text, "temperature", what).to("C"))


def angle_deg(text: object, what: str = "angle") -> float:
    """Read an angle.

    Parameters
    ----------
    text
        Such as ``60 deg``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    float
        Angle. [deg]
    """
    return float(read(text, "angle", what).to("deg"))


def psi(pressure_mpa: float) -> float:
    """Convert a pressure for the bench.

    Parameters
    ----------
    pressure_mpa
        Pressure. [MPa]

    Returns
    -------
    float
        The same pressure. [psi]
    """
    return pressure_mpa / float(_psi())


def inches(length_mm: float) -> float:
    """Convert a length for the bench.

    Parameters
    ----------
    length_mm
        Length. [mm]

    Returns
    -------
    float
        The same length. [in]
    """
    return length_mm / float(_INCH)


def fahrenheit(temperature_c: float) -> float:
    """Convert a temperature for the bench.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]

    Returns
    -------
    float
        The same temperature. [°F]
    """
    return temperature_c * 9.0 / 5.0 + 32.0


@dataclass(frozen=True)
class SixtyFourths:
    """A length written as the nearest 1/64 in.

    Parameters
    ----------
    text
        Such as ``1 1/4 in``.
    error_mm
        What is written less what was meant. [mm]
    """

    text: str
    error_mm: float

    def __str__(self) -> str:
        """Write the fraction with its error."""
        return f"{self.text} ({self.error_mm:+.3f} mm)"


def nearest_64th(length_mm: float) -> SixtyFourths:
    """Write a length as the nearest 1/64 in, with the error.

    Parameters
    ----------
    length_mm
        Length, of either sign. [mm]

    Returns
    -------
    SixtyFourths
        The fraction in lowest terms and how far it is out.
    """
    count = round(abs(length_mm) / float(_INCH) * 64)
    whole, left = divmod(Fraction(count, 64), 1)
    parts = [str(whole)] if whole or not left else []
    if left:
        parts.append(f"{left.numerator}/{left.denominator}")
    sign = "-" if length_mm < 0 and count else ""
    written_mm = float(Fraction(count, 64) * _INCH) * (-1 if length_mm < 0 else 1)
    return SixtyFourths(f"{sign}{' '.join(parts)} in", written_mm - length_mm)


def radians(angle_deg: float) -> float:
    """Convert an angle for use inside a formula.

    Parameters
    ----------
    angle_deg
        Angle. [deg]

    Returns
    -------
    float
        The same angle. [rad]
    """
    return angle_deg * pi / 180.0


def _named(kind: str) -> str:
    return _NAMES.get(kind, f"a {kind}")


def _plain(text: str) -> str:
    if text.isascii():
        return text.strip()
    spaced = "".join(
        f" {char}" if unicodedata.category(char) == "No" and unicodedata.decomposition(char).startswith("<fraction>")
        else char for char in text
    )  # fmt: skip
    out = "".join(
        unicodedata.normalize("NFKC", char)
        if unicodedata.decomposition(char).startswith(("<fraction>", "<noBreak>"))
        else char
        for char in spaced
    )
    return out.replace("\u2044", "/").replace("\u2212", "-").replace("\u2013", "-").strip()


def _number_of(match: re.Match[str], what: str, written: str, wanted: str) -> tuple[Fraction, bool]:
    sign = -1 if match["sign"] == "-" else 1
    if match["decimal"] is not None:
        return sign * Fraction(match["decimal"]), False
    top, bottom = match["top"] or match["top2"], match["bottom"] or match["bottom2"]
    if int(bottom) == 0:
        raise Refusal(what, written, wanted, "The lower figure of a fraction cannot be nought.")
    if match["whole"] is not None and int(top) >= int(bottom):
        raise Refusal(what, written, wanted, "In a mixed number the fraction is less than one; was a figure slipped?")
    return sign * (int(match["whole"] or 0) + Fraction(int(top), int(bottom))), True


def _with_unit(written: str, kind: str) -> str:
    if kind == "length":
        return f"{written} in" if "/" in written else f"{written} mm"
    first = _EXAMPLES[kind].split(" or ")[0]
    return f"{written} {first.split(' ', 1)[1]}"
