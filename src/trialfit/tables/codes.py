"""Test codes and safety, so that they can be found. The inspector, the insurer and the local law decide.

Source: the rules of ``figures/codes.csv``.
"""

from __future__ import annotations

from trialfit.tables.rules import Rule, rules


def bar_litres(gauge_mpa: float, volume_ml: float) -> float:
    """Pressure times volume, by which model boiler codes divide boilers.

    Parameters
    ----------
    gauge_mpa
        Working pressure above atmosphere. [MPa]
    volume_ml
        Volume of the boiler. [mL]

    Returns
    -------
    float
        Bar litres. [bar·L]
    """
    return gauge_mpa * 10 * volume_ml / 1000


def cautions() -> tuple[Rule, ...]:
    """Give what goes with every sheet that leads to heat, acid, pressure or a boiler.

    Returns
    -------
    tuple of Rule
        Who decides; the risk of pressure tests; fume; eyes.
    """
    subjects = ("caution", "pressure testing", "fume", "eyes")
    return tuple(found for subject in subjects for found in rules(subject))
