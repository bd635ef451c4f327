"""A flattened photograph as a sheet: a map of its pages first, then the pages themselves at true scale."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.drafting import rectangle
from trialfit.sheets.drawing import OUTLINE, Drawing, Item, Text
from trialfit.sheets.file_names import free_name
from trialfit.sheets.flat_marks import (
    ARROW_PITCH_MM,
    EDGE_MM,
    RULE_MM,
    OnPaper,
    arrows,
    band_lines,
    cross,
    join_marks,
    legend,
    part_of,
    rule,
)
from trialfit.sheets.flat_pages import Page, Pages, pages_over
from trialfit.sheets.flat_words import BARS, FOR, JOINING, LINES, NOT_FOR, RULES, band_rows, basis, proud, stands, white
from trialfit.sheets.gauges import check_bar
from trialfit.sheets.heading import Paper, head
from trialfit.survey.flat_band import proud_offset_mm
from trialfit.survey.flat_limits import Lattice, Window, lattice_of, refuse_if_nothing
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.flat_wanted import FlatWanted
from trialfit.survey.flatten import flattened

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

PX_PER_MM = 10.0  # 254 to the inch; a phone's photograph from 300 mm has about 9
_MAP_MM = 116.0
_MAP_PX_PER_MM = 8.0
_QUALITIES = (85, 75, 65, 50, 35)
_MOST_BYTES = 8_000_000
_LONGEST_NAME = 90
_LEAST_SHOWN = 0.02


@dataclass(frozen=True, eq=False)
class FlatPrint:
    """All that a flat print is drawn from.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    lattice
        What is known of the plane where the pages lie.
    pages
        The pages.
    height_mm
        How far the things stand proud that the arrows are for. [mm]
    marked
        A named place to be marked: its name, and x and y in the plane; or None. [mm]
    """

    view: FlatView
    plane: FlatPlane
    lattice: Lattice
    pages: Pages
    height_mm: float
    marked: tuple[str, tuple[float, float]] | None = None

    def offset_mm(self, places_mm: Array) -> Array:
        """(n, 2) how far from each of (n, 2) places a thing standing proud there is printed. [mm]"""
        return proud_offset_mm(self.view, self.plane, places_mm, self.height_mm)


def flat_print_of(wanted: FlatWanted, paper: Paper = "a4") -> FlatPrint:
    """Share what is to be printed out over pages.

    Parameters
    ----------
    wanted
        The placed photograph, its plane, and what of it is printed.
    paper
        Size of the paper.

    Returns
    -------
    FlatPrint
        With its pages.

    Raises
    ------
    Refusal
        It takes too many pages, or nothing would be shown.
    """
    pages = pages_over(wanted.window, paper)
    lattice = lattice_of(wanted.view, wanted.plane, pages.span, height_mm=wanted.height_mm)
    refuse_if_nothing(wanted.view, wanted.plane, lattice)
    shown = pages_shown(pages, lattice)
    return FlatPrint(wanted.view, wanted.plane, lattice, shown, wanted.height_mm, wanted.marked)


def flat_print_files(
    job: Job, flats: Iterable[FlatWanted], pictures: Mapping[str, Picture], paper: Paper = "a4"
) -> dict[str, bytes]:
    """Set every flat print the job calls for whose photograph is there.

    Parameters
    ----------
    job
        The job.
    flats
        What is to be printed.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name.

    Raises
    ------
    Refusal
        One would take more pages than anybody joins.
    """
    sheets: dict[str, bytes] = {}
    for wanted in flats:
        picture = pictures.get(wanted.photograph)
        if picture is None:
            continue
        made = flat_print_of(wanted, paper)
        coloured = picture if picture.ndim == 3 else cv2.cvtColor(picture, cv2.COLOR_GRAY2RGB)
        sheets[f"{free_name('flat-print', wanted.name, sheets)}.pdf"] = flat_print_pdf(
            job, made, np.asarray(coloured, dtype=np.uint8), paper
        )
    return sheets


def pages_shown(pages: Pages, lattice: Lattice) -> Pages:
    """Leave out the pages on which nothing would be shown.

    Parameters
    ----------
    pages
        All pages.
    lattice
        What is known of the plane where they lie.

    Returns
    -------
    Pages
        Those that show something.
    """
    return pages.shown(lambda window: bool(lattice.shown[part_of(lattice, window)].mean() > _LEAST_SHOWN))


def flat_print_pdf(
    job: Job, made: FlatPrint, picture: Picture, paper: Paper = "a4", on_each: Callable[[], None] | None = None
) -> bytes:
    """Set a flat print.

    Parameters
    ----------
    job
        The job.
    made
        The photograph, the plane and the pages.
    picture
        (height, width, 3) the upright photograph: red, green, blue. [-]
    paper
        Size of the paper.
    on_each
        Told when each page's picture has been made, for a progress bar.

    Returns
    -------
    bytes
        The finished PDF.
    """
    flat = [_flat(made, picture, made.pages.span, _MAP_PX_PER_MM * _map_scale(made.pages.span))]
    for page in made.pages.pages:
        flat.append(_flat(made, picture, page.window, PX_PER_MM))
        if on_each is not None:
            on_each()
    names = ["map.jpg", *(f"page-{number}.jpg" for number in range(len(made.pages.pages)))]
    pictures = dict(zip(names, _small_enough(flat), strict=True))
    title = f"{job.job.name}: flat print of photograph {made.view.photograph.name}"
    return pdf("flat_print.typ", flat_print_record(job, made, paper), title, job.job.date, pictures)


def flat_print_record(job: Job, made: FlatPrint, paper: Paper = "a4") -> dict[str, Any]:
    """Write a flat print as a record for its template.

    Parameters
    ----------
    job
        The job.
    made
        The photograph, the plane and the pages.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; pictures are called by name.
    """
    title = f"photograph {made.view.photograph.name}, {made.plane.name}"
    heading = head(job, "flat print", _short(title), paper)
    # The pages' true size is fixed, so that the masthead over them must not grow.
    heading["job"] = _short(heading["job"])
    return {
        "head": heading,
        "for": FOR,
        "not_for": NOT_FOR,
        "map": _map(made),
        "band": {
            "columns": [
                f"from the {_whose(made)} middle",
                "in the plane within",
                f"{made.height_mm:g} mm proud, out by",
            ],
            "rows": band_rows(made.view, made.plane, made.lattice, made.height_mm),
        },
        "basis": basis(made.view, made.plane),
        "proud": proud(made.height_mm),
        "legend": legend().record(),
        "about": [
            *([JOINING] if made.pages.joins else []),
            RULES,
            made.plane.frame,
            *(stands(made.view, made.plane, made.marked[0]) if made.marked else []),
            *white(made.lattice),
        ],
        "lines": LINES,
        "bars": {"level": check_bar(False).record(), "upright": check_bar(True).record(), "note": BARS},
        "pages": [_page(made, page, number) for number, page in enumerate(made.pages.pages)],
    }


def _whose(made: FlatPrint) -> str:
    return "points' own" if made.plane.points else "card's"


def _page(made: FlatPrint, page: Page, number: int) -> dict[str, Any]:
    window = page.window
    on_paper = OnPaper(window, RULE_MM, RULE_MM)
    items = rule(window, on_paper)
    items += band_lines(made.lattice, window, on_paper)
    joins = [join for join in made.pages.joins if (page.row, page.column) in join.between]
    items += join_marks(joins, on_paper)
    items += arrows(made.lattice, window, on_paper, made.offset_mm, ARROW_PITCH_MM)
    if made.marked is not None and _holds(window, made.marked[1]):
        items += cross(on_paper(made.marked[1]), made.marked[0])
    size = (window.width_mm + RULE_MM + EDGE_MM, window.height_mm + RULE_MM + EDGE_MM)
    return {
        "picture": f"page-{number}.jpg",
        "at": [RULE_MM, EDGE_MM],
        "size": [window.width_mm, window.height_mm],
        "drawing": Drawing(*size, tuple(items)).record(),
        "note": _joins_note(made.pages, page),
    }


def _joins_note(pages: Pages, page: Page) -> str:
    place = (page.row, page.column)
    numbers = {(each.row, each.column): number for number, each in enumerate(pages.pages, 2)}
    said = []
    for join in pages.joins:
        if place in join.between:
            other = join.between[0] if join.between[1] == place else join.between[1]
            said.append(f"{join.letter} meets page {numbers[other]}")
    return "True size. " + ("; ".join(said) + "." if said else "The only page.")


def _map(made: FlatPrint) -> dict[str, Any]:
    span = made.pages.span
    scale = _map_scale(span)
    on_paper = OnPaper(span, scale=scale)
    items: list[Item] = band_lines(made.lattice, span, on_paper)
    if made.marked is not None and _holds(span, made.marked[1]):
        items += cross(on_paper(made.marked[1]), made.marked[0])
    for number, page in enumerate(made.pages.pages, 2):
        window = page.window
        left, low = on_paper((window.left_mm, window.low_mm))
        right, high = on_paper((window.right_mm, window.high_mm))
        items += [
            rectangle(left, low, right, high, OUTLINE),
            Text((left + 3.0, high - 4.5), f"page {number}", 11.0, "start", bold=True, clear=True),
        ]
    width, height = span.width_mm * scale, span.height_mm * scale
    return {
        "picture": "map.jpg",
        "size": [width, height],
        "drawing": Drawing(width, height, tuple(items)).record(),
    }


def _map_scale(span: Window) -> float:
    """Millimetres of paper a millimetre of the plane, on the map."""
    return min(1.0, _MAP_MM / max(span.width_mm, span.height_mm))


def _flat(made: FlatPrint, picture: Picture, window: Window, px_per_mm: float) -> Picture:
    return flattened(picture, made.view, made.plane, made.lattice, window, px_per_mm)


def _small_enough(pictures: list[Picture]) -> list[bytes]:
    """JPEGs of the best quality at which all together stay small enough to send."""
    files: list[bytes] = []
    for quality in _QUALITIES:
        files = [_jpeg(picture, quality) for picture in pictures]
        if sum(map(len, files)) <= _MOST_BYTES:
            break
    return files


def _jpeg(picture: Picture, quality: int) -> bytes:
    _, content = cv2.imencode(".jpg", picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return content.tobytes()


def _holds(window: Window, place: tuple[float, float]) -> bool:
    return window.left_mm <= place[0] <= window.right_mm and window.low_mm <= place[1] <= window.high_mm


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"
