"""A simulated scene as a job document with sighted photographs, so that the whole survey can be asked about it."""

from __future__ import annotations

import numpy as np

from scenes import SIZE_PX, Scene
from trialfit.job.records import Job
from trialfit.survey.detect import CardSighting
from trialfit.survey.gather import Sighted
from trialfit.survey.photograph import Photograph


def job_of(made: Scene, check_lines: bool = True, focal_known: bool = True) -> tuple[Job, Sighted]:
    """Names for everything: photographs p0, p1 ..., points q0, q1 ...; rows by the scene's own order."""
    problem = made.problem
    marks: dict[str, dict[str, object]] = {f"p{k}": {} for k in range(problem.photograph_count)}
    for photograph, point, px in zip(problem.mark_photograph, problem.mark_point, problem.mark_px, strict=True):
        marks[f"p{photograph}"][f"q{point}"] = [float(px[0]), float(px[1])]
    lines = [
        {
            "along": "long" if axis == 0 else "short",
            "nominal": "100 mm",
            "reading": {"value": f"{100 * ratio:.3f} mm", "pm": "0.2 mm", "by": "owner, steel rule"},
        }
        for axis, ratio in zip(problem.line_axis, problem.line_ratio, strict=True)
    ]
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"name": "simulated", "owner": "N. Tarnbrook", "date": "2026-05-02"},
            "engine": {"name": "Dunlin", "working_pressure": "60 psi"},
            "survey": {"mark_pm": "3 px"},
            "phones": {"owner": {}},
            "card": {
                "page": ["148 mm", "105 mm"],
                "squares": [8, 5],
                "square": "16 mm",
                "marker": "12 mm",
                "dictionary": "DICT_4X4_50",
                "check_lines": lines if check_lines else [],
            },
            "photographs": {name: {"file": f"{name}.jpg", "phone": "owner"} for name in marks},
            "points": {f"q{k}": {} for k in range(problem.point_count)},
            "marks": marks,
            "readings": [
                {
                    "between": [f"q{a}", f"q{b}"],
                    "value": f"{reading:.3f} mm",
                    "pm": f"{2 * sigma:.3f} mm",
                    "by": "owner, caliper",
                }
                for (a, b), reading, sigma in zip(
                    problem.reading_points, problem.reading_mm, problem.reading_sigma_mm, strict=True
                )
            ],
        }
    )
    return job, sighted_of(made, focal_known)


def sighted_of(made: Scene, focal_known: bool = True) -> Sighted:
    """Photographs of nothing, with the card's corners as the scene has them."""
    problem = made.problem
    photographs, cards = {}, {}
    for k in range(problem.photograph_count):
        name = f"p{k}"
        photographs[name] = Photograph(
            name, f"{name}.jpg", *SIZE_PX, np.zeros((1, 1), dtype=np.uint8),
            float(problem.focal_start_px[0]) if focal_known else None,
            0.08 * float(problem.focal_start_px[0]) if focal_known else None, "", 1.0, "", (), str(k),
        )  # fmt: skip
        rows = np.flatnonzero(problem.card_photograph == k)
        # OpenCV counts the corners row by row from the top left; the scene from the lower left, row by row.
        place = np.round(problem.card_xy_mm[rows] / 16.0).astype(int)
        ids = (4 - place[:, 1]) * 7 + place[:, 0] - 1
        order = np.argsort(ids)
        cards[name] = CardSighting(name, ids[order], problem.card_px[rows][order], "")
    return Sighted(photographs, cards)
