"""Sheets: two photographs at one scale, measured in the finished PDF at 300 dots an inch.

The photographs are drawn (`tests/bench_scenes.py`), so that every size is known: tube 4.76 mm, torn end 18 mm long, nut
10 mm long, cone 6.8 mm. What is shown may be out by the sheet's own k = 2, and by two dots where an edge was found.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray

from backhead import folder
from bench_scenes import CONE_BODY_MM, NUT_LONG_MM, STUB_LONG_MM, TUBE_OD_MM
from trialfit.job.records import Job
from trialfit.sheets.before_and_after import Layout, before_and_after_files, layout_of
from trialfit.sheets.heading import Paper
from trialfit.store.photographs import read_colour, read_photographs
from trialfit.survey.before_and_after import BeforeAndAfter, befores_and_afters
from trialfit.survey.looked import looked_over

from .test_owner_in_german import ENGLISH

Array = NDArray[np.float64]
DOTS_A_MM = 300.0 / 25.4
EDGE_MM = 2.0 / DOTS_A_MM


@cache
def pair() -> BeforeAndAfter:
    """The example's pair; neither photograph needs the survey, nor those of the engine."""
    job = folder().job
    at_bench = {name: folder().photographs[name] for name, entry in job.photographs.items() if entry.bench}
    (made,), (finding,) = befores_and_afters(job, looked_over(read_photographs(at_bench), job).bench, None)
    assert finding.answer.value == "go"
    return made


@cache
def printed(paper: Paper, language: str = "en") -> bytes:
    """Its sheet."""
    job = folder().job
    card = job.job.model_copy(update={"language": language})
    pictures = {
        name: read_colour(folder().photographs[name]) for name in (pair().before.photograph, pair().after.photograph)
    }
    files = before_and_after_files(job.model_copy(update={"job": card}), [pair()], pictures, paper)
    assert list(files) == ["before-and-after-feed_end.pdf"]
    return files["before-and-after-feed_end.pdf"]


@cache
def coloured(paper: Paper) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where each of the two pictures on the paper is copper, brass or bronze: bench, card and shadow are grey."""
    dots = np.asarray(pypdfium2.PdfDocument(printed(paper))[0].render(scale=300.0 / 72.0).to_numpy()).astype(float)
    # Rendered blue first. Half of what the metals have of (red - blue) / (red + blue), 0.38 to 0.45, lit or shaded.
    colour = (dots[:, :, 2] - dots[:, :, 0]) / (dots[:, :, 2] + dots[:, :, 0] + 1.0) > 0.2
    middle = dots.shape[1] // 2
    return colour[:, :middle], colour[:, middle:]


def runs_mm(dark: NDArray[np.bool_]) -> list[float]:
    """Lengths of the runs along a row of dots. [mm]"""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    return [float(b - a) / DOTS_A_MM for a, b in zip(edges[::2], edges[1::2], strict=True)]


def wide_mm(picture: NDArray[np.bool_], share: float) -> float:
    """How high what is coloured stands in one column of dots. [mm]"""
    columns = np.flatnonzero(picture.any(axis=0))
    column = columns[0] + round(share * (columns[-1] - columns[0]))
    return max(runs_mm(picture[:, column]))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_what_came_and_what_goes_back_are_both_twice_their_true_size(paper: Paper) -> None:
    came, goes = coloured(paper)
    off = pair().before.k2_share * 2.0, pair().after.k2_share * 2.0
    # The stub is the rightmost thing of the left picture.
    assert wide_mm(came, 0.9) == pytest.approx(2.0 * TUBE_OD_MM, abs=off[0] * TUBE_OD_MM + EDGE_MM)
    across = max(max(runs_mm(row)) for row in came[came.any(axis=1)])
    assert across == pytest.approx(2.0 * STUB_LONG_MM, abs=off[0] * STUB_LONG_MM + EDGE_MM)
    # The nut is the highest thing of the right one; the corner that is seen there lies as deep as the pipe's axis.
    top = int(np.flatnonzero(goes.any(axis=1))[0]) + 5
    assert max(runs_mm(goes[top])) == pytest.approx(2.0 * NUT_LONG_MM, abs=off[1] * NUT_LONG_MM + EDGE_MM)
    # 3 mm from its nose the cone has its full body.
    column = int(np.flatnonzero(goes.any(axis=0))[0]) + round(6.0 * DOTS_A_MM)
    assert max(runs_mm(goes[:, column])) == pytest.approx(2.0 * CONE_BODY_MM, abs=off[1] * CONE_BODY_MM + EDGE_MM)


@pytest.mark.parametrize(("paper", "language"), [("a4", "en"), ("us-letter", "de")])
def test_the_sheet_says_its_scale_and_how_sure_it_is(paper: Paper, language: str) -> None:
    with pdfplumber.open(io.BytesIO(printed(paper, language))) as document:
        (page,) = document.pages
        said = " ".join((page.extract_text() or "").split())
        bars = [abs(line["x1"] - line["x0"]) * 25.4 / 72.0 for line in page.lines if line["linewidth"] > 1.2]
    assert min(abs(bar - 100.0) for bar in bars) < 0.01
    # A bar of 20 mm of the piece at 2:1 under either picture.
    assert sum(abs(bar - 40.0) < 0.01 for bar in bars) == 2
    wanted = {
        "en": ("at 2:1, that is 2 times its true size", "19 times in 20 (k = 2)", "page 1 of 1",
               "revision 1", "given 14 March 2026", "100.0 mm long on the paper", "Do not make a part by them"),
        "de": ("im Maßstab 2:1", "19 Mal von 20 (k = 2)", "Seite 1 von 1", "100,0 mm"),
    }  # fmt: skip
    for words in wanted[language]:
        assert words in said
    own = f"{pair().what[:1].upper()}{pair().what[1:]}"
    assert bool(ENGLISH.search(said.replace(own, ""))) == (language == "en")
    within = f"{100.0 * pair().before.k2_share:.1f} %"
    assert (f"right within {within}" if language == "en" else f"auf {within.replace('.', ',')} genau") in said
    # By hand: the lens stands 205.6 mm over the pipe's axis, 1 / (1 - 10/205.6) = 1.0511; it is known within 2 %.
    deeper = re.findall(r"(?:looks|hier) (\d[.,]\d) %", said)
    assert float(deeper[0].replace(",", ".")) == pytest.approx(5.11, abs=0.11)


def test_the_scale_is_the_largest_at_which_both_go() -> None:
    """Side by side A4 leaves (186 - 4) / 2 = 91 mm: 45.5 mm of a piece go at 2:1, and 45.6 mm do not."""
    made = pair()
    assert layout_of(made) == Layout(2, 1, layout_of(made).size_mm, False)
    wide = np.array([[0.0, 0.0], [45.6, 60.0]])
    window = type(made.before.window)(*wide.ravel().tolist())
    larger = replace(made, before=replace(made.before, window=window))
    assert (layout_of(larger).paper, layout_of(larger).piece) == (1, 1)


def test_a_job_without_the_pictures_gets_no_sheet() -> None:
    job: Job = folder().job
    assert before_and_after_files(job, [pair()], {}) == {}
