"""How a flat print is shared out over pages, and where its pages meet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from math import ceil

from trialfit.errors import Refusal
from trialfit.sheets.heading import Paper
from trialfit.survey.flat_limits import Window

OVERLAP_MM = 10.0
# Of the plane on one page, beside the masthead, the check bars in the margin and the rule along its edges. [mm]
PAGE_MM: dict[Paper, tuple[float, float]] = {"a4": (160.0, 210.0), "us-letter": (160.0, 190.0)}
MOST_PAGES = 40
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O read as figures


@dataclass(frozen=True)
class Page:
    """One page of the print.

    Parameters
    ----------
    row, column
        Its place among the pages, the uppermost row and the leftmost column 0. [-]
    window
        What of the plane stands on it.
    """

    row: int
    column: int
    window: Window


@dataclass(frozen=True)
class Join:
    """Where two pages meet.

    Parameters
    ----------
    letter
        Its letter, the same on both.
    upright
        Whether the line they meet at is upright.
    at_mm
        Where that line lies, in the plane's x or y. [mm]
    from_mm, to_mm
        Where it begins and ends, in the other. [mm]
    between
        Row and column of both pages.
    """

    letter: str
    upright: bool
    at_mm: float
    from_mm: float
    to_mm: float
    between: tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True)
class Pages:
    """All pages of a print.

    Parameters
    ----------
    span
        What of the plane they cover together.
    pages
        The pages that show something, row by row from the upper left.
    """

    span: Window
    pages: tuple[Page, ...]

    @property
    def joins(self) -> tuple[Join, ...]:
        """Where they meet, lettered in the order of the pages."""
        there = {(page.row, page.column): page.window for page in self.pages}
        joins: list[Join] = []
        letters = _letters()
        for (row, column), window in there.items():
            right, below = there.get((row, column + 1)), there.get((row + 1, column))
            if right is not None:
                at = (window.right_mm + right.left_mm) / 2.0
                both = ((row, column), (row, column + 1))
                joins.append(Join(next(letters), True, at, window.low_mm, window.high_mm, both))
            if below is not None:
                at = (window.low_mm + below.high_mm) / 2.0
                both = ((row, column), (row + 1, column))
                joins.append(Join(next(letters), False, at, window.left_mm, window.right_mm, both))
        return tuple(joins)

    def shown(self, worth: Callable[[Window], bool]) -> Pages:
        """Leave out the pages that would be empty.

        Parameters
        ----------
        worth
            Whether a page with this on it is worth its paper.

        Returns
        -------
        Pages
            The others.
        """
        return Pages(self.span, tuple(page for page in self.pages if worth(page.window)))


def pages_over(window: Window, paper: Paper) -> Pages:
    """Share a window out over pages that overlap.

    Parameters
    ----------
    window
        What of the plane is to be printed, its sides on whole even millimetres.
    paper
        Size of the paper.

    Returns
    -------
    Pages
        As few as hold it, all of one size, and no larger together than it needs.

    Raises
    ------
    Refusal
        It takes more pages than anybody would join.
    """
    wide, high = PAGE_MM[paper]
    lefts, page_wide = _shared(window.left_mm, window.right_mm, wide)
    lows, page_high = _shared(window.low_mm, window.high_mm, high)
    if len(lefts) * len(lows) > MOST_PAGES:
        raise Refusal(
            "flat print", f"{window.width_mm:.0f} x {window.height_mm:.0f} mm, {len(lefts) * len(lows)} pages",
            f"at most {MOST_PAGES} pages", "Give a smaller --size.",
        )  # fmt: skip
    pages = tuple(
        Page(row, column, Window(left, low, left + page_wide, low + page_high))
        for row, low in enumerate(reversed(lows))
        for column, left in enumerate(lefts)
    )
    return Pages(Window(lefts[0], lows[0], lefts[-1] + page_wide, lows[-1] + page_high), pages)


def _shared(start: float, end: float, page: float) -> tuple[list[float], float]:
    """Where each page begins, and how much it shows, one way."""
    if end - start <= page:
        return [start], end - start
    pages = ceil((end - start - OVERLAP_MM) / (page - OVERLAP_MM) - 1e-9)
    shown = 2.0 * ceil((end - start + (pages - 1) * OVERLAP_MM) / pages / 2.0 - 1e-9)
    over = pages * shown - (pages - 1) * OVERLAP_MM - (end - start)
    first = start - 2.0 * round(over / 4.0)
    return [first + (shown - OVERLAP_MM) * k for k in range(pages)], shown


def _letters() -> Iterator[str]:
    for round_ in count(1):
        yield from (letter * round_ for letter in _LETTERS)
