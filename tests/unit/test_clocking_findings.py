"""Unit: fittings of a job that must point somewhere; figures worked by hand, sentences read whole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from trialfit.finding import Answer, Figure
from trialfit.fitup.clocking_findings import clocked
from trialfit.job.clocking import ClockingEntry
from trialfit.job.references import reference_faults
from trialfit.job.shop import assumed_shop
from trialfit.parts.records import Array


def entry(**more: Any) -> ClockingEntry:
    return ClockingEntry.model_validate({"thread": "1/4x40", "wanted": "30 deg", "twelve": "straight up", **more})


@dataclass(frozen=True)
class Known:
    """An elbow screwed in along -y, its arm pointing to three o'clock, known to 0.2 mm each way."""

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        at = {"outer": (0, 20, 0), "inner": (0, 0, 0), "end": (-10, 10, 0), "up": (0, 3, 50)}
        rows = [at[name] for name in names]
        return np.array(rows, dtype=np.float64), 0.2**2 * np.eye(3 * len(names))


def test_washers_for_a_trial() -> None:
    """Stopped at 185 and 15 more to tight is 200: 170 deg too much is 0.2999 mm at 0.635 pitch, so 0.3 mm."""
    got = clocked("elbow", entry(stopped="185 deg", nip="15 deg", washer="0.5 mm"), assumed_shop(), None)
    assert got.packing is not None
    assert got.packing.shims_mm == (0.3,)
    assert got.finding.answer is Answer.GO
    assert got.finding.because[0].text == (
        "Tightened, it stops at 200 deg, half past 6; wanted is 30 deg, 1 o'clock. With washers of 0.3 mm added over "
        "the 0.5 mm washer it was tried with it stops 0 deg short; 0.3 mm less thread goes in."
    )
    # 190 of 360 deg of 0.635 mm.
    assert got.finding.do == "Add washers of 0.3 mm, or face 0.34 mm off its shoulder."


def test_without_a_trial_the_table_goes_along() -> None:
    got = clocked("elbow", entry(), assumed_shop(), None)
    assert got.finding.answer is Answer.LOOK
    assert len(got.table) == 12
    assert got.seen == (
        "Seen looking along its thread towards the part it screws into, with straight up at 12 o'clock."
    )


def test_a_trial_seen_in_the_survey() -> None:
    """Looking along -y, -x is to the right: three o'clock. each point known to 0.2 mm."""
    got = clocked("elbow", entry(axis=["outer", "inner"], arm="end", twelve_at="up"), assumed_shop(), Known())
    assert got.packing is not None
    assert "it stops at 90 ±" in got.finding.because[0].text
    # The arm ends half way between the axis' points, where the axis is known to 0.2 / sqrt 2: the arm, 10 mm long, is
    # known to 0.2 sqrt 1.5 / 10 rad, 1.40 deg. Twelve, 50 mm off at 3 mm, to 0.2 sqrt 1.745 / 50, 0.30 deg. Twice the
    # root of both squares is 2.87.
    assert isinstance(got.finding.figure, Figure)
    assert got.finding.figure.k2 == pytest.approx(2.87, rel=0.02)


def test_a_taper_thread_takes_turns_and_no_washers() -> None:
    got = clocked("cock", entry(thread="R1/8", wanted="0 deg", stopped="90 deg"), assumed_shop(), None)
    assert (got.packing, got.table) == (None, ())
    assert got.finding.do == "Turn it 1.75 turns past hand tight."
    # R1/8 has 28 tpi: 0.8 mm in 0.9071.
    assert got.finding.because[3].text.startswith("A hole tapped 0.05 mm larger moves hand tight by 0.88 turn")
    short = clocked(
        "cock", entry(thread="R1/8", wanted="0 deg", stopped="100 deg", turns=[1.0, 1.5]), assumed_shop(), None
    )
    assert short.finding.answer is Answer.LOOK
    # At 1.5 turns it points to 280: 80 deg more wanted, 80 / 360 of 0.907 mm.
    assert short.finding.do.startswith("Run the tap in by 0.20 mm more")


def test_slips_in_the_job() -> None:
    with pytest.raises(ValidationError, match="a part of axis, arm and twelve_at"):
        entry(arm="end")
    with pytest.raises(ValidationError, match=r"\[2.0, 1.0\]"):
        entry(turns=[2.0, 1.0])
    faults = reference_faults({"points": {"end": {}}, "clocking": {"elbow": {"arm": "ned", "axis": ["end", "far"]}}})
    assert [fault.got for fault in faults] == ['"ned"', '"far"']
