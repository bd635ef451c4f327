"""O-rings in grooves and recesses: squeeze, fill, stretch, against the limits of the tables.

Source: limits in ``figures/valves_and_rings.csv`` (static seals to ISO 3601-2); squeeze and fill by
`trialfit.tables.fittings`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

from trialfit.finding import Answer, Basis
from trialfit.making.turned.features import Inside, Outside, Ring
from trialfit.tables.fittings import ring_fill_pct, ring_squeeze_mm
from trialfit.tables.rules import Rule, rule


@dataclass(frozen=True)
class RingFit:
    """How an O-ring lies in its groove.

    Parameters
    ----------
    ring
        The ring.
    seat
        ``outside``: in a groove round a rod, sealing in a bore; ``inside``: in a groove in a bore, sealing on a rod;
        ``face``: in a recess, sealing on a face.
    groove_deep_mm, groove_wide_mm
        The room it has, the gap included. [mm]
    squeeze_pct, fill_pct
        Share of its section it is squeezed by; share of its room it fills. [%]
    stretch_pct
        How much its bore is stretched by the groove it lies in; below 0 where it is pressed together. [%]
    place, name
        Where it stands in the job and what holds it.
    """

    ring: Ring
    seat: Literal["outside", "inside", "face"]
    groove_deep_mm: float
    groove_wide_mm: float
    squeeze_pct: float
    fill_pct: float
    stretch_pct: float
    place: str
    name: str


@dataclass(frozen=True)
class RingLimit:
    """One figure of a ring's fit beside its limits.

    Parameters
    ----------
    name
        Squeeze, fill or stretch.
    value_pct
        What this groove gives. [%]
    low_pct, high_pct
        The limits; None where that end is open. [%]
    answer
        Go within them, look outside.
    sources, basis
        Where the limits come from.
    """

    name: str
    value_pct: float
    low_pct: float | None
    high_pct: float | None
    answer: Answer
    sources: tuple[str, ...]
    basis: Basis


def outside_fit(groove: Outside) -> RingFit | None:
    """Give the fit of the ring in a groove of the outside.

    Parameters
    ----------
    groove
        The groove.

    Returns
    -------
    RingFit or None
        None where no ring lies in it.
    """
    ring = groove.ring
    if ring is None or ring.against_mm is None:
        return None
    return _fit(ring, "outside", (ring.against_mm - groove.left_mm) / 2.0, groove.long_mm, groove.left_mm, groove)


def inside_fit(hole: Inside, floor_mm: float = 0.0) -> RingFit | None:
    """Give the fit of the ring in a groove of the inside, or in the recess at the bottom of a counterbore.

    Parameters
    ----------
    hole
        The groove or counterbore.
    floor_mm
        Depth at which the counterbore is reached, where the mating face lands. [mm]

    Returns
    -------
    RingFit or None
        None where no ring lies in it.
    """
    ring = hole.ring
    if ring is None:
        return None
    if ring.against_mm is not None:
        deep_mm = (hole.size_mm - ring.against_mm) / 2.0
        stretched_mm = hole.size_mm - 2.0 * ring.section_mm
        return _fit(ring, "inside", deep_mm, hole.deep_mm - hole.starts_mm, stretched_mm, hole)
    deep_mm = hole.deep_mm - floor_mm
    # Without an inner wall the ring's room is taken as wide as the recess is from its wall to the ring's bore.
    wide_mm = (hole.size_mm - ring.bore_mm) / 2.0
    return _fit(ring, "face", deep_mm, wide_mm, hole.size_mm - 2.0 * ring.section_mm, hole)


def ring_limits(fit: RingFit) -> tuple[RingLimit, ...]:
    """Hold a ring's fit against the limits for static seals.

    Parameters
    ----------
    fit
        The fit.

    Returns
    -------
    tuple of RingLimit
        Squeeze, fill, stretch; the fill not of a recess, which has room towards the middle.
    """
    limits = [_limit("squeeze", fit.squeeze_pct), _limit("stretch", fit.stretch_pct)]
    if fit.seat != "face":
        limits.insert(1, _limit("fill", fit.fill_pct))
    return tuple(limits)


def groove_mm(section_mm: float) -> tuple[float, float]:
    """Give the depth and width of a groove for a ring, in the middle of the limits.

    Parameters
    ----------
    section_mm
        Diameter of the ring's section. [mm]

    Returns
    -------
    tuple of float
        Depth, the gap included, and width. [mm]
    """
    squeeze, fill = rule("O-ring", "squeeze"), rule("O-ring", "fill")
    deep_mm = section_mm * (1.0 - _middle(squeeze) / 100.0)
    return deep_mm, pi / 4.0 * section_mm**2 / deep_mm / (_middle(fill) / 100.0)


def face_recess_mm(section_mm: float, ring_bore_mm: float) -> tuple[float, float]:
    """Give the recess for a ring that seals on a face against pressure from inside.

    Parameters
    ----------
    section_mm, ring_bore_mm
        Diameter of the ring's section and its free bore. [mm]

    Returns
    -------
    tuple of float
        Diameter of the recess, which is the ring's own, so that pressure finds it lying against the wall; and its
        depth. [mm]
    """
    return ring_bore_mm + 2.0 * section_mm, groove_mm(section_mm)[0]


def _fit(
    ring: Ring,
    seat: Literal["outside", "inside", "face"],
    deep_mm: float,
    wide_mm: float,
    stretched_mm: float,
    feature: Outside | Inside,
) -> RingFit:
    section = ring.section_mm
    fill = ring_fill_pct(section, deep_mm, wide_mm) if deep_mm > 0.0 and wide_mm > 0.0 else float("inf")
    return RingFit(
        ring,
        seat,
        deep_mm,
        wide_mm,
        100.0 * ring_squeeze_mm(section, deep_mm) / section,
        fill,
        100.0 * (stretched_mm / ring.bore_mm - 1.0),
        feature.place,
        feature.name,
    )


def _limit(name: str, value_pct: float) -> RingLimit:
    found = rule("O-ring", name)
    low = found.low
    # Print gives no least stretch; a ring pressed together by more than 2 % buckles (assumed).
    if name == "stretch":
        low = -2.0
    inside = (low is None or value_pct >= low - 1e-6) and (found.high is None or value_pct <= found.high + 1e-6)
    return RingLimit(name, value_pct, low, found.high, Answer.GO if inside else Answer.LOOK, found.sources, found.basis)


def _middle(found: Rule) -> float:
    assert found.low is not None and found.high is not None
    return (found.low + found.high) / 2.0
