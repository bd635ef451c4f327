"""The example's photographs with their truth, brought into the card's frame. For tests only."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trialfit.cli.looking import look_at
from trialfit.store.folder import JobFolder, read_folder
from trialfit.survey.card import board_of, corner_positions_mm
from trialfit.survey.looked import Looked
from trialfit.survey.records import Survey
from trialfit.survey.solve import survey_of

Array = NDArray[np.float64]

FOLDER = Path(__file__).parents[1] / "examples" / "backhead"
TRUTH: dict[str, Any] = json.loads((Path(__file__).parent / "photographs" / "backhead" / "truth.json").read_text())


@cache
def folder() -> JobFolder:
    """The example job."""
    return read_folder(FOLDER)


@cache
def looked() -> Looked:
    """Its photographs, read and searched."""
    return look_at(folder())


@cache
def survey() -> Survey:
    """Its survey."""
    return survey_of(folder().job, looked().sighted)


@cache
def world_to_card() -> tuple[Array, Array]:
    """Rotation and shift from the truth's world frame to the card's, by the card's corners (Kabsch 1976)."""
    card = folder().job.card
    assert card is not None
    world, ours = np.array(TRUTH["card"]["corners"]), corner_positions_mm(board_of(card))
    middle, our_middle = world.mean(axis=0), ours.mean(axis=0)
    u, _, vt = np.linalg.svd((world - middle).T @ (ours - our_middle))
    turn = vt.T @ np.diag([1.0, 1.0, np.sign(np.linalg.det(vt.T @ u.T))]) @ u.T
    shift = our_middle - turn @ middle
    assert np.abs(world @ turn.T + shift - ours).max() < 1e-9
    return turn, shift


def to_card(world: Any) -> Array:
    """(..., 3) points of the truth in the card's frame."""
    turn, shift = world_to_card()
    moved: Array = np.asarray(world) @ turn.T + shift
    return moved


def true_points() -> dict[str, Array]:
    """Every named point of the truth in the card's frame."""
    return {target["name"]: to_card(target["p"]) for target in TRUTH["targets"]}
