"""App: ``trialfit ask`` on the example, as a person runs it; what it foresees is held to what the survey then says."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pypdf
import pytest
import tomli_w

from backhead import FOLDER, looked, survey
from trialfit.cli import main
from trialfit.job.records import Job
from trialfit.job.shop import assumed_shop
from trialfit.plan import asked_of
from trialfit.survey.asks import Asked, Kind

WRITTEN = tomllib.loads((FOLDER / "job.toml").read_text())
NOTHING_BUT: dict[str, Any] = {key: WRITTEN[key] for key in ("format", "job", "engine", "card", "survey", "phones")}


def run(*words: str) -> int:
    """Exit code of a command."""
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    return int(ended.value.code or 0)


def asked(changed: dict[str, Any] | None = None, on_engine: frozenset[str] = frozenset()) -> Asked:
    """What is worth asking for on the example, or on the example with something changed."""
    job = Job.model_validate(WRITTEN | (changed or {}))
    found = asked_of(job, assumed_shop(), looked().sighted, on_engine)
    assert found is not None
    return found


def test_a_person_reads_what_to_ask_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "letter.pdf"
    assert run("ask", str(FOLDER), "--out", str(out)) == 0
    said = capsys.readouterr().out
    assert "Free: mark it yourself in photographs you have:" in said
    assert "Readings to ask for:" in said
    assert "Photographs to ask for:" in said
    assert "a lamp on the middle of the tank union's face." in said
    assert "Nothing is asked about check_cap.face, check_union.face: the workshop measured over them" in said
    assert f"Written: {out}" in said
    assert len(pypdf.PdfReader(out).pages) == 2


def test_as_json_with_the_valve_back_on_the_engine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    back = ["--on-engine", "check_cap.face", "--on-engine", "check_union.face"]
    assert run("ask", str(FOLDER), "--out", str(tmp_path / "a.pdf"), "--json", "--paper", "us-letter", *back) == 0
    found = json.loads(capsys.readouterr().out)["asked"]
    assert found["away"] == []
    letter = found["letter"]
    assert 1 <= sum(each["kind"] == "photograph" for each in letter) <= 2
    assert 1 <= sum(each["kind"] != "photograph" for each in letter) <= 3
    for kind in ("readings", "photographs"):
        cuts = [each["cut"] for each in found[kind]]
        assert cuts == sorted(cuts, reverse=True)
        assert all(0.0 < each < 1.0 for each in cuts)
    for each in found["together"]:
        assert each["then_k2"] <= each["now_k2"]


def test_nothing_is_asked_about_what_is_in_the_parcel() -> None:
    found = asked()
    assert found.away == ("check_cap.face", "check_union.face")
    for each in (*found.readings, *found.photographs, *found.letter):
        assert not set(found.away) & set(each.points)
    back = asked(on_engine=frozenset(found.away))
    assert any("check_union.face" in each.points for each in back.readings)


def test_an_unmeasured_card_is_the_first_thing_to_ask_about() -> None:
    """With no check line and no reading the print is trusted to 1 %, a millimetre in the pipe's 100."""
    card = WRITTEN["card"]
    bare = {"card": card | {"check_lines": []}, "readings": []}
    found = asked(bare)
    assert found.readings[0].kind is Kind.CHECK_LINES
    assert "long side (about 120 mm) and short side (about 80 mm)" in found.readings[0].do
    assert any(each.kind is Kind.CHECK_LINES for each in found.letter)
    # Measured both ways already, it is not asked for at all.
    short = {"along": "short", "nominal": "80 mm", "reading": {"value": "80 mm", "pm": "0.2 mm", "by": "owner, rule"}}
    both = asked({"card": card | {"check_lines": [*card["check_lines"], short]}})
    assert all(each.kind is not Kind.CHECK_LINES for each in both.readings)


