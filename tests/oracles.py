"""Other people's solvers on our observations: pycolmap's bundle adjuster and scipy's least squares."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from loaded import Loaded
from trialfit.survey.adjust import moved
from trialfit.survey.layout import Layout
from trialfit.survey.normal import whitened_rows
from trialfit.survey.outline_rows import outline_rows, rim_axes
from trialfit.survey.problem import FREE, HELD, Priors, Problem, State

pycolmap = Loaded("pycolmap")

Array = NDArray[np.float64]

# What pycolmap's RADIAL camera can say: free focal, centre, k1, k2; nothing believed beforehand; a perfect card.
PLAIN = Priors(
    focal=FREE,
    centre_px=FREE,
    distortion=(FREE, FREE, HELD, HELD, HELD),
    breathing_focal=HELD,
    breathing_centre_px=HELD,
    card_scale=HELD,
    card_difference=HELD,
    card_bow_mm=HELD,
)


def plain(problem: Problem) -> Problem:
    """The same observations, as much of them as pycolmap can take: no readings, known points or beliefs."""
    none = np.zeros(0, dtype=np.intp)
    return replace(
        problem,
        priors=PLAIN,
        focal_prior=np.full(problem.lens_count, FREE),
        card_sigma_px=1.0,
        mark_sigma_px=np.ones(len(problem.mark_px)),
        reading_points=np.zeros((0, 2), dtype=np.intp),
        reading_mm=np.zeros(0),
        reading_sigma_mm=np.zeros(0),
        known_point=none,
        known_mm=np.zeros((0, 3)),
        known_sigma_mm=np.zeros(0),
        line_axis=none,
        line_ratio=np.zeros(0),
        line_sigma=np.zeros(0),
    )


class Colmap:
    """A plain problem as a pycolmap reconstruction, ready to adjust."""

    def __init__(self, problem: Problem, state: State) -> None:
        self.problem = problem
        scene: Any = pycolmap.Reconstruction()
        lens = state.lenses[0]
        focal = float(problem.focal_start_px[0] * np.exp(lens[0]))
        # pycolmap counts from the corner of the top-left pixel, we from its centre.
        centre = problem.centre_start_px[0] + lens[1:3] + 0.5
        self.camera = pycolmap.Camera(
            model="RADIAL", width=4000, height=3000, params=[focal, *centre, lens[3], lens[4]], camera_id=1
        )
        scene.add_camera_with_trivial_rig(self.camera)
        corners, corner_ids = np.unique(problem.card_xy_mm, axis=0, return_inverse=True)
        tracks = {place: pycolmap.Track() for place in range(len(corners) + problem.point_count)}
        for photograph in range(problem.photograph_count):
            card = np.flatnonzero(problem.card_photograph == photograph)
            marks = np.flatnonzero(problem.mark_photograph == photograph)
            px = np.vstack([problem.card_px[card], problem.mark_px[marks]]) + 0.5
            image = pycolmap.Image(name=str(photograph), keypoints=px, camera_id=1, image_id=photograph + 1)
            pose = pycolmap.Rigid3d(pycolmap.Rotation3d(state.rotations[photograph]), state.translations_mm[photograph])
            scene.add_image_with_trivial_frame(image, pose)
            seen = [*corner_ids[card].tolist(), *(len(corners) + problem.mark_point[marks]).tolist()]
            for row, place in enumerate(seen):
                tracks[place].add_element(photograph + 1, row)
        self.ids = [
            scene.add_point3D(place, tracks[number])
            for number, place in enumerate(
                np.vstack([np.column_stack([corners, np.zeros(len(corners))]), state.points_mm])
            )
        ]
        self.corner_count = len(corners)
        self.scene = scene

    def adjust(self) -> None:
        """Run the bundle adjuster to convergence, the card's corners held."""
        config = pycolmap.BundleAdjustmentConfig()
        for image_id in self.scene.images:
            config.add_image(image_id)
        for place in self.ids[: self.corner_count]:
            config.add_constant_point(place)
        for place in self.ids[self.corner_count :]:
            config.add_variable_point(place)
        options = pycolmap.BundleAdjustmentOptions()
        options.refine_principal_point = True
        options.print_summary = False
        options.ceres.solver_options.gradient_tolerance = 1e-12
        options.ceres.solver_options.function_tolerance = 0.0
        options.ceres.solver_options.parameter_tolerance = 1e-14
        options.ceres.solver_options.max_num_iterations = 200
        pycolmap.create_default_bundle_adjuster(options, config, self.scene).solve()

    @property
    def points_mm(self) -> Array:
        """(n, 3) the free points."""
        return np.array([self.scene.points3D[place].xyz for place in self.ids[self.corner_count :]])

    @property
    def lens(self) -> Array:
        """(5,) focal, centre x y in our pixels, k1, k2."""
        f, cx, cy, k1, k2 = self.scene.cameras[1].params
        return np.array([f, cx - 0.5, cy - 0.5, k1, k2])


def scipy_adjusted(problem: Problem, start: State, tolerance: float = 1e-12) -> State:
    """scipy's general least squares with numeric differences on the same whitened residuals."""
    layout = Layout(problem)
    size = layout.unknown_count
    believed = (layout.prior_sigma != HELD) & (layout.prior_sigma != FREE)

    def residuals(step: Array) -> Array:
        state = moved(layout, start, step[: layout.head_count], step[layout.head_count :].reshape(-1, 3))
        rows = whitened_rows(problem, state).off.ravel()
        cameras = np.concatenate([np.zeros((problem.photograph_count, 6)), state.breathing], axis=1)
        values = np.concatenate([cameras.ravel(), state.lenses.ravel(), state.card])
        apart = state.points_mm[problem.reading_points[:, 1]] - state.points_mm[problem.reading_points[:, 0]]
        read = (np.linalg.norm(apart, axis=1) - problem.reading_mm) / problem.reading_sigma_mm
        known = (state.points_mm[problem.known_point] - problem.known_mm) / problem.known_sigma_mm[:, None]
        sign = np.where(problem.line_axis == 0, 0.5, -0.5)
        lines = (1.0 + state.card[0] + sign * state.card[1] - problem.line_ratio) / problem.line_sigma
        outlined = [outline_rows(layout, state).off, rim_axes(layout, state)[0]] if problem.outlines.axis_count else []
        beliefs = values[believed] / layout.prior_sigma[believed]
        return np.concatenate([rows, beliefs, read, known.ravel(), lines, *outlined])

    found = least_squares(
        residuals, np.zeros(size), method="lm", x_scale="jac", xtol=tolerance, ftol=tolerance, gtol=tolerance
    )
    return moved(layout, start, found.x[: layout.head_count], found.x[layout.head_count :].reshape(-1, 3))
