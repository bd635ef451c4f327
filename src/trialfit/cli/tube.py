"""A question of the bench: what a size of copper tube is good for."""

from __future__ import annotations

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.tables.gauges import gauges, wall_mm
from trialfit.tables.rows import source_lines
from trialfit.tables.tubes import TubeRating, stock_tubes
from trialfit.tables.yardstick import TubeFigures, TubePressure, joint_rules, tube_figures
from trialfit.units import inches, length_mm, pressure_mpa, psi


@click.command()
@click.argument("size", nargs=-1, required=True)
@click.option("--pressure", default="80 psi", show_default=True, help="Working pressure of the steam.")
@as_json
def tube(size: tuple[str, ...], pressure: str, as_json: bool) -> None:
    """Bore, mass and pressure of a copper tube by outside diameter and wall: "3/16 in" "22 swg"."""
    od, wall = _two(size)
    od_mm = length_mm(od, "outside diameter")
    record = tube_figures(od_mm, wall_mm(wall, "wall"), pressure_mpa(pressure, "working pressure"))
    answer(as_json, _tube_text(record, od, wall, pressure), record)


def _two(words: tuple[str, ...]) -> tuple[str, str]:
    if len(words) == 2:
        return words[0], words[1]
    if len(words) == 4:
        return " ".join(words[:2]), " ".join(words[2:])
    raise Refusal(
        "tube", " ".join(words), "an outside diameter and a wall", 'Put each in quotes: tube "3/16 in" "22 swg".'
    )


def _tube_text(record: TubeFigures, od: str, wall: str, pressure: str) -> str:
    gauge = next((f"{number} swg" for number, mm in gauges().items() if abs(mm - record.wall_mm) < 1e-6), "")
    lines = [
        f"Copper tube (CW024A) {od} × {wall}, annealed",
        "",
        f"  {'':20}{'mm':>8}{'in':>10}",
        *(
            f"  {name:20}{value_mm:8.3f}{inches(value_mm):10.4f}{'   ' + tail if tail else ''}"
            for name, value_mm, tail in (
                ("outside diameter", record.od_mm, ""),
                ("wall", record.wall_mm, gauge),
                ("bore", record.bore_mm, ""),
            )
        ),
        f"  {'mass':20}{record.mass_g_m:8.1f} g/m",
        f"  {'water in it':20}{record.holds_ml_m:8.2f} mL/m",
        *filter(None, [_stocked(record.od_mm)]),
        "",
        "Pressure by the yardstick of ASME B31, P = 2 S t / (D - 0.8 t)",
        f"  {'':28}{'stress S':>10}{'least wall: go by this':>26}{'nominal wall':>22}",
        _pressures("cold", record.cold),
        _pressures(f"in steam of {pressure}, {record.hot.temperature_c:.0f} °C", record.hot),
        f"  In that steam the plain tube is good for {record.times_working:.0f} times {pressure}.",
        *(f"  {reason}" for reason in record.assumed),
    ]
    lines += [_published(rating) for rating in record.published]
    brazed, soft = joint_rules()
    joints = ", ".join(brazed.sources)
    lines += [
        "",
        f"Joints give out long before the tube: full-size rules allow {brazed.high:g} psi of saturated steam on a",
        f"brazed copper joint and {soft.high:g} psi on a soft-soldered one [{joints}]. Threads, bends and dents",
        "are weaker too. This is a yardstick and no certificate: the boiler inspector, the insurer and the",
        "local code decide.",
    ]
    keys = [*record.cold.stress.sources, *record.hot.stress.sources, "S-B88", *brazed.sources]
    keys += [key for rating in record.published for key in rating.sources]
    keys += ["S-IAPWS97", "S-C106"]
    return "\n".join([*lines, "", "Sources", *source_lines(keys)])


def _published(rating: TubeRating) -> str:
    printed = f"{rating.rating_psi:.0f} psi up to {rating.temperature_c:.0f} °C"
    return f"  Published for this size: {printed}, {rating.tube} [{', '.join(rating.sources)}]."


def _stocked(od_mm: float) -> str:
    walls = [str(stock.gauge) for stock in stock_tubes() if abs(stock.od_mm - od_mm) < 0.003]
    return f"  Walls commonly stocked: {', '.join(walls)} swg [common practice]." if walls else ""


def _pressures(name: str, pressure: TubePressure) -> str:
    def both(mpa: float) -> str:
        return f"{psi(mpa):.0f} psi{mpa * 10:7.1f} bar"

    stress = f"{psi(pressure.stress.stress_mpa):.0f} psi"
    return f"  {name:28}{stress:>10}{both(pressure.least_mpa):>26}{both(pressure.nominal_mpa):>22}"
