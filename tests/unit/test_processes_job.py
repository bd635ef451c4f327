"""Unit: broken tails and assemblies of a job file, each kind of work and each slip of the pen, with its line."""

from __future__ import annotations

import tomllib
from typing import get_args

import pytest

from trialfit.errors import Refusals
from trialfit.job.assemblies import AssemblyEntry, Seal, Step, Work
from trialfit.job.read import read_job
from trialfit.job.write import write_job
from trialfit.making.process_stands import heat_of, limit_of
from trialfit.parts.stands import seal_limit

HEAD = """format = 1
[job]
name = "snipe-feed"
owner = "A. Fenwright"
date = 2026-03-14
[engine]
name = "Snipe"
working_pressure = "80 psi"
"""

# What each kind of work has to have, and may have.
KINDS = {
    "silver-solder": 'filler = "Ag155"\nreaches = "680 C"\nkept_cool = ["nut"]\nend = "start"\noutside = "7 mm"',
    "soft-solder": 'filler = "Sn60Pb40"',
    "anneal": 'reaches = "600 C"',
    "warm": 'reaches = "250 C"',
    "pickle": "",
    "bend": 'radius = "12.7 mm"\nangle = "90 deg"',
    "slide on": 'end = "start"\nhole = "4.9 mm"\nlong = "8 mm"',
    "fit seal": 'seal = "FKM"\nstands = "210 C"\nstands_acid = false',
    "retaining compound": 'grade = "high-temperature"',
    "screw together": 'shuts = "tube"',
    "take off": "",
    "machine": "after_test = true",
    "lap": 'because = "it bears on the cone"',
    "paint": "",
    "drain": "",
    "close": 'shuts = "tube"',
    "test": "",
}


def test_every_kind_of_work_is_read_here() -> None:
    assert set(KINDS) == set(get_args(Work))


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_work_is_read_and_written_back(kind: str) -> None:
    work = f'[assemblies.feed.bodies]\ntube = {{}}\nnut = {{}}\n[assemblies.feed.work.it]\ndo = "{kind}"\non = "tube"\n'
    job = read_job(HEAD + work + KINDS[kind])
    assert job.assemblies["feed"].work["it"].on == ("tube",)
    assert read_job(write_job(job)) == job


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_work_gets_hot_or_leaves_something_or_neither(kind: str) -> None:
    step = Step.model_validate({"do": kind, "on": "tube", **tomllib.loads(KINDS[kind])})
    hot = ("silver-solder", "soft-solder", "anneal", "warm")
    delicate = ("silver-solder", "soft-solder", "fit seal", "retaining compound", "lap", "paint")
    assert (heat_of(step) is not None) == (kind in hot)
    assert (limit_of(step) is not None) == (kind in delicate)


@pytest.mark.parametrize("seal", get_args(Seal))
def test_every_seal_of_a_job_is_in_the_tables(seal: Seal) -> None:
    assert 80 <= seal_limit(seal).most_c <= 300


FAULTY = (
    HEAD
    + """[breaks.tail]
part = "elbow"
thread = "1/4x41"
bore = "5/32 in"
lost = "130 %"
where = "at the first thred"
evidence = ["bent", "straight"]
spanner = { lenght = "75 mm" }
[assemblies.empty]
[assemblies.feed]
joined = [["tube", "elbow"]]
[assemblies.feed.bodies]
tube = {}
[assemblies.feed.work.cone]
do = "silver-solder"
on = ["tube", "con"]
filler = "Ag1555"
[assemblies.feed.work.bend]
do = "bend"
on = "tube"
filler = "Ag155"
[assemblies.feed.work.nut]
do = "slide on"
on = "tube"
after = ["cone", "bnd", "nut"]
shuts = "tub"
"""
)


def test_every_slip_is_named_with_its_line_and_what_to_do() -> None:
    with pytest.raises(Refusals) as caught:
        read_job(FAULTY)
    said = [str(fault) for fault in caught.value.faults]
    known = said[9].partition("Write one of ")[2]
    assert known.startswith("Ag156, Ag155, ")
    assert said == [
        'job.toml:10: break tail, part: got "elbow", wanted the name of a part that is there. There is none yet: add '
        "it.",
        "job.toml:11: break tail, thread: got 1/4x41, wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 "
        "or 1/4-20 UNC. The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF.",
        "job.toml:13: break tail, lost: got 130 %, wanted less than the whole section, under 100 %. Say how much of "
        "the face is gone.",
        'job.toml:14: break tail, where: got "at the first thred", wanted one of "at the first thread", "at the '
        'shoulder", "at a cross hole", "part-way along the thread", "inside the other part", "in the plain tube". Did '
        'you mean "at the first thread"?',
        'job.toml:16: break tail, spanner: got a key "lenght", wanted one of its known keys. Did you mean "length"?',
        "job.toml:17: assembly empty, bodies: got nothing, wanted at least one body. Add one under "
        "[assemblies.empty.bodies].",
        "job.toml:17: assembly empty, work: got nothing, wanted at least one piece of work. Add one under "
        "[assemblies.empty.work].",
        'job.toml:19: assembly feed, joined: got "elbow", wanted the name of a body that is there. Name one that is '
        "there: tube.",
        'job.toml:24: assembly feed, work cone, on: got "con", wanted the name of a body that is there. Name one that '
        "is there: tube.",
        "job.toml:25: assembly feed, work cone, filler: got Ag1555, wanted a filler or solder of the tables. Write one "
        f"of {known}",
        'job.toml:29: assembly feed, work bend, filler: got "filler" with "bend", wanted filler only with '
        "silver-solder, soft-solder. Take it out, or is the work to be silver-solder or soft-solder?",
        "job.toml:30: assembly feed, work nut, end: got nothing, wanted end with slide on. Add end: it decides the "
        "order.",
        'job.toml:33: assembly feed, work nut, after: got "bnd", wanted the name of a piece of work that is there. Did '
        'you mean "bend"?',
        'job.toml:33: assembly feed, work nut, after: got "nut" itself, wanted another piece of work. Take it out.',
        'job.toml:34: assembly feed, work nut, shuts: got "tub", wanted the name of a body that is there. Did you mean '
        '"tube"?',
    ]


def test_two_clues_that_cannot_both_be() -> None:
    with pytest.raises(Refusals, match=r'got "bent" and "straight", wanted one of the two\. Take one out\.'):
        read_job(HEAD + '[breaks.tail]\nthread = "1/4x40"\nbore = "3 mm"\nevidence = ["bent", "straight"]\n')


def test_an_assembly_keeps_the_order_it_was_written_in() -> None:
    text = "".join(f'[work.{name}]\ndo = "machine"\non = "tube"\n' for name in ("c", "a", "b"))
    assert list(AssemblyEntry.model_validate(tomllib.loads(f"[bodies]\ntube = {{}}\n{text}")).work) == ["c", "a", "b"]
