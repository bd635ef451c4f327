"""``trialfit fit``: whether the pipes of a job go on, the ways out with their chances, and clocking of fittings."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.clocking_findings import Clocked
from trialfit.fitup.records import Way
from trialfit.fitup.route_findings import route_findings
from trialfit.fitup.slide_back import slide_findings
from trialfit.fitup.trial_table import washers
from trialfit.job.shop import assumed_shop
from trialfit.plan import Plan, plan
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.survey.gather import Sighted


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@as_json
def fit(job: Path, shop_file: Path | None, as_json: bool) -> int:
    """Say whether the pipes of the job folder JOB drop on, what else can be done, and where its fittings stop.

    Exit code 0: nothing stops them. 1: a finding says stop.
    """
    folder = read_folder(job)
    if not folder.job.pipes and not folder.job.clocking:
        raise Refusal(
            f"job {folder.job.job.name}", "no pipe and no fitting that must point somewhere",
            "at least one table [pipes.NAME] or [clocking.NAME]",
            "Add one to job.toml; docs/job-file.md says how its lines are written.",
        )  # fmt: skip
    sighted = look_at(folder).sighted if folder.photographs else Sighted()
    worked = plan(folder.job, read_shop_file(shop_file) if shop_file else assumed_shop(), sighted)
    about = {*folder.job.pipes, *(f"pipe {name}" for name in folder.job.pipes), *folder.job.clocking}
    findings = tuple(each for each in worked.findings if each.stage == "fitup" and each.about in about)
    answer(as_json, as_text(worked), {"fits": worked.fits, "clocked": worked.clocked, "findings": findings})
    return int(any(each.answer is Answer.STOP for each in findings))


def as_text(worked: Plan) -> str:
    """Write it for a person.

    Parameters
    ----------
    worked
        The plan.

    Returns
    -------
    str
        Pipe by pipe the ways with their chances and the findings; then each fitting with its table.
    """
    blocks = []
    for name in worked.job.pipes:
        found = next((each for each in worked.fits if each.drop_on.pipe == name), None)
        blocks.append(f"PIPE {name}\n{'=' * (5 + len(name))}")
        if found is None:
            own = [each for each in worked.findings if each.stage == "fitup" and each.about == f"pipe {name}"]
        else:
            blocks.append("\n".join(_way(way, way is found.drop_on.best) for way in found.drop_on.ways))
            laid = next(each for each in worked.pipes if each.name == name)
            own = [*found.findings, *route_findings(laid), *slide_findings(laid)]
        blocks.append(findings_text(own))
    for each in worked.clocked:
        blocks += [f"FITTING {each.name}\n{'=' * (8 + len(each.name))}", findings_text([each.finding])]
        if each.table:
            blocks.append(_table(each))
    return "\n\n".join(blocks)


def _way(way: Way, best: bool) -> str:
    return f"  {way.chance.value:4.0f} %  {way.name}{'   <- recommended' if best else ''}"


def _table(each: Clocked) -> str:
    lines = [filled(f"Table for the trial. {each.seen}"), "", f"  {'stopped at':<14}{'fit':<24}{'or face off':<12}"]
    lines += [f"  {row.stopped:<14}{washers(row.fit):<24}{row.or_face_back_mm:.2f} mm" for row in each.table]
    return "\n".join(lines)
