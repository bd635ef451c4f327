"""How hot work gets, and what heat and acid that which is already fitted stands.

Source: `trialfit.parts.stands`, which gives what each seal, joint and compound stands.
"""

from __future__ import annotations

from dataclasses import replace

from trialfit.finding import Basis
from trialfit.job.assemblies import Step
from trialfit.parts.stands import (
    Limit,
    compound_limit,
    joint_limit,
    lapped_limit,
    melting_c,
    paint_limit,
    seal_limit,
)
from trialfit.tables.metals import find_metal

HEATS = ("silver-solder", "soft-solder", "anneal", "warm")
JOINS = ("silver-solder", "soft-solder", "retaining compound", "screw together", "close")

_ANNEAL_C = 600.0


def heat_of(step: Step) -> float | None:
    """How hot a piece of work gets.

    Parameters
    ----------
    step
        The piece of work.

    Returns
    -------
    float or None
        Temperature; None where it is done cold. [°C]
    """
    if step.do not in HEATS:
        return None
    if step.reaches is not None:
        return float(step.reaches.to("C"))
    if step.filler is not None:
        return melting_c(step.filler)[1]
    return _ANNEAL_C


def limit_of(step: Step) -> Limit | None:
    """What that which a piece of work leaves behind stands.

    Parameters
    ----------
    step
        The piece of work.

    Returns
    -------
    Limit or None
        None where it leaves nothing that heat or acid could spoil.
    """
    found = _limit(step)
    if found is None:
        return None
    acid = found.acid if step.stands_acid is None else step.stands_acid
    if step.stands is not None:
        return Limit(found.what, float(step.stands.to("C")), acid, "the job", Basis.MEASURED)
    return replace(found, acid=acid)


def melts_at_c(metal: str | None) -> float | None:
    """Where a body's metal begins to melt.

    Parameters
    ----------
    metal
        Its name in the tables, or None.

    Returns
    -------
    float or None
        Solidus; None where the metal is not known or its sheet prints none. [°C]
    """
    return None if metal is None else find_metal(metal).solidus_c


def _limit(step: Step) -> Limit | None:
    if step.do in ("silver-solder", "soft-solder") and step.filler is not None:
        return replace(joint_limit(step.filler), acid=step.do == "silver-solder")
    if step.do == "fit seal" and step.seal is not None:
        return seal_limit(step.seal)
    if step.do == "retaining compound":
        return compound_limit(step.grade)
    return {"lap": lapped_limit, "paint": paint_limit}.get(step.do, lambda: None)()
