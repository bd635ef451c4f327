"""Outside: fins, lumps and still air against worked examples of textbooks.

Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, and Cengel, Heat Transfer; figures from memory, except the
ten seconds of Cengel's thermocouple, read on a page of examination questions. Statements of the rods and of
the junctions were found again in public notebooks.
"""

from __future__ import annotations

from dataclasses import replace
from math import cosh, exp, pi, sqrt

import numpy as np
import pytest

from trialfit.finding import Band
from trialfit.heat.air import air, glow_w_m2, still_air_w_m2_k
from trialfit.heat.network import Lump, Network, Pipe, Sink, network
from trialfit.heat.run import Flame, heat, stall_c
from trialfit.tables.metals import Metal, find_metal


def _metal(conductivity: float, density: float = 8000.0, heat_j_kg_k: float = 400.0) -> Metal:
    k = Band(conductivity, conductivity, conductivity, "W/(m·K)", 0)
    return replace(find_metal("CW024A"), conductivity=k, density_kg_m3=density, heat_j_kg_k=heat_j_kg_k)


def _rod(metal: Metal, od_mm: float, long_mm: float, film: float, air_c: float) -> Network:
    """A rod whose foot is a body as wide as itself, so that nothing crowds."""
    base = Lump("base", metal, 1.0, od_mm, 1e-6)
    net = network([base], [Pipe("rod", metal, od_mm, 0.0, long_mm, "base", None)], "base", air_c=air_c)
    return replace(net, film_w_m2_k=film)


def _held(net: Network, base_c: float) -> np.ndarray:
    """Steady temperatures with the foot held."""
    return stall_c(net, Flame(1e6 * (base_c - net.air_c), base_c, 0.0))


@pytest.mark.parametrize(("k", "long_mm", "loss_w"), [(398.0, 300.0, 8.3), (180.0, 220.0, 5.6), (14.0, 100.0, 1.6)])
def test_heat_lost_by_long_rods(k: float, long_mm: float, loss_w: float) -> None:
    """Incropera, example on rods of 5 mm, foot 100 C, air 25 C, h 100: copper, aluminium alloy, stainless steel."""
    net = _rod(_metal(k), 5.0, long_mm, 100.0, 25.0)
    nodes = _held(net, 100.0)
    _, within, beyond = net.ends["rod"][0]
    into_w = (nodes[0] - nodes[net.first["rod"]]) / (within + beyond)
    # Half the last digit, and a hundredth for cells of 3 mm, which cost 0.6 % where a fin falls as fast as the last.
    assert into_w == pytest.approx(loss_w, abs=0.06)


def test_temperature_along_a_rod_of_finite_length() -> None:
    """Closed form, tip losing nothing; its face added to the length, pi d (d/4), as the textbooks do."""
    net = _rod(_metal(180.0), 5.0, 80.0, 60.0, 20.0)
    nodes = _held(net, 300.0)
    m, far = sqrt(60.0 * 4.0 / (180.0 * 0.005)), 0.080 + 0.005 / 4.0
    for x_mm in (0.0, 10.0, 33.0, 60.0, 79.0):
        wanted = 20.0 + 280.0 * cosh(m * (far - x_mm / 1000.0)) / cosh(m * far)
        assert float(net.place("rod", x_mm) @ nodes) == pytest.approx(wanted, abs=0.6)


@pytest.mark.parametrize(
    ("d_mm", "density", "heat_j_kg_k", "film", "air_c", "gas_c", "needs_c", "seconds", "near"),
    [
        # Incropera, thermocouple junction of 0.706 mm in gas of 200 C: 5.2 s to 199 C.
        (0.706, 8500.0, 400.0, 400.0, 25.0, 200.0, 199.0, 5.2, 0.05),
        # Cengel, junction of 1 mm, 99 % of any difference: "10 s"; the exponential itself is 9.96 s.
        (1.0, 8500.0, 320.0, 210.0, 0.0, 100.0, 99.0, 10.0, 0.5),
    ],
)
def test_thermocouple_junctions(
    d_mm: float, density: float, heat_j_kg_k: float, film: float, air_c: float, gas_c: float, needs_c: float,
    seconds: float, near: float,
) -> None:  # fmt: skip
    mass_kg = density * pi / 6.0 * (d_mm / 1000.0) ** 3
    bead = Lump("bead", _metal(20.0, density, heat_j_kg_k), mass_kg, d_mm, d_mm)
    net = replace(network([bead], [], "bead", air_c=air_c), film_w_m2_k=0.0)
    gas = Flame(film * pi * (d_mm / 1000.0) ** 2 * (gas_c - air_c), gas_c, 0.0)
    run = heat(net, gas, net.place("bead"), needs_c, hold_s=0.01, longest_s=60.0, after_s=0.01, tolerance_k=0.01)
    assert run.reached_s == pytest.approx(seconds, abs=near)


@pytest.mark.parametrize(
    ("surface_c", "air_c", "size_mm", "lies", "coefficient"),
    [
        (165.0, 23.0, 100.0, True, 7.29),  # Incropera, steam pipe of 0.1 m: Nu 23.3; 325 and 441 W lost a metre
        (70.0, 20.0, 80.0, True, 5.869),  # Cengel, hot-water pipe of 8 cm: Nu 17.40
        (232.0, 23.0, 710.0, False, 7.0),  # Incropera, fire screen 0.71 m high: Nu 147
    ],
)
def test_still_air(surface_c: float, air_c: float, size_mm: float, lies: bool, coefficient: float) -> None:
    found = still_air_w_m2_k(np.array([surface_c]), np.array([size_mm]), np.array([lies]), air_c)
    # Air by formula instead of the book's table is worth one part in a hundred.
    assert float(found[0]) == pytest.approx(coefficient, rel=0.015)


