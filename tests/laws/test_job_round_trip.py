"""Laws: writing a job and reading it again gives the same job, for jobs of every shape."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.job.port_faults import WRITTEN
from trialfit.job.ports import KINDS, PortKind
from trialfit.job.read import read_job, read_shop
from trialfit.job.records import Job, Kind
from trialfit.job.shop import assumed_shop
from trialfit.job.write import write_job, write_shop

ROOT = Path(__file__).parents[2]
DAYS = st.dates()
WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)
# A name may hold anything; one that is all blanks is refused.
NAMES = (st.sampled_from(["cap.face", "a b", "é", "#", "x", '"', "=", "\\", "a\nb", "[t]"]) | WORDS).filter(str.strip)
LENGTHS = st.sampled_from(["5.6 mm", "3/16 in", '1-1/4"', ".125 in", "30 thou", "  2 cm ", "1¼ in", "0.5 mm"])
FREE_LENGTHS = LENGTHS | st.sampled_from(["-5 mm", "0 in", "-1/4 in"])
FIGURES = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**6), 10**6)


def _record(needed: Mapping[str, Any], optional: Mapping[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(dict(needed), optional=dict(optional))


def _some(names: list[str]) -> st.SearchStrategy[str]:
    return st.sampled_from(names)


READING = {"value": LENGTHS, "pm": LENGTHS, "by": WORDS}
MARK = st.tuples(FIGURES, FIGURES).map(list) | _record(
    {"px": st.tuples(FIGURES, FIGURES).map(list)}, {"pm": st.sampled_from(["5 px", "2.5 px"])}
)
POINT = _record({}, {"what": WORDS, "by": WORDS}) | _record(
    {"at": st.tuples(FREE_LENGTHS, FREE_LENGTHS, FREE_LENGTHS).map(list), "pm": LENGTHS}, {"what": WORDS}
)
CARD = _record(
    {
        "page": st.just(["297 mm", "210 mm"]),
        "squares": st.just([8, 5]),
        "square": st.just("1 in"),
        "marker": st.sampled_from(["19 mm", "3/4 in"]),
        "dictionary": _some(["DICT_4X4_50", "DICT_5X5_100"]),
    },
    {
        "check_lines": st.lists(
            _record({"along": _some(["long", "short"]), "nominal": LENGTHS, "reading": _record(READING, {})}, {}),
            max_size=2,
        )
    },
)
THREADS = ["1/4x40", "2BA", "G1/8"]


def _ports(kind: Kind) -> st.SearchStrategy[dict[str, Any]]:
    """Any of the ports a kind of part has, each with any of the features it can have."""
    return st.fixed_dictionaries({}, optional={port.name: _port(port) for port in KINDS[kind]})


def _port(port: PortKind) -> st.SearchStrategy[dict[str, Any]]:
    gender = _some([port.gender] if port.gender else ["male", "female"])
    seat = _record({"kind": _some(["cone", "flat", "ball"]), "gender": gender}, {"angle": st.just("60 deg")})
    features = {"thread": _some(THREADS), "seat": seat, "tube": LENGTHS, "bore": LENGTHS}
    can = {WRITTEN[feature]: features[feature] for feature in port.may_have}
    return _record({}, {**can, "gender": gender, "direction": st.just([0, 0.5, -1])})


PART: st.SearchStrategy[dict[str, Any]] = st.one_of(
    [
        _record({"kind": st.just(kind)}, {"what": WORDS, "metal": st.just("CW614N"), "ports": _ports(kind)})
        for kind in KINDS
    ]
)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    phones = draw(st.dictionaries(NAMES, _record({}, {"focal_35mm": LENGTHS, "note": WORDS}), min_size=1, max_size=2))
    named = draw(st.lists(NAMES, max_size=3, unique=True))
    photographs = {
        name: draw(_record({"file": st.just(f"v{n}.jpg"), "phone": _some(list(phones))}, {"note": WORDS}))
        for n, name in enumerate(named)
    }
    points = draw(st.dictionaries(NAMES, POINT, min_size=2, max_size=5))
    marks = {name: draw(st.dictionaries(_some(list(points)), MARK, max_size=3)) for name in photographs}
    between = st.lists(_some(list(points)), min_size=2, max_size=2, unique=True)
    parts = draw(st.dictionaries(NAMES, PART, min_size=2, max_size=3))
    first, second, *_ = (f"{name}.{KINDS[part['kind']][0].name}" for name, part in parts.items())
    end = {"straight": LENGTHS | st.just("0 mm"), "enters": LENGTHS}
    pipe = _record(
        {
            "tube": _record({"od": st.just("1/2 in"), "wall": _some(["22 swg", "0.5 mm"])}, {}),
            "start": _record({"port": st.just(first), **end}, {}),
            "end": _record({"port": st.just(second), **end}, {}),
            "file_allowance": LENGTHS,
        },
        {"what": WORDS, "bend_radius": LENGTHS, "bends_most": st.integers(0, 3)},
    )
    whole = {
        "format": 1,
        "job": draw(
            _record({"name": WORDS, "owner": WORDS, "date": DAYS}, {"revision": st.integers(1), "story": st.text()})
        ),
        "engine": draw(_record({"name": WORDS, "working_pressure": _some(["80 psi", "5.5 bar"])}, {"note": WORDS})),
        "survey": {"mark_pm": "3 px"},
        "phones": phones,
        "photographs": photographs,
        "points": points,
        "marks": marks,
        "readings": draw(st.lists(_record({"between": between, **READING}, {}), max_size=2)),
        "parts": parts,
        "joints": draw(st.lists(st.just({"a": first, "b": second}), max_size=2)),
        "pipes": draw(st.dictionaries(NAMES.filter(lambda name: name not in parts), pipe, max_size=2)),
    }
    if draw(st.booleans()):
        whole["card"] = draw(CARD)
    return Job.model_validate(whole)


@settings(max_examples=80, deadline=None)
@given(jobs())
def test_reading_what_was_written_gives_the_same_job(job: Job) -> None:
    text = write_job(job)
    again = read_job(text)
    assert again == job
    assert write_job(again) == text
    assert [list(marks) for marks in again.marks.values()] == [list(marks) for marks in job.marks.values()]
    assert list(again.points) == list(job.points)


@pytest.mark.parametrize("path", sorted((ROOT / "examples").rglob("job.toml")), ids=lambda path: path.parent.name)
def test_the_examples_survive_being_written_back(path: Path) -> None:
    job = read_job(path.read_text(encoding="utf-8"))
    assert read_job(write_job(job)) == job
    assert write_job(read_job(write_job(job))) == write_job(job)


def test_the_shop_survives_being_written_back() -> None:
    shop = assumed_shop()
    assert read_shop(write_shop(shop)) == shop
    own = shop.model_copy(update={"measured": True, "formers": ()})
    assert read_shop(write_shop(own)) == own
