"""Flat prints of the example's photographs, made once, for the tests that measure them."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from backhead import TRUTH, folder, looked, world_to_card
from trialfit.sheets.flat_pages import pages_over
from trialfit.sheets.flat_print import FlatPrint, flat_print_pdf, pages_shown
from trialfit.sheets.heading import Paper
from trialfit.store.photographs import read_colour
from trialfit.survey.card import CardBoard, board_of
from trialfit.survey.flat_limits import Window, lattice_of
from trialfit.survey.flat_plane import plane_for
from trialfit.survey.flat_view import FlatView, view_of
from trialfit.survey.flat_window import square, useful_window
from trialfit.survey.gather import Sighted

Array = NDArray[np.float64]


def board() -> CardBoard:
    """The example's card."""
    card = folder().job.card
    assert card is not None
    return board_of(card)


@cache
def view(name: str, alone: bool = False) -> FlatView:
    """One of its photographs, placed among the others or alone."""
    sighted = looked().sighted
    if alone:
        sighted = Sighted({name: sighted.photographs[name]}, {name: sighted.cards[name]})
    return view_of(folder().job, sighted, name)


@cache
def flat(name: str, size_mm: float = 300.0, paper: Paper = "a4", window: Window | None = None) -> FlatPrint:
    """A photograph to be flattened to the card's plane."""
    placed = view(name)
    plane = plane_for(placed, board().centre_mm)
    pages = pages_over(window or useful_window(placed, plane, square(plane.middle_mm, size_mm)), paper)
    lattice = lattice_of(placed, plane, pages.span, height_mm=5.0)
    return FlatPrint(placed, plane, lattice, pages_shown(pages, lattice), 5.0)


@cache
def printed(name: str, size_mm: float = 300.0) -> bytes:
    """The same, printed."""
    picture = read_colour(folder().photographs[name])
    return flat_print_pdf(folder().job, flat(name, size_mm), picture)


def true_px(name: str, points_mm: Array) -> Array:
    """(n, 2) where (n, 3) points of the job frame are seen, by the camera the example was made with."""
    file = folder().job.photographs[name].file
    made = next(each for each in TRUTH["views"] if each["file"] == file)
    turn, shift = world_to_card()
    turned, _ = cv2.Rodrigues(np.array(made["R"]))
    world = (points_mm - shift) @ turn
    px, _ = cv2.projectPoints(world, turned, np.array(made["t"]), np.array(made["K"]), np.array(made["dist"]))
    return np.asarray(px, dtype=np.float64).reshape(-1, 2)
