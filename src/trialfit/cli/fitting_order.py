"""``trialfit fitting-order``: in which order parts come off the engine and go on again, or why there is none."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.order.records import FittingStep, Order
from trialfit.job.shop import assumed_shop
from trialfit.plan import plan
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.survey.gather import Sighted


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@as_json
def command(job: Path, shop_file: Path | None, as_json: bool) -> int:
    """Say in which order things come off the engine of the job folder JOB, and go on again, or why there is none.

    Exit code 0: nothing stops it. 1: a finding says stop.
    """
    folder = read_folder(job)
    sighted = look_at(folder).sighted if folder.photographs else Sighted()
    worked = plan(folder.job, read_shop_file(shop_file) if shop_file else assumed_shop(), sighted)
    orders = [order for order in (worked.removal, worked.fitting) if order is not None]
    if not orders:
        raise Refusal(
            f"job {folder.job.job.name}", "nothing that comes off or goes on and has a place",
            "an old pipe, a pipe to be made, or names under [order] off and on",
            "Write [order] with off = [...] and on = [...]; docs/job-file.md says how.",
        )  # fmt: skip
    record = [
        {"do": order.do, "wanted": order.wanted, "turns": order.turns, "steps": order.steps, "left": order.left,
         "stuck": order.stuck, "changes": order.changes, "cautions": order.cautions, "findings": order.findings}
        for order in orders
    ]  # fmt: skip
    answer(as_json, "\n\n".join(order_text(order) for order in orders), record)
    return int(any(each.answer is Answer.STOP for order in orders for each in order.findings))


def order_text(order: Order) -> str:
    """Write an order for a person.

    Parameters
    ----------
    order
        The order.

    Returns
    -------
    str
        Cautions, the steps with what is done and with what, or why there are none.
    """
    head = "TAKING OFF" if order.do == "off" else "FITTING"
    lines = [head, "=" * len(head)]
    if not order.steps:
        return "\n".join([*lines, "", findings_text(order.findings)])
    lines += [filled(each, "  ! ", "    ") for each in order.cautions]
    for step in order.steps:
        lines += ["", *_step(step)]
    assumed = list(dict.fromkeys(words for step in order.steps for words in step.assumed))
    if assumed:
        lines += ["", *(filled(f"Assumed: {words}") for words in assumed)]
    others = [each for each in order.findings if each.answer is not Answer.GO]
    return "\n".join([*lines, *(["", findings_text(others)] if others else [])])


def _step(step: FittingStep) -> list[str]:
    hanging = " " * 6
    named = f" ({step.what})" if step.what and step.what != step.part else ""
    along = f", with {' and '.join(step.rides)} on it" if step.rides else ""
    lines = [filled(f"{step.number:>3}.  {'Take off' if step.do == 'off' else 'Fit'} {step.part}{named}{along}")]
    if step.side:
        went = "go round and stand" if step.go_round else "stand"
        lines.append(filled(f"Where: {went} at the {step.side}.", hanging, hanging))
    lines += [filled(f"{words[0].upper()}{words[1:]}.", hanging, hanging) for words in step.motions]
    lines += [filled(f"With a {turn.words}.", hanging, hanging) for turn in step.spanners]
    lines += [filled(f"! {each}", hanging, hanging + "  ") for each in step.cautions]
    if step.frees:
        freed = " and ".join(step.frees)
        words = (
            f"Frees {freed}."
            if step.do == "off"
            else f"Goes on only once {freed} {'is' if len(step.frees) == 1 else 'are'} on."
        )
        lines.append(filled(words, hanging, hanging))
    return lines
