"""What heat and acid that which is already fitted stands: seals, soldered joints, retaining compound, seats, paint.

Source: melting ranges by `trialfit.tables.joining`; seals by `trialfit.tables.seals` and the rules of ``sealing.csv``;
what stands acid, and lapped seats and paint, are common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trialfit.finding import Basis
from trialfit.job.assemblies import Seal
from trialfit.parts.cited import cite
from trialfit.tables.joining import fillers, solders
from trialfit.tables.rules import rule
from trialfit.tables.seals import seals

# Bench figures without a source: where a finished seat and a painted face begin to suffer.
_LAPPED_C = 300.0
_PAINT_C = 120.0
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


def melting_c(name: str) -> tuple[float, float]:
    """Melting range of a filler or solder.

    Parameters
    ----------
    name
        Its name in the tables.

    Returns
    -------
    tuple of float
        Lowest solidus and highest liquidus that authorities give. [°C]
    """
    every = [(each.solidus_c, each.liquidus_c) for each in fillers() if each.name == name]
    every += [(each.solidus_c, each.liquidus_c) for each in solders() if each.name == name]
    return min(low for low, _ in every), max(high for _, high in every)


def is_silver(name: str) -> bool:
    """Whether a filler is a silver-brazing one.

    Parameters
    ----------
    name
        Its name in the tables.

    Returns
    -------
    bool
        False for a soft solder.
    """
    return any(each.name == name for each in fillers())


def joint_limit(name: str) -> Limit:
    """What a soldered joint stands.

    Parameters
    ----------
    name
        Its filler or solder.

    Returns
    -------
    Limit
        Its solidus.
    """
    found = [(each.sources, each.basis) for each in fillers() if each.name == name]
    found += [(each.sources, each.basis) for each in solders() if each.name == name]
    source = cite(dict.fromkeys(key for keys, _ in found for key in keys))
    return Limit(f"the {name} joint", melting_c(name)[0], is_silver(name), source, found[0][1], "begins to melt at")


def compound_limit(grade: Literal["ordinary", "high-temperature"]) -> Limit:
    """What a retaining compound stands.

    Parameters
    ----------
    grade
        Its grade.

    Returns
    -------
    Limit
        What its maker's sheets print.
    """
    found = rule("anaerobic", f"{grade} grade")
    return Limit("the retaining compound", found.high or 0.0, False, cite(found.sources), found.basis)


def lapped_limit() -> Limit:
    """What a lapped seat stands.

    Returns
    -------
    Limit
        A bench figure.
    """
    return Limit("the lapped seat", _LAPPED_C, False, "", Basis.PRACTICE, "scales and moves above")


def paint_limit() -> Limit:
    """What paint stands.

    Returns
    -------
    Limit
        A bench figure.
    """
    return Limit("the paint", _PAINT_C, False, "", Basis.PRACTICE, "burns above")
