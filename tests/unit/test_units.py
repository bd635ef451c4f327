"""Unit: quantities as the bench writes them, each conversion done by hand in a comment; refusals in full."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trialfit.errors import Refusal
from trialfit.units import inches, length_mm, nearest_64th, pressure_mpa, psi, read, temperature_c

MM = "length", "mm"


@pytest.mark.parametrize(
    ("text", "kind", "unit", "expected"),
    [
        ("3/16 in", *MM, Fraction(381, 80)),  # 3 x 25.4 / 16 = 4.7625
        ('1 1/4"', *MM, Fraction(127, 4)),  # 1.25 x 25.4 = 31.75
        ("1-1/4 in", *MM, Fraction(127, 4)),
        (".125 in", *MM, Fraction(127, 40)),  # 0.125 x 25.4 = 3.175
        ("30 thou", *MM, Fraction(381, 500)),  # 0.030 x 25.4 = 0.762
        ("5.6 mm", *MM, Fraction(28, 5)),
        ("5.57mm", *MM, Fraction(557, 100)),
        ("3/16 in.", *MM, Fraction(381, 80)),
        ("1½ in", *MM, Fraction(381, 10)),  # 1.5 x 25.4 = 38.1
        ("1 1/4″", *MM, Fraction(127, 4)),
        ("1\u00a0mm", *MM, Fraction(1)),
        ("-1/4 in", *MM, Fraction(-127, 20)),  # -0.25 x 25.4 = -6.35
        ("2.5 cm", *MM, Fraction(25)),
        ("12 µm", *MM, Fraction(12, 1000)),
        ("22 swg", "wire gauge", "swg", Fraction(22)),
        ("40 tpi", "threads per inch", "tpi", Fraction(40)),
        ("80 psi", "pressure", "psi", Fraction(80)),
        ("5.5 bar", "pressure", "MPa", Fraction(55, 100)),
        ("550 kPa", "pressure", "bar", Fraction(11, 2)),
        ("170 C", "temperature", "F", Fraction(338)),  # 170 x 1.8 + 32 = 338
        ("338 F", "temperature", "C", Fraction(170)),
        ("-40 F", "temperature", "C", Fraction(-40)),  # where the two scales meet
        ("300 K", "temperature", "C", Fraction(2685, 100)),  # 300 - 273.15 = 26.85
        ("1.5 turns", "turns", "turn", Fraction(3, 2)),
        ("1 1/2 turns", "turns", "turn", Fraction(3, 2)),
        ("45°", "angle", "deg", Fraction(45)),
        ("1/2 lb", "mass", "g", Fraction(45359237, 200000)),  # 453.59237 / 2 = 226.796185
        ("2.2 Nm", "torque", "N·m", Fraction(11, 5)),
        ("20 min", "time", "s", Fraction(1200)),
        ("40 %", "share", "%", Fraction(40)),
    ],
)
def test_read_exactly(text: str, kind: str, unit: str, expected: Fraction) -> None:
    quantity = read(text, kind)
    assert quantity.to(unit) == expected
    assert str(quantity) == text


def test_pounds_and_inches_by_hand() -> None:
    # 1 psi = 0.45359237 x 9.80665 N on 25.4 x 25.4 mm = 4.4482216152605 / 645.16 = 0.00689475729... MPa
    assert pressure_mpa("80 psi") == pytest.approx(80 * 4.4482216152605 / 645.16, rel=1e-15)
    assert psi(pressure_mpa("80 psi")) == pytest.approx(80, rel=1e-15)
    # 1 lbf·in = 4.4482216152605 N x 0.0254 m = 0.1129848290276167 N·m
    assert float(read("1 lbf in", "torque").to("N·m")) == pytest.approx(0.1129848290276167, rel=1e-15)
    assert length_mm("3/16 in") == 4.7625
    assert temperature_c("338 F") == 170.0
    assert inches(4.7625) == pytest.approx(0.1875, rel=1e-15)


LENGTH = "wanted a length such as 5.6 mm or 3/16 in."


@pytest.mark.parametrize(
    ("text", "kind", "refusal"),
    [
        (
            "1 1/4mm", "length",
            f"wall: got 1 1/4mm, {LENGTH} Fractions are of an inch here; did you mean 1 1/4 in, or 1.25 mm?",
        ),
        ("3/16", "length", f"wall: got 3/16 without a unit, {LENGTH} Put the unit behind the number: 3/16 in."),
        ("5.6", "length", f"wall: got 5.6 without a unit, {LENGTH} Put the unit behind the number: 5.6 mm."),
        (5.6, "length", f'wall: got 5.6 without a unit, {LENGTH} Put the unit behind the number, in quotes: "5.6 mm".'),
        (None, "length", f'wall: got None, {LENGTH} Write it in quotes with its unit: "5.6 mm".'),
        ("", "length", f"wall: got '', {LENGTH} Begin with a number, for instance 5.6 mm or 3/16 in."),
        ("nan mm", "length", f"wall: got 'nan mm', {LENGTH} Begin with a number, for instance 5.6 mm or 3/16 in."),
        ("1,5 mm", "length", f"wall: got 1,5 mm, {LENGTH} Write the decimal with a point: 1.5 mm."),
        ("3/0 in", "length", f"wall: got 3/0 in, {LENGTH} The lower figure of a fraction cannot be nought."),
        (
            "1 5/4 in", "length",
            f"wall: got 1 5/4 in, {LENGTH} In a mixed number the fraction is less than one; was a figure slipped?",
        ),
        (
            "5 furlongs", "length",
            f"wall: got 5 furlongs, {LENGTH} 'furlongs' is not a unit known here; "
            "write for instance 5.6 mm or 3/16 in.",
        ),
        (
            "80 psi", "length",
            f"wall: got 80 psi, a pressure, {LENGTH} Give the length here, for instance 5.6 mm or 3/16 in.",
        ),
        (
            "40", "threads per inch",
            "wall: got 40 without a unit, wanted a number of threads per inch such as 40 tpi. "
            "Put the unit behind the number: 40 tpi.",
        ),
        (
            "1.5", "turns",
            "wall: got 1.5 without a unit, wanted a number of turns such as 1.5 turns. "
            "Put the unit behind the number: 1.5 turns.",
        ),
        ("1/2 deg", "angle", "wall: got 1/2 deg, wanted an angle such as 45 deg. Write it as a decimal: 0.5 deg."),
        (
            "170 C", "pressure",
            "wall: got 170 C, a temperature, wanted a pressure such as 80 psi or 5.5 bar. "
            "Give the pressure here, for instance 80 psi or 5.5 bar.",
        ),
    ],
)  # fmt: skip
def test_refusals_in_full(text: object, kind: str, refusal: str) -> None:
    with pytest.raises(Refusal) as caught:
        read(text, kind, "wall")
    assert str(caught.value) == refusal


def test_a_quantity_refuses_another_kind() -> None:
    with pytest.raises(Refusal) as caught:
        read("80 psi", "pressure").to("mm")
    assert (
        str(caught.value) == "unit: got 80 psi, wanted a length. Write it as a length, for instance 5.6 mm or 3/16 in."
    )


@pytest.mark.parametrize(
    ("length", "text", "error_mm"),
    [
        (5.57, "7/32 in", -0.01375),  # 7 x 25.4 / 32 = 5.55625
        (4.7625, "3/16 in", 0.0),
        (31.75, "1 1/4 in", 0.0),
        (25.4, "1 in", 0.0),
        (0.0, "0 in", 0.0),
        (0.1, "0 in", -0.1),
        (100.0, "3 15/16 in", 0.0125),  # 63 / 16 x 25.4 = 100.0125
        (-3.3, "-1/8 in", 0.125),  # -3.175 + 3.3
    ],
)
def test_nearest_64th(length: float, text: str, error_mm: float) -> None:
    found = nearest_64th(length)
    assert found.text == text
    assert found.error_mm == pytest.approx(error_mm, abs=1e-12)
