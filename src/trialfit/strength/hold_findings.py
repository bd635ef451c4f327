"""How long a test is held, by water and by air, and what the gauge's movement means.

Source: `trialfit.strength.water_decay` and `trialfit.strength.leak_decay`.
"""

from __future__ import annotations

from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason, places_for
from trialfit.strength.leak_decay import READ_DIVISIONS
from trialfit.strength.pressure_report import PressureTest
from trialfit.strength.water_decay import HELD_MIN

STAGE = "strength"


def bar(pressure_mpa: float) -> str:
    """Write a pressure as the gauge of a test shows it.

    Parameters
    ----------
    pressure_mpa
        Pressure. [MPa]

    Returns
    -------
    str
        In bar.
    """
    return str(Figure(pressure_mpa * 10, "bar", None, places_for(pressure_mpa * 10)))


def hold_by_water(test: PressureTest) -> Finding:
    """Say what the gauge of a water test shows, and how long it is held.

    Parameters
    ----------
    test
        The test, worked out.

    Returns
    -------
    Finding
        The time, or that there is no gauge.
    """
    question = "What does the gauge of the water test show, and how long is it held?"
    plan = test.by_water
    if plan is None:
        because = (Reason("The job has no gauge for this test; drops and damp places need none."),)
        return Finding(STAGE, test.name, question, Answer.LOOK, None, None, because, "Give the gauge's division.")
    warm = f"{bar(plan.per_kelvin.low).removesuffix(' bar')} to {bar(plan.per_kelvin.high)}"
    reasons = (
        Reason(
            f"Water gives so little that {1000 * plan.fall_mpa * plan.gives.low:.2g} to "
            f"{1000 * plan.fall_mpa * plan.gives.high:.2g} µL lost from {plan.volume_ml:g} mL move it "
            f"{bar(plan.fall_mpa)}: the leak that one 3 mm bubble of air a second betrays, {plan.leak_low_ml_h:.1f} to "
            f"{plan.leak_high_ml_h:.1f} mL/h here, does so in {_long(plan.hold)}.", "docs/methods/pressure.md",
        ),
        Reason(
            f"Held {HELD_MIN:.0f} min it would show {plan.least_ml_h.low:.1g} to {plan.least_ml_h.high:.1g} mL/h. What "
            "is not bled, up to 1 % of air, and a hose that gives hide a leak: bleed again where it comes up softly.",
            "", Basis.ASSUMED,
        ),
        Reason(
            f"It shows warmth as well: {warm} a degree, so {plan.steady_k:.1g} K look "
            "like that fall. The walls' own growth, about a quarter off it, is left out.",
            "IAPWS R7-97, region 1", Basis.STANDARD,
        ),
        Reason(f"Ten minutes, and a fall of {READ_DIVISIONS:g} divisions believed.", "", Basis.PRACTICE),
    )  # fmt: skip
    do = (
        "Pump up, shut the pump off and wait until it falls no more; then hold ten minutes. If it still falls, look "
        "for the wet place: the gauge does not say how much, and a falling gauge without one is warmth or the hose."
    )
    return Finding(STAGE, test.name, question, Answer.GO, plan.hold, None, reasons, do)


def _long(hold: Band) -> str:
    low, high = (f"{each:.1g}" if each < 10 else f"{each:.0f}" for each in (hold.low, hold.high))
    return f"{low} to {high} s"


def hold_by_air(test: PressureTest) -> Finding:
    """Say how long air must be held for the gauge to show a leak.

    Parameters
    ----------
    test
        The test, worked out.

    Returns
    -------
    Finding
        The time, or that there is no gauge.
    """
    question = "How long must the air be held for the gauge to show a leak?"
    if test.decay is None:
        words = "The job has no gauge for this test; bubbles under water need none."
        return Finding(STAGE, test.name, question, Answer.LOOK, None, None, (Reason(words),),
                       "Give the gauge's division and the room of its hose.")  # fmt: skip
    plan = test.decay
    reasons = (
        Reason(
            f"{READ_DIVISIONS:g} divisions of {10 * plan.division_mpa:g} bar in {plan.volume_ml:g} mL with the hose, "
            f"at a leak of {plan.leak_ml_min:g} mL/min: one bubble of 3 mm a second.", "docs/methods/pressure.md",
        ),
        Reason(
            f"{plan.steady_k:.1f} K look like that leak, {plan.per_kelvin_mpa * 10000:.1f} mbar a degree: wait until "
            "it has the water's temperature before the first reading."
        ),
        Reason(f"A fall of {READ_DIVISIONS:g} divisions is believed.", "", Basis.PRACTICE),
    )  # fmt: skip
    return Finding(STAGE, test.name, question, Answer.GO, Figure(plan.hold_min, "min", None, 1), None, reasons)
