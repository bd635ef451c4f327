"""Working out a job that lies in the workshop's database. Loaded when it is first asked for: the stages are heavy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from trialfit.app.desk import Desk
from trialfit.job.read import read_job, read_shop
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.plan import Plan, plan
from trialfit.sheets.heading import Paper
from trialfit.sheets.pack import pack_of
from trialfit.store.closing import zipped
from trialfit.store.database.bench_time_rows import all_times, times_file
from trialfit.store.database.documents import SHOP, holding, revision
from trialfit.store.database.pictures import picture_path, pictures_of
from trialfit.store.database.records import NotThere, Revision
from trialfit.store.photographs import read_colour, read_photographs
from trialfit.store.plain import json_text
from trialfit.survey.gather import Sighted
from trialfit.survey.looked import Looked, by_card, in_colour, looked_over
from trialfit.survey.photograph import Photograph


@dataclass(frozen=True)
class Worked:
    """A job worked out.

    Parameters
    ----------
    revision
        The revision it was worked out for.
    plan
        Everything that was worked out.
    """

    revision: Revision
    plan: Plan


def job_at(desk: Desk, name: str, number: int = 0) -> tuple[Revision, Job]:
    """Read a job at a revision.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    tuple of Revision and Job
        The revision, and its document.

    Raises
    ------
    Refusals
        Every fault in it.
    """
    found = revision(desk.workshop, "job", name, number) if number else holding(desk.workshop, "job", name).revision
    files = _hashes(desk, name)
    job: Job = desk.jobs.get((found.sha256, tuple(files)), lambda: read_job(found.text, pictures=tuple(files)))
    return found, job


def shop_now(desk: Desk) -> tuple[str, Shop]:
    """Read the workshop's own figures.

    Parameters
    ----------
    desk
        The desk.

    Returns
    -------
    tuple of str and Shop
        A hash of the document and of the times taken at the bench, and the shop with those times; the assumed one
        until there is a document.
    """
    taken = all_times(desk.workshop)
    kept = tuple(each for each in taken if each.state == "kept")
    try:
        held = holding(desk.workshop, "shop", SHOP).revision
    except NotThere:
        stamp, read = "assumed", assumed_shop
    else:
        stamp, read = held.sha256, partial(read_shop, held.text)

    def with_times() -> Shop:
        shop = read()
        return shop.model_copy(update={"times": (*shop.times, *times_file(kept).times)}) if kept else shop

    shop: Shop = desk.jobs.get(("shop", stamp, kept), with_times)
    return f"{stamp} {hash(kept)}", shop


def looked_at(desk: Desk, name: str, job: Job) -> Looked:
    """Look at a job's photographs, or remember what was seen.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    job
        Its document.

    Returns
    -------
    Looked
        What was seen.
    """
    files = _hashes(desk, name)
    wanted = {photograph: files[entry.file] for photograph, entry in job.photographs.items() if entry.file in files}
    card = job.card.model_dump_json() if job.card else ""
    bench = tuple(name for name, entry in job.photographs.items() if entry.bench)
    return desk.looked.get((tuple(wanted.items()), card, bench, by_card(job)), lambda: _look(desk, job, wanted))  # type: ignore[no-any-return]


def worked_out(desk: Desk, name: str, number: int = 0) -> Worked:
    """Work a job out, or remember it.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    Worked
        The plan.

    Raises
    ------
    Refusal
        The document has faults, or the survey cannot be solved at all.
    """
    found, job = job_at(desk, name, number)
    shop_hash, shop = shop_now(desk)

    def work() -> Worked:
        looked = looked_at(desk, name, job)
        return Worked(found, plan(job, shop, looked.sighted, looked.twice, looked.bench))

    key = (found.sha256, shop_hash, tuple(_hashes(desk, name).items()))
    kept = desk.plans.get(key, work)
    return replace(kept, revision=found)


def sheets_for(desk: Desk, name: str, paper: Paper, number: int = 0) -> Mapping[str, bytes]:
    """Make the pack of a job, or remember it: the same as the command line writes.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    paper
        Size of the paper.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    mapping
        Contents by file name.
    """
    worked = worked_out(desk, name, number)
    shop_hash, _ = shop_now(desk)
    pictures = tuple(_hashes(desk, name).items())
    key = (worked.revision.sha256, shop_hash, pictures, paper)
    return desk.sheets.get(key, lambda: _packed(desk, name, worked.plan, paper))


def zip_for(desk: Desk, name: str, paper: Paper, number: int = 0) -> tuple[str, bytes]:
    """Put everything that the command line would write for a job into one file.

    Parameters
    ----------
    desk, name, paper, number
        As in `sheets_for`. [-]

    Returns
    -------
    tuple of str and bytes
        Name of the file, and a ZIP file: ``plan.json`` and the pack.
    """
    worked = worked_out(desk, name, number)
    files = {"plan.json": json_text(worked.plan).encode(), **sheets_for(desk, name, paper, number)}
    return f"{name}-{worked.revision.number}.zip", zipped(files, worked.plan.job.job.date)


def _packed(desk: Desk, name: str, made: Plan, paper: Paper) -> dict[str, bytes]:
    return pack_of(made, made.asked, paper, _pictures(desk, name, made.job))


def _pictures(desk: Desk, name: str, job: Job) -> Mapping[str, NDArray[np.uint8]]:
    """The photographs with their pixels, read anew: they are not kept while nothing is drawn over them.

    As the command line gives them to the pack: those in colour that it reads so, pictures sent twice once.
    """
    files = _hashes(desk, name)
    looked = looked_at(desk, name, job)
    paths = {
        each: picture_path(desk.workshop, files[job.photographs[each].file])
        for each in (*looked.sighted.photographs, *looked.bench.photographs)
    }
    colours = {each: read_colour(paths[each]) for each in in_colour(job, looked)}
    greys = read_photographs({each: path for each, path in paths.items() if each not in colours})
    return {**{photograph.name: photograph.grey for photograph in greys}, **colours}


def _look(desk: Desk, job: Job, wanted: Mapping[str, str]) -> Looked:
    """As the command line looks at them, but only the facts are kept, not the pixels."""
    read = read_photographs({name: picture_path(desk.workshop, digest) for name, digest in wanted.items()})
    looked = looked_over(read, job)
    return Looked(_bare(looked.sighted), looked.twice, _bare(looked.bench))


def _bare(sighted: Sighted) -> Sighted:
    return replace(sighted, photographs={name: _without_pixels(each) for name, each in sighted.photographs.items()})


def _without_pixels(photograph: Photograph) -> Photograph:
    """Once the card has been found only the facts are asked for, and twelve million pixels each need not be kept."""
    return replace(photograph, grey=np.zeros((1, 1), dtype=np.uint8))


def _hashes(desk: Desk, name: str) -> dict[str, str]:
    return {picture.file: picture.sha256 for picture in pictures_of(desk.workshop, name)}
