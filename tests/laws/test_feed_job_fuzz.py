"""Laws: whatever stands in a circuit's table, and whichever joint is left out, the answer is findings or a refusal."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.errors import Refusal
from trialfit.feed.findings import feed_findings
from trialfit.finding import Answer
from trialfit.job.read import read_job

TEXT = (Path(__file__).parents[2] / "examples" / "feed-circuit" / "job.toml").read_text(encoding="utf-8")
LINES = TEXT.split("\n")
KEYS = [n for n, line in enumerate(LINES) if "=" in line and n > LINES.index("[circuit]")]
VALUES = ["1", "true", "[]", "{}", "[[1]]", '"x"', "[{}]", '[["inlet"]]', "{ a = [1] }", '[["inlet", "inlet"]]', '""',
          '["clack_bush", "clack_bush"]', '{ kind = "injector" }', '{ kind = "outside pump", port = "tee" }',
          '{ engine = "shut" }',
          '{ open = [["inlet", "outlet"], ["inlet", "outlet"]] }', '"injector.steam"']  # fmt: skip
JOINTS = len(tomllib.loads(TEXT)["joints"])


@given(st.sampled_from(KEYS), st.sampled_from(VALUES))
@settings(max_examples=60, deadline=None)
def test_anything_may_stand_at_a_key(n: int, value: str) -> None:
    key = LINES[n].split("=")[0]
    try:
        job = read_job("\n".join([*LINES[:n], f"{key}= {value}", *LINES[n + 1 :]]))
    except Refusal as refusal:
        assert all(fault.remedy for fault in refusal.faults)
    else:
        assert feed_findings(job)


@pytest.mark.parametrize("n", range(JOINTS))
def test_any_joint_may_be_left_out(n: int) -> None:
    """What it fed no longer does, or a port stands open that did not: the findings say so, or the reader does."""
    document = tomllib.loads(TEXT)
    gone = document["joints"].pop(n)
    try:
        fewer = feed_findings(read_job(tomli_w.dumps(document)))
    except Refusal as refusal:
        # Without its cap the tee has no such position.
        assert "cap off" in str(refusal) and "tee_cap" in gone["a"]
        return
    whole = {each.about: each for each in feed_findings(read_job(TEXT))}
    worse = [each for each in fewer if each != whole.get(each.about) and each.answer is not Answer.GO]
    assert any(each.answer is Answer.STOP or each.about == "open ports" for each in worse)
