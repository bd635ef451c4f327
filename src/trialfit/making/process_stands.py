"""How hot work gets, and what heat and acid that which is already fitted stands.

Source: melting ranges by `trialfit.tables.joining`; seals by `trialfit.tables.seals` and the rules of ``sealing.csv``;
what stands acid is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Basis, Reason
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
    because
        Where that comes from.
    """

    what: str
    most_c: float
    acid: bool
    because: Reason


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
    most_c = found.most_c if step.stands is None else float(step.stands.to("C"))
    acid = found.acid if step.stands_acid is None else step.stands_acid
    because = found.because
    if step.stands is not None:
        because = Reason(f"The job says that it stands {most_c:.0f} °C.", "the job", Basis.MEASURED)
    return Limit(found.what, most_c, acid, because)


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
        most_c = low or 0.0
        text = f"A {seal} stands {most_c:.0f} °C." if seal != "PTFE tape" else f"PTFE tape is rated to {most_c:.0f} °C."
        return Limit(f"the {seal}", most_c, acid, Reason(text, cite(found.sources), found.basis))
    printed = seals()[seal]
    text = f"{seal} ({printed.name}) stands {printed.dry_low_c:.0f} °C dry."
    return Limit(f"the {seal} seal", printed.dry_low_c, acid, Reason(text, cite(printed.sources), printed.basis))


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
    if step.do == "silver-solder" and step.filler is not None:
        solidus_c = _range(step.filler)[0]
        text = f"{step.filler} begins to melt at {solidus_c:.0f} °C."
        return Limit(f"the {step.filler} joint", solidus_c, True, _filler_reason(step.filler, text))
    if step.do == "soft-solder" and step.filler is not None:
        solidus_c = _range(step.filler)[0]
        text = f"{step.filler} begins to melt at {solidus_c:.0f} °C; hot pickle eats soft solder and is fouled by it."
        return Limit(f"the {step.filler} joint", solidus_c, False, _filler_reason(step.filler, text))
    if step.do == "fit seal" and step.seal is not None:
        return seal_limit(step.seal)
    if step.do == "retaining compound":
        found = rule("anaerobic", f"{step.grade} grade")
        text = f"Retaining compound of {step.grade} grade stands {found.high:.0f} °C."
        return Limit("the retaining compound", found.high or 0.0, False, Reason(text, cite(found.sources), found.basis))
    if step.do == "lap":
        text = f"A lapped seat scales and moves above about {_LAPPED_C:.0f} °C, and pickle etches it."
        return Limit("the lapped seat", _LAPPED_C, False, Reason(text, "", Basis.PRACTICE))
    if step.do == "paint":
        text = f"Paint burns above about {_PAINT_C:.0f} °C."
        return Limit("the paint", _PAINT_C, False, Reason(text, "", Basis.PRACTICE))
    return None


def _range(name: str) -> tuple[float, float]:
    """Lowest solidus and highest liquidus that authorities give."""
    every = [(each.solidus_c, each.liquidus_c) for each in fillers() if each.name == name]
    every += [(each.solidus_c, each.liquidus_c) for each in solders() if each.name == name]
    return min(low for low, _ in every), max(high for _, high in every)


def _filler_reason(name: str, text: str) -> Reason:
    brazing = next((each for each in fillers() if each.name == name), None)
    if brazing is not None:
        return Reason(text, cite(brazing.sources), brazing.basis)
    solder = next(each for each in solders() if each.name == name)
    return Reason(text, cite(solder.sources), solder.basis)
