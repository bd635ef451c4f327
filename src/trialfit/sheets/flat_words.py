"""What a flat print says of itself: what it is for, how wrong it is, how to join it, and why parts of it are white."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.flat_pages import OVERLAP_MM
from trialfit.survey.flat_band import SINGLE_MM, proud_offset_mm
from trialfit.survey.flat_limits import LEAST_PX_PER_MM, MOST_BAND_MM, MOST_VIEW_ANGLE_DEG, Lattice
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView

Array = NDArray[np.float64]

FOR = "For laying parts and pipes out over it, and for seeing what lies where in this plane."
NOT_FOR = (
    "Not for measuring, marking out, or cutting or bending to. Take sizes off the parts themselves, and places off the "
    "survey."
)
JOINING = (
    f"Pages overlap by {OVERLAP_MM:.0f} mm. Cut one page along the line with the diamonds and lay it over its "
    "neighbour until the halves of each lettered diamond meet."
)
BARS = "Print at 100 %, not “fit to page”. If a bar is not 100.0 mm, the print was scaled: bin it."
RULES = "The rule round each page counts millimetres of the plane."
LINES = "Up to a line, what lies in the plane is printed no further from its place than the line's figure."
_WORTH_SAYING_MM = 0.5
_RINGS_MM = (0.0, 50.0, 100.0, 150.0, 200.0, 300.0, 500.0, 4000.0)


def basis(view: FlatView, plane: FlatPlane) -> list[str]:
    """Say what the print and its band rest on.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.

    Returns
    -------
    list
        Sentences.
    """
    if not view.alone:
        count = len(view.survey.stations)
        more = ", of its lens and of the points the plane goes through" if plane.points else " and of its lens"
        said = [f"The band is what the survey of {count} photographs knows of this photograph's place{more}."]
    else:
        near = ", ".join(f"{band:g} mm up to {up_to:.0f} mm from its middle" for up_to, band in SINGLE_MM[:-1])
        middle = "the middle of its points" if plane.points else "the middle of the card"
        said = [
            f"This photograph stands alone. Its band is never called less than {near} and {SINGLE_MM[-1][1]:g} mm "
            f"beyond, counted from {middle}: measured on simulated photographs, not on this one."
        ]
        if view.because:
            said.insert(0, view.because)
    (long, _), (long_k2, _) = view.survey.card_stretch
    if view.card_sets_frame and not view.solved.snooped.adjusted.layout.problem.line_ratio.size:
        said.append(
            f"Nobody measured the card's check lines: the scale of the whole print is {100.0 * long:.1f} ± "
            f"{100.0 * long_k2:.1f} % of nominal (k = 2), and that is in the band."
        )
    return said


def band_rows(view: FlatView, plane: FlatPlane, lattice: Lattice, height_mm: float) -> list[list[str]]:
    """Say how wrong the print is ring by ring.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    lattice
        What is known of it.
    height_mm
        How far a thing stands proud. [mm]

    Returns
    -------
    list
        For each ring that the print shows some of: distance from the middle; how far from its place a feature in the
        plane is printed at most, from the best to the worst spot of the ring; how far a thing that stands proud is
        printed from where it stands.
    """
    places = np.stack(np.meshgrid(lattice.x_mm, lattice.y_mm), axis=2)
    rows = []
    for inner, outer in pairwise(_RINGS_MM):
        ring = lattice.shown & (lattice.away_mm >= inner) & (lattice.away_mm < outer)
        if ring.sum() < 10:
            continue
        offset = np.linalg.norm(proud_offset_mm(view, plane, places[ring], height_mm), axis=1)
        where = f"up to {outer:.0f} mm" if inner == 0.0 else f"{inner:.0f} to {outer:.0f} mm"
        if outer == _RINGS_MM[-1]:
            where = f"beyond {inner:.0f} mm"
        best, worst = f"{_up(lattice.band_mm[ring].min()):.1f}", f"{_up(lattice.band_mm[ring].max()):.1f} mm"
        within = worst if worst.startswith(best) else f"{best} to {worst}"
        rows.append([where, within, f"{offset.min():.1f} to {offset.max():.1f} mm"])
    return rows


def _up(value: float) -> float:
    """A band is rounded up, so that no more is claimed than was found."""
    return float(np.ceil(10.0 * value - 1e-9)) / 10.0


def proud(height_mm: float) -> str:
    """Say what the arrows mean.

    Parameters
    ----------
    height_mm
        How far a thing stands proud. [mm]

    Returns
    -------
    str
        Sentences.
    """
    return (
        f"What stands proud of the plane is printed too far out. A thing {height_mm:g} mm proud stands at an arrow's "
        f"ring and is printed at its tip; the figure is that distance in mm. {2.0 * height_mm:g} mm proud: about twice "
        "as far. The band comes on top."
    )


def stands(view: FlatView, plane: FlatPlane, point: str) -> list[str]:
    """Say where a marked point really stands, if the survey knows it and it is not in the plane.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    point
        The point's name.

    Returns
    -------
    list
        One sentence, or none.
    """
    known = {each.name: each.position_mm for each in view.survey.points}
    if point not in known:
        return []
    at = np.array([known[point]])
    (foot,), proud_mm = plane.places(at), float((at[0] - plane.origin_mm) @ plane.normal)
    off = float(np.linalg.norm(proud_offset_mm(view, plane, foot[None], proud_mm)))
    if off < _WORTH_SAYING_MM:
        return []
    side, way = ("over", "too far out") if proud_mm > 0.0 else ("under", "too far in")
    return [
        f"{point} is {abs(proud_mm):.1f} mm {side} the plane: it is printed {off:.1f} mm {way}, and belongs over "
        f"x {foot[0]:.1f}, y {foot[1]:.1f} mm."
    ]


def white(lattice: Lattice) -> list[str]:
    """Say why parts of the print are white.

    Parameters
    ----------
    lattice
        What is known of the plane where the pages lie.

    Returns
    -------
    list
        The reasons there are, as one sentence; none where nothing is white.
    """
    with np.errstate(invalid="ignore"):
        steep = lattice.seen & (lattice.view_angle_deg > MOST_VIEW_ANGLE_DEG)
        few = lattice.px_per_mm < LEAST_PX_PER_MM
        unsure = lattice.band_mm > MOST_BAND_MM
    reasons = (
        (~lattice.seen, "what lies outside the photograph"),
        (steep, f"what was seen at less than {90.0 - MOST_VIEW_ANGLE_DEG:.0f} deg to the plane"),
        (few, f"what has fewer than {LEAST_PX_PER_MM:g} pixels a millimetre in the photograph"),
        (unsure, f"what would be more than {MOST_BAND_MM:g} mm wrong"),
    )
    there = [words for where, words in reasons if where.mean() > 0.002]
    return [f"Left white is {'; '.join(there)}."] if there else []
