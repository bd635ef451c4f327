"""Unit: tubes and round faces of a survey in lines for a person, whole lines compared."""

from __future__ import annotations

from dataclasses import replace

from trialfit.cli.outline_words import rim_lines, tube_lines
from trialfit.survey.outline_records import SurveyedAxis, SurveyedBend, SurveyedRim, SurveyedTube

BENT = SurveyedTube(
    "feed",
    4.763,
    0.031,
    ((1.0, 2.0, 3.0), (1.0, 2.0, -20.0), (16.0, 2.0, -40.0)),
    ((0.1, 0.2, 0.0), (0.15, 0.25, 0.35), (0.3, 0.1, 0.2)),
    (SurveyedAxis("feed.leg1", (0.0, 0.0, -1.0), 0.84), SurveyedAxis("feed.leg2", (0.6, 0.0, -0.8), 0.42)),
    (SurveyedBend("feed.bend1", 36.87, 1.26),),
    12.66,
    0.44,
    61,
)


def test_a_bent_tube() -> None:
    assert tube_lines((BENT,)) == [
        "",
        "Tubes as the photographs show them, from start to end, mm in the card's frame, ± is k = 2:",
        "feed: outside diameter 4.76 ± 0.03 mm, bend radius 12.7 ± 0.4 mm, 61 marks",
        "  marked as far as       1.00  0.10       2.00  0.20       3.00  0.00",
        "  corner of bend1        1.00  0.15       2.00  0.25     -20.00  0.35  turns 36.9 ± 1.3 deg",
        "  marked as far as      16.00  0.30       2.00  0.10     -40.00  0.20",
        "  leg1 runs (0.000, 0.000, -1.000) ± 0.8 deg",
        "  leg2 runs (0.600, 0.000, -0.800) ± 0.4 deg",
    ]


def test_a_bend_nobody_marked_and_a_straight_tube() -> None:
    unknown = replace(BENT, bend_radius_mm=None, bend_radius_k2_mm=None)
    assert tube_lines((unknown,))[2] == (
        "feed: outside diameter 4.76 ± 0.03 mm, bend radius not known: no mark lies on a bend, 61 marks"
    )
    straight = replace(
        BENT, vertices_mm=BENT.vertices_mm[:2], vertices_k2_mm=BENT.vertices_k2_mm[:2], legs=BENT.legs[:1], bends=()
    )
    assert tube_lines((straight,))[2] == "feed: outside diameter 4.76 ± 0.03 mm, 61 marks"
    assert len(tube_lines((straight,))) == 6


def test_a_rim_and_nothing_at_all() -> None:
    rim = SurveyedRim(SurveyedAxis("bush_rim", (0.0, -1.0, 0.0), 2.24), "bush.face", 5.885, 0.116, 36)
    assert rim_lines((rim,)) == [
        "",
        "Round faces, ± is k = 2:",
        "bush_rim: about bush.face, faces (0.000, -1.000, 0.000) ± 2.2 deg, diameter 11.77 ± 0.23 mm, 36 marks",
    ]
    assert tube_lines(()) == rim_lines(()) == []
