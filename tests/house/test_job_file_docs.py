"""House: docs/job-file.md says what the records say, every key is described, and every example can be read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args, get_origin

import pytest
from pydantic import TypeAdapter
from pydantic.fields import FieldInfo

from trialfit.job.describe import describe
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.shape import bare, of_field, record_of
from trialfit.job.shop import Shop
from trialfit.job.values import Record
from trialfit.job.wording import example_of

PAGE = Path(__file__).parents[2] / "docs" / "job-file.md"
MADE_BELOW = "<!-- From here on made by tools/job_file_page.py from the records; change it there. -->\n"


def _records(record: type[Record], seen: dict[str, type[Record]]) -> dict[str, type[Record]]:
    seen[record.__name__] = record
    for field in record.model_fields.values():
        for inside in _inside(field.annotation):
            if inside.__name__ not in seen:
                _records(inside, seen)
    return seen


def _inside(annotation: Any) -> Iterator[type[Record]]:
    plain, _ = bare(annotation)
    if inside := record_of(annotation):
        yield inside
    elif get_origin(plain) in (dict, tuple):
        for each in get_args(plain):
            if each is not Ellipsis:
                yield from _inside(each)


RECORDS = _records(Shop, _records(Job, {}))
# A line of a turned part is one of several things, so its keys exclude each other; test_turned_job.py reads each kind.
# So is a piece of work of an assembly; test_processes_job.py reads each kind. What is there already when a part is
# heated is a joint, a seal or something else; test_heat_job.py reads each.
# A body of the engine and a piece of an envelope take the keys of their shape, and a joint is as deep as its turns or
# its hidden length say; test_in_place.py reads each. So has a motion as a thing comes off those of its kind;
# test_order_job.py reads each. A photograph before or after takes its scale from marks or
# from a point; test_at_scale.py reads both. Stock is tube and bar, or solder; test_solder_use.py reads both.
ONE_AT_A_TIME = (
    "TurnedEntry", "OutsideLine", "InsideLine", "Step", "ThereAlready", "EngineBodyEntry", "PieceEntry", "Joint",
    "MoveEntry", "ComesOffEntry", "SideEntry", "StockEntry",
)  # fmt: skip
FIELDS = {f"{name}.{key}": field for name, record in RECORDS.items() for key, field in record.model_fields.items()}


def test_the_page_is_what_the_records_give() -> None:
    introduction, _, made = PAGE.read_text(encoding="utf-8").partition(MADE_BELOW)
    assert made.lstrip("\n") == describe(), "run: python tools/job_file_page.py"
    assert introduction.startswith("# The job file\n")


def test_the_page_has_a_row_for_every_key() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (\S[^|]*) \|", describe(), re.MULTILINE)
    assert sorted({key for key, _ in rows}) == sorted({name.split(".")[1] for name in FIELDS})


def test_the_small_example_of_the_page_is_sound_and_uses_most_tables() -> None:
    examples = PAGE.read_text(encoding="utf-8").split("```toml\n")[1:]
    assert len(examples) == 1
    job = read_job(examples[0].split("```")[0])
    assert job.photographs and job.points and job.marks and job.readings and job.parts and job.pipes and job.card


@pytest.mark.parametrize("name", FIELDS)
def test_every_key_is_described_and_its_example_can_be_read(name: str) -> None:
    field: FieldInfo = FIELDS[name]
    assert field.description
    assert field.description[-1] in ".", f"{name} is not described in a sentence"
    holds_records = any(_inside(field.annotation))
    assert bool(field.examples) != holds_records, "an example for each plain key, none for a table"
    for example in field.examples or ():
        TypeAdapter(of_field(field)).validate_python(example)
    if not get_origin(bare(field.annotation)[0]) and (written := example_of(field)):
        value = tomllib.loads(f"value = {written}")["value"]
        TypeAdapter(of_field(field)).validate_python(value)


@pytest.mark.parametrize("name", [name for name in RECORDS if name not in ONE_AT_A_TIME])
def test_the_examples_of_a_table_go_together(name: str) -> None:
    record = RECORDS[name]
    lines = [f"{key} = {example_of(field)}" for key, field in record.model_fields.items() if example_of(field)]
    record.model_validate(tomllib.loads("\n".join(lines)))
