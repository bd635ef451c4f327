"""How hot work gets, and what heat and acid that which is already fitted stands.

Source: melting ranges by `trialfit.tables.joining`; seals by `trialfit.tables.seals` and the rules of ``sealing.csv``;
what stands acid is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trialfit.finding import Basis
from trialfit.job.assemblies import Seal, Step
from trialfit.parts.cited import cite
from trialfit.tables.joining import fillers, solders
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule
from trialfit.tables.seals import seals

HEATS = ("silver-solder", "soft-solder", "anneal", "warm")
JOINS = ("silver-solder", "soft-solder", "retaining compound", "screw together", "close")

# Bench figures without a source: where a finished seat, a painted face and a clean thread begin to suffer.
_LAPPED_C = 300.0
_PAINT_C = 120.0
_ANNEAL_C = 600.0
_RULED = {
    "PTFE tape": ("PTFE tape", "temperature"),
    "fibre washer": ("gasket", "fibre washer"),
    "bonded seal": ("gasket", "bonded seal with nitrile"),
    "copper washer": ("gasket", "annealed copper washer"),
}
_STANDS_ACID: tuple[str, ...] = ("PTFE", "PTFE tape", "FFKM")


@dataclass(frozen=True)
class Limit:
    """What something stands.

    Parameters
    ----------
    what
        What it is, for a sentence.
    most_c
        Highest temperature it stands; infinite where heat does it nothing. [°C]
    acid
        Whether it stands the pickle.
    source, basis
        Where that comes from.
    fails
        What it does at that temperature.
    """

    what: str
    most_c: float
    acid: bool
    source: str
    basis: Basis
    fails: str = "stands"


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
        return _range(step.filler)[1]
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


def seal_limit(seal: Seal) -> Limit:
    """What a seal stands.

    Parameters
    ----------
    seal
        The seal.

    Returns
    -------
    Limit
        The lower of what is printed.
    """
    acid = seal in _STANDS_ACID
    if seal in _RULED:
        found = rule(*_RULED[seal])
        low = found.low if found.low is not None and seal != "PTFE tape" else found.high
        return Limit(f"the {seal}", low or 0.0, acid, cite(found.sources), found.basis)
    printed = seals()[seal]
    return Limit(f"the {seal} seal", printed.dry_low_c, acid, cite(printed.sources), printed.basis)


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
        source, basis = _filler_source(step.filler)
        solidus_c, hard = _range(step.filler)[0], step.do == "silver-solder"
        return Limit(f"the {step.filler} joint", solidus_c, hard, source, basis, "begins to melt at")
    if step.do == "fit seal" and step.seal is not None:
        return seal_limit(step.seal)
    if step.do == "retaining compound":
        found = rule("anaerobic", f"{step.grade} grade")
        return Limit("the retaining compound", found.high or 0.0, False, cite(found.sources), found.basis)
    if step.do == "lap":
        return Limit("the lapped seat", _LAPPED_C, False, "", Basis.PRACTICE, "scales and moves above")
    if step.do == "paint":
        return Limit("the paint", _PAINT_C, False, "", Basis.PRACTICE, "burns above")
    return None


def _range(name: str) -> tuple[float, float]:
    """Lowest solidus and highest liquidus that authorities give."""
    every = [(each.solidus_c, each.liquidus_c) for each in fillers() if each.name == name]
    every += [(each.solidus_c, each.liquidus_c) for each in solders() if each.name == name]
    return min(low for low, _ in every), max(high for _, high in every)


def _filler_source(name: str) -> tuple[str, Basis]:
    found = [(each.sources, each.basis) for each in fillers() if each.name == name]
    found += [(each.sources, each.basis) for each in solders() if each.name == name]
    return cite(dict.fromkeys(key for keys, _ in found for key in keys)), found[0][1]