def test_glow_of_the_steam_pipe() -> None:
    """Incropera, the same pipe, emissivity 0.85: 441 W a metre."""
    assert float(glow_w_m2(np.array([165.0]), 0.85, 23.0)[0]) * pi * 0.1 == pytest.approx(441.0, abs=1.5)


@pytest.mark.parametrize(
    ("kelvin", "viscosity", "conductivity", "prandtl"),
    [
        (300.0, 15.89, 26.3, 0.707),
        (400.0, 26.41, 33.8, 0.690),
        (600.0, 52.69, 46.9, 0.685),
        (1000.0, 121.9, 66.7, 0.726),
    ],
)
def test_air_table(kelvin: float, viscosity: float, conductivity: float, prandtl: float) -> None:
    """Incropera, table A.4, in 1e-6 m²/s and 1e-3 W/(m·K); Sutherland's formulas are good to a few parts in 100."""
    nu, k, pr = (float(each[0]) for each in air(np.array([kelvin])))
    assert nu * 1e6 == pytest.approx(viscosity, rel=0.04)
    assert k * 1e3 == pytest.approx(conductivity, rel=0.02)
    assert pr == pytest.approx(prandtl, rel=0.02)


def test_a_wet_rag_on_a_rod_is_three_fins_in_a_row() -> None:
    """Fins by the textbook's closed form, theta = A exp(mx) + B exp(-mx), joined with like temperature and slope.

    Copper rod of 5 mm, foot at 600 °C, air at 20 °C and h 50; from 30 to 45 mm a rag of h 5000 at 100 °C; tip at 90 mm,
    its face added to the length. Solved here for the six constants.
    """
    k, d, film, rag_film, base_c, air_c = 339.0, 0.005, 50.0, 5000.0, 600.0, 20.0
    a, b, far = 0.030, 0.045, 0.090 + d / 4.0
    m, n = sqrt(4 * film / (k * d)), sqrt(4 * rag_film / (k * d))

    def row(rate: float, x: float, slope: bool = False) -> list[float]:
        sign = rate if slope else 1.0
        return [sign * np.exp(rate * (x - a)), (-sign if slope else sign) * np.exp(-rate * (x - a))]

    o = [0.0, 0.0]

    def minus(pair: list[float]) -> list[float]:
        return [-each for each in pair]

    matrix = [
        [*row(m, 0.0), *o, *o],
        [*row(m, a), *minus(row(n, a)), *o],
        [*row(m, a, True), *minus(row(n, a, True)), *o],
        [*o, *row(n, b), *minus(row(m, b))],
        [*o, *row(n, b, True), *minus(row(m, b, True))],
        [*o, *o, *row(m, far, True)],
    ]
    over = [base_c - air_c, 100.0 - air_c, 0.0, air_c - 100.0, 0.0, 0.0]
    c = np.linalg.solve(np.array(matrix), np.array(over))

    def closed(x: float) -> float:
        if x <= a:
            return air_c + float(np.dot(row(m, x), c[:2]))
        return float(100.0 + np.dot(row(n, x), c[2:4])) if x <= b else air_c + float(np.dot(row(m, x), c[4:]))

    base = Lump("base", _metal(k), 1.0, 5.0, 1e-6)
    rag = Sink("rod", 37.5, 15.0, rag_w_m2_k=rag_film)
    net = network([base], [Pipe("rod", _metal(k), 5.0, 0.0, 90.0, "base", None)], "base", (rag,), air_c)
    nodes = _held(replace(net, film_w_m2_k=film), base_c)
    # Cells of 3 mm, where it falls to a third in 9 mm: 3 K. Beyond the rag it boils only while over 100 °C, and it is.
    assert closed(far) > 90.0
    for x_mm in (10.0, 25.0, 33.0, 40.0):
        assert float(net.place("rod", x_mm) @ nodes) == pytest.approx(closed(x_mm / 1000.0), abs=3.0)


def test_a_clamp_is_a_second_lump() -> None:
    """Two lumps joined by G, no losses, P into the first: closed form of the textbook's two coupled lumps.

    T1 = T0 + P t/(C1 + C2) + P C2²/(G (C1 + C2)²) (1 - exp(-t/tau)), tau = C1 C2/(G (C1 + C2)).
    """
    first = Lump("block", _metal(380.0, heat_j_kg_k=400.0), 0.05, 12.0, 20.0)
    clamp = Sink("block", 0.0, 0.0, clamp_j_k=100.0, clamp_w_m2_k=1500.0)
    net = replace(network([first], [], "block", (clamp,)), film_w_m2_k=0.0)
    power, c1, c2, g = 150.0, 0.05 * 400.0, 100.0, 1500.0 * 0.9 * first.area_m2
    # A flame so hot that it gives the same to whatever it plays on.
    run = heat(net, Flame(power, 1e7, 0.0), net.place("block"), 1e9, longest_s=40.0, after_s=0.0)
    tau = c1 * c2 / (g * (c1 + c2))
    for t, at_c in zip(run.times_s, run.nodes_c @ net.place("block"), strict=True):
        rest = power * c2**2 / (g * (c1 + c2) ** 2) * (1.0 - exp(-t / tau))
        assert at_c == pytest.approx(20.0 + power * t / (c1 + c2) + rest, abs=1.0)