def test_what_a_reading_was_said_to_bring_it_brings() -> None:
    """The best reading is taken (at the length the survey itself gives) and the whole job worked out again."""
    before = asked()
    best = next(each for each in before.readings if each.kind is Kind.READING)
    points = {point.name: point.position_mm for point in survey().points}
    a, b = (points[name] for name in best.points)
    length = sum((x - y) ** 2 for x, y in zip(a, b, strict=True)) ** 0.5
    reading = {
        "between": list(best.points),
        "value": f"{length:.4f} mm",
        "pm": f"{best.k2} mm",
        "by": "owner, vernier caliper",
    }
    after = asked({"readings": [*WRITTEN["readings"], reading]})
    foreseen = {change.what: change.then_k2 for change in best.changes}
    for change in after.together:
        assert change.now_k2 == pytest.approx(foreseen[change.what], rel=0.01), change.what


def test_a_face_that_a_port_waits_for_comes_first() -> None:
    """A union face marked once only: the repairer is told where to look for it; not at all, the owner is asked."""
    marks = WRITTEN["marks"]
    once = {k: {n: m for n, m in v.items() if n != "check_union.face" or k == "left"} for k, v in marks.items()}
    never = {k: {n: m for n, m in v.items() if n != "check_union.face"} for k, v in marks.items()}
    found = asked({"marks": once})
    assert found.marks[0].points == ("check_union.face",)
    assert found.marks[0].cut is None
    assert found.marks[0].do.startswith("Mark check_union.face in photograph ")
    found = asked({"marks": never})
    assert found.letter[0].do == (
        "Two photographs, from places well apart, that show the middle of the lower edge of the check valve's union "
        "nut."
    )


def test_a_job_without_points_gets_the_first_letter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    elbow = FOLDER.parent / "sheared-elbow"
    assert run("ask", str(elbow), "--out", str(tmp_path / "first.pdf")) == 0
    said = capsys.readouterr().out
    assert said.startswith("There is no survey to go by yet: the job has no points.")
    assert "A photograph from straight in front" in said
    assert len(pypdf.PdfReader(tmp_path / "first.pdf").pages) == 2


def test_a_survey_that_cannot_be_solved_gets_it_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(tomli_w.dumps(NOTHING_BUT | {"points": {"check.face": {}, "crown.face": {}}}))
    assert run("ask", str(tmp_path), "--out", str(tmp_path / "first.pdf")) == 0
    said = capsys.readouterr().out
    assert "There is no survey to go by yet: survey: got 2 points, none of which can be fixed" in said
    assert "A photograph from straight in front" in said


def test_known_points_alone_can_be_asked_about(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No photograph, no pipe: three points measured from the card's corner, of which every one is worth a reading."""
    by = "owner, square and rule"
    points = {
        name: {"at": [f"{x} mm", "0 mm", "10 mm"], "pm": "0.8 mm", "by": by}
        for name, x in (("a", 0), ("b", 50), ("c", 120))
    }
    (tmp_path / "job.toml").write_text(tomli_w.dumps(NOTHING_BUT | {"points": points}))
    assert run("ask", str(tmp_path), "--out", str(tmp_path / "letter.pdf"), "--json") == 0
    found = json.loads(capsys.readouterr().out)["asked"]
    assert {tuple(each["points"]) for each in found["readings"] if each["kind"] == "place"} == {("a",), ("b",), ("c",)}
    # Measured once more, a coordinate of +-0.8 is known to 0.8 / sqrt 2: half of a third of the nine variances.
    cuts = [each["cut"] for each in found["readings"] if each["kind"] == "place"]
    assert cuts == pytest.approx([1.0 / 6.0] * 3)
    assert found["photographs"] == []


def test_what_it_cannot_take_it_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("ask", str(FOLDER.parent / "sheared-elbow"), "--out", str(tmp_path / "nowhere" / "a.pdf")) == 2
    assert "Make the folder first, or name another with --out." in capsys.readouterr().err
    assert run("ask", str(FOLDER), "--on-engine", "regulator.rod") == 2
    assert (
        "--on-engine: got regulator.rod, wanted one of check_cap.face, check_union.face. Leave it out: it is taken to "
        "be on the engine anyway."
    ) in capsys.readouterr().err
