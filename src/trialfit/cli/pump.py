"""``trialfit pump``: what a ram pump delivers, and whether that is enough."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

import click

from trialfit.cli.findings import findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.feed.balls import BallValve, ball_valve
from trialfit.feed.flow_fittings import together
from trialfit.feed.flow_three import three
from trialfit.feed.pump import USUAL_SHARE, RamPump
from trialfit.feed.pump_demand import Cylinders
from trialfit.feed.pump_findings import pump_findings
from trialfit.feed.pump_report import PumpAsked, pump_report
from trialfit.feed.pump_suction import Suction
from trialfit.finding import Answer, Band
from trialfit.units import length_mm, pressure_mpa, read, temperature_c


@click.command()
@click.option("--ram", required=True, help='Diameter of the ram: "3/8 in".')
@click.option("--stroke", required=True, help='Stroke: "1/2 in".')
@click.option(
    "--strokes", required=True, help='Delivery strokes a minute: "240", or low, likely, high: "180, 240, 300".'
)
@click.option("--pressure", default="80 psi", show_default=True, help="Boiler pressure.")
@click.option("--feed", "feed_at", default="20 C", show_default=True, help='Water in the tank; "15 C, 20 C, 40 C".')
@click.option("--share", help='Share of the swept volume delivered, if measured: "85 %", "75 %, 85 %, 92 %".')
@click.option("--heat", help='Heat that gets into the water: "1 kW", "0.6 kW, 0.9 kW, 1.3 kW".')
@click.option("--cylinders", help='How many, bore x stroke, cut-off: "2, 1 in x 1.5 in, 75 %".')
@click.option("--turns", help="Turns of the driving axle a minute; without it it drives the pump, stroke for turn.")
@click.option("--leak", help='Hole that leaks as the bypass does: "0.3 mm".')
@click.option("--air", help='Air in the barrel when suction ends: "0.5 mL".')
@click.option("--suction", help='Suction pipe, bore x length: "3 mm x 400 mm".')
@click.option("--lift", default="0 mm", show_default=True, help="Height of the pump over the water in the tank.")
@click.option("--fitting", multiple=True, help="A fitting of the suction, besides mouth and ball: elbow, strainer ...")
@click.option("--ball", multiple=True, help='Ball x seat, and lift if known: "3/16 in x 3.4 mm, 0.7 mm".')
@click.option("--injector", is_flag=True, help="An injector draws from the same tank.")
@as_json
def pump(
    ram: str, stroke: str, strokes: str, pressure: str, feed_at: str, share: str | None, heat: str | None,
    cylinders: str | None, turns: str | None, leak: str | None, air: str | None, suction: str | None, lift: str,
    fitting: tuple[str, ...], ball: tuple[str, ...], injector: bool, as_json: bool,
) -> int:  # fmt: skip
    """Say what a ram pump delivers, and whether water, suction, balls and bypass let it feed the boiler.

    Exit code 0: nothing stops it. 1: a finding says stop.
    """
    speed = _three(strokes, "strokes", lambda each: _number(each, "strokes"), "a minute", 0)
    axle = speed if turns is None else _three(turns, "turns", lambda each: _number(each, "turns"), "a minute", 0)
    asked = PumpAsked(
        RamPump(length_mm(ram, "ram"), length_mm(stroke, "stroke"), speed, _share(share)),
        pressure_mpa(pressure, "boiler pressure"),
        _three(feed_at, "water in the tank", lambda each: temperature_c(each, "water in the tank"), "°C", 0),
        None if heat is None else _three(heat, "heat", lambda each: float(read(each, "power", "heat").to("kW")), "kW"),
        None if cylinders is None else _cylinders(cylinders, axle),
        None if leak is None else length_mm(leak, "leak"),
        None if air is None else _three(air, "air", lambda each: float(read(each, "volume", "air").to("mL")), "mL"),
        None if suction is None else _suction(suction, lift, fitting),
        tuple(_ball(each) for each in ball),
        injector,
        by_axle=turns is None,
    )
    report = pump_report(asked)
    findings = pump_findings(report)
    answer(as_json, findings_text(findings), {"report": report, "findings": findings})
    return int(any(finding.answer is Answer.STOP for finding in findings))


def _three(written: str, what: str, one: Callable[[str], float], unit: str, places: int = 2) -> Band:
    """Read one figure, or low, likely and high with commas between."""
    parts = [each.strip() for each in written.split(",")]
    if len(parts) not in (1, 3):
        raise Refusal(what, written, "one figure, or low, likely and high", "Put commas between the three.")
    low, likely, high = [one(each) for each in parts] * (3 // len(parts))
    if not low <= likely <= high:
        raise Refusal(what, written, "low, likely and high, rising", "Write the least first.")
    return Band(low, likely, high, unit, places)


def _number(written: str, what: str) -> float:
    try:
        found = float(written)
    except ValueError:
        found = 0.0
    if not 0 < found < inf:
        raise Refusal(what, written or "nothing", "a number above zero", "Count them over a minute.")
    return found


def _share(written: str | None) -> Band:
    if written is None:
        return USUAL_SHARE
    return _three(written, "share delivered", _part, "-")


def _part(written: str) -> float:
    return float(read(written, "share", "share").to("%")) / 100.0


def _parts(written: str, count: int, what: str, wanted: str) -> list[str]:
    parts = [part.strip() for part in written.replace("×", "x").replace(",", " x ").split(" x ")]
    if len(parts) != count:
        raise Refusal(what, written, wanted, f'Write it with " x " between: {wanted}.')
    return parts


def _cylinders(written: str, turns: Band) -> Cylinders:
    wanted = "2, 1 in x 1.5 in, 75 %"
    number, bore, stroke, cut_off = _parts(written, 4, "cylinders", wanted)
    if not number.isdigit():
        raise Refusal("cylinders", number, "a whole number", f"Write it like this: {wanted}.")
    cut = three([_part(cut_off)] * 3, "-")
    return Cylinders(int(number), length_mm(bore, "bore"), length_mm(stroke, "stroke"), cut, turns)


def _suction(written: str, lift: str, fittings: tuple[str, ...]) -> Suction:
    bore, long = _parts(written, 2, "suction pipe", "3 mm x 400 mm")
    k, k_slow = together("mouth into the pipe", "ball check", *fittings)
    return Suction(length_mm(bore, "bore"), length_mm(long, "length"), k, k_slow, length_mm(lift, "lift"))


def _ball(written: str) -> BallValve:
    size, comma, lift = written.partition(",")
    ball, bore = _parts(size, 2, "ball", "3/16 in x 3.4 mm, 0.7 mm")
    lift_mm = length_mm(lift.strip(), "lift") if comma else None
    return ball_valve(length_mm(ball, "ball"), length_mm(bore, "seat"), lift_mm)
