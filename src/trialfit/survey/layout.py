"""Which column of the normal equations belongs to which unknown.

Source: the arrangement described in `docs/methods/survey.md`: cameras, lenses and card first, then points that a
reading ties together, then tubes and rims, then all other points, which are eliminated one by one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.outline_columns import OutlineColumns
from trialfit.survey.problem import FREE, HELD, Problem
from trialfit.survey.project import LENS_SIZE

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

POSE, BREATHING, CARD = 6, 3, 5
CAMERA_WIDTH = POSE + BREATHING + LENS_SIZE + CARD


@dataclass(frozen=True)
class Layout:
    """Columns of the unknowns of one problem.

    Parameters
    ----------
    problem
        The problem.
    """

    problem: Problem

    def of(self, problem: Problem) -> Layout:
        """The same columns, for a problem that differs only in where its marks are."""
        other = Layout(problem)
        other.__dict__.update({name: worked for name, worked in self.__dict__.items() if name != "problem"})
        return other

    @cached_property
    def prior_sigma(self) -> Array:
        """(c,) one standard deviation of every camera, lens and card unknown, held ones included."""
        priors, problem = self.problem.priors, self.problem
        breathing = [priors.breathing_focal, priors.breathing_centre_px, priors.breathing_centre_px]
        photograph = [FREE] * POSE + breathing
        lenses = [
            [focal, priors.centre_px, priors.centre_px, *priors.distortion] for focal in problem.focal_prior.tolist()
        ]
        seen = len(problem.card_photograph) > 0
        card = [priors.card_scale, priors.card_difference, *([priors.card_bow_mm] * 3)] if seen else [HELD] * CARD
        return np.array(photograph * problem.photograph_count + [s for lens in lenses for s in lens] + card)

    @cached_property
    def column(self) -> Indices:
        """(c,) active column of every camera, lens and card unknown; held ones share the spare last column."""
        active = self.prior_sigma != HELD
        column = np.cumsum(active) - 1
        column[~active] = self.active_count
        return column

    @cached_property
    def active_count(self) -> int:
        """How many camera, lens and card unknowns are not held. [-]"""
        return int((self.prior_sigma != HELD).sum())

    @cached_property
    def camera_columns(self) -> Indices:
        """(m, 22) active columns that the rays of each photograph depend on: pose, breathing, lens, card."""
        problem = self.problem
        per_photograph = POSE + BREATHING
        lens_start = per_photograph * problem.photograph_count
        card_start = lens_start + LENS_SIZE * problem.lens_count
        rows = []
        for photograph, lens in enumerate(problem.lens_of_photograph):
            own = np.arange(per_photograph) + per_photograph * photograph
            shared = np.arange(LENS_SIZE) + lens_start + LENS_SIZE * lens
            rows.append(np.concatenate([own, shared, np.arange(CARD) + card_start]))
        return self.column[np.array(rows, dtype=np.intp).reshape(-1, CAMERA_WIDTH)]

    @cached_property
    def linked(self) -> Indices:
        """(a,) points that a reading or a rim's axis ties to another; they are not eliminated."""
        outlines = self.problem.outlines
        on_rim = outlines.on_axis >= outlines.leg_count
        centres = outlines.rim_centre[outlines.on_axis[on_rim] - outlines.leg_count]
        return np.unique(np.concatenate([self.problem.reading_points.ravel(), outlines.on_point[on_rim], centres]))

    @cached_property
    def single(self) -> Indices:
        """(f,) all other points."""
        return np.setdiff1d(np.arange(self.problem.point_count), self.linked)

    @cached_property
    def linked_place(self) -> Indices:
        """(n,) place of each point among the linked ones, -1 for the others."""
        place = np.full(self.problem.point_count, -1, dtype=np.intp)
        place[self.linked] = np.arange(len(self.linked))
        return place

    @cached_property
    def outline_columns(self) -> OutlineColumns:
        """Columns of tubes and rims among their own."""
        return OutlineColumns(self.problem.outlines)

    @property
    def outline_start(self) -> int:
        """The first column of tubes and rims. [-]"""
        return self.active_count + 3 * len(self.linked)

    @cached_property
    def head_count(self) -> int:
        """Unknowns that are not eliminated. [-]"""
        return self.outline_start + self.outline_columns.count

    @property
    def unknown_count(self) -> int:
        """All unknowns that are not held. [-]"""
        return self.active_count + self.outline_columns.count + 3 * self.problem.point_count

    @cached_property
    def point_columns(self) -> Indices:
        """(n, 3) columns of each point in the full covariance: head first, then the eliminated points."""
        start = np.empty(self.problem.point_count, dtype=np.intp)
        start[self.linked] = self.active_count + 3 * np.arange(len(self.linked))
        start[self.single] = self.head_count + 3 * np.arange(len(self.single))
        return start[:, None] + np.arange(3)

    @cached_property
    def ray_rows(self) -> list[Indices]:
        """For each photograph, its rows: card corners, then marks counted on behind all card corners."""
        photograph = np.concatenate([self.problem.card_photograph, self.problem.mark_photograph])
        return [np.flatnonzero(photograph == p) for p in range(self.problem.photograph_count)]

    @cached_property
    def cross_places(self) -> Indices:
        """(j * 3 * 22,) place of each mark's point-by-camera block in a flat (n, 3, active + 1) array."""
        marks, points = self.problem.mark_photograph, self.problem.mark_point
        rows = (3 * points[:, None] + np.arange(3)) * (self.active_count + 1)
        return (rows[:, :, None] + self.camera_columns[marks][:, None, :]).ravel()
