"""``trialfit what-to-drill``: the drill before the tap, from those the shop owns; what clears; what a reamer wants."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Finding, Reason
from trialfit.job.shop import assumed_shop
from trialfit.job.tooling import FilledTooling, fill_tooling, owned_drills
from trialfit.making.drilling import (
    OwnedClearance,
    ReamingChoice,
    TappingChoice,
    WhatToDrill,
    before_a_reamer,
    what_to_drill,
)
from trialfit.making.drilling_findings import drilling_findings
from trialfit.making.wanted_thread import depth_name, read_wanted
from trialfit.store.folder import read_shop_file
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import Drill, TappingDrill
from trialfit.tables.metals import find_metal
from trialfit.units import length_mm


@dataclass(frozen=True)
class _Answer:
    found: WhatToDrill
    findings: tuple[Finding, ...]
    assumed: tuple[Reason, ...]


@click.command(name="what-to-drill")
@click.argument("thread", nargs=-1)
@click.option("--metal", metavar="METAL", help="Metal that is tapped, such as CW614N.")
@click.option("--screw", metavar="METAL", help="Metal of the screw; without it the same.")
@click.option("--depth", metavar="LENGTH", help="Depth of full thread; without it one diameter is assumed.")
@click.option("--want", metavar="HOW MUCH", default="usual", show_default=True,
              help='strong, usual, easy, or a percentage with its depth: "75 % of form", "75 % of us".')  # fmt: skip
@click.option("--passes", metavar="LENGTH", help="What must pass through the tapped hole, as a cone through its nut.")
@click.option("--ream", metavar="LENGTH", help="No thread: a hole to be reamed to this size.")
@click.option("--shop", type=click.Path(path_type=Path), help="The shop file that says which drills are owned.")
@as_json
def command(
    thread: tuple[str, ...], metal: str | None, screw: str | None, depth: str | None, want: str, passes: str | None,
    ream: str | None, shop: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say what to drill before tapping THREAD: 1/4x40, 2BA, M6, 1/4-20 UNC; or, with --ream, before a reamer."""
    tooling = fill_tooling((assumed_shop() if shop is None else read_shop_file(shop)).tooling)
    owned = owned_drills(tooling.tooling)
    if ream is not None:
        chosen = before_a_reamer(length_mm(ream, "reamed hole"), owned)
        answer(as_json, _reaming(chosen, tooling, ream), chosen)
        return
    if not thread or metal is None:
        got = "no thread" if not thread else "no metal"
        remedy = "Write for instance: trialfit what-to-drill 1/4x40 --metal CW614N."
        raise Refusal("what to drill", got, "a thread and --metal, or --ream", remedy)
    found_thread = find_thread(" ".join(thread))
    engaged_mm = found_thread.major_mm if depth is None else length_mm(depth, "depth of thread")
    found = what_to_drill(
        found_thread,
        find_metal(metal),
        read_wanted(want, found_thread),
        owned,
        engaged_mm,
        None if passes is None else length_mm(passes, "what passes"),
        None if screw is None else find_metal(screw, "metal of the screw"),
    )
    assumed = tuple(_assumed(found, tooling, depth is None))
    findings = drilling_findings(found, tooling, found_thread.designation)
    answer(as_json, _text(found, findings, assumed, owned), _Answer(found, findings, assumed))


def _assumed(found: WhatToDrill, tooling: FilledTooling, depth: bool) -> list[Reason]:
    said = []
    if depth:
        said.append(f"No depth was given: one diameter, {found.engaged_mm:.2f} mm.")
    if tooling.rests_on("drills", "drill_sets"):
        said.append("No shop file says which drills are owned: the usual sets of a small workshop.")
    return [Reason(each, "", Basis.ASSUMED) for each in said]


def _text(
    found: WhatToDrill, findings: tuple[Finding, ...], assumed: tuple[Reason, ...], owned: tuple[Drill, ...]
) -> str:
    screw = "" if found.screw.key == found.metal.key else f", screw of {found.screw.key}"
    head = (
        f"{found.thread.designation} in {found.metal.key} ({found.metal.name}){screw}, {found.engaged_mm:.2f} mm "
        f"of thread; wanted: {found.wanted.said}."
    )
    names = {drill.name for drill in owned}
    blocks = [head]
    if found.serve:
        blocks.append(_table(found))
    if found.chosen is not None:
        blocks.append(f"Drill {found.chosen.drill.name}. {found.because[0]}\n{found.because[1]}")
    blocks += [_listed("In print", [_printed(found, each, names) for each in found.printed])] if found.printed else []
    blocks += [_listed("Clearance", [_clearance(each) for each in found.clearance])] if found.clearance else []
    look = [_finding(each) for each in findings if each.answer is not Answer.GO]
    blocks += [_listed("To see to", look)] if look else []
    rests = found.because[2:] if found.chosen is not None else found.because
    blocks += [_listed("This rests on:", [str(each) for each in (*rests, *assumed)])]
    return "\n\n".join(blocks)


def _finding(each: Finding) -> str:
    why = each.because[0].text if each.because else ""
    return " ".join(part for part in (f"{each.answer.capitalize()}.", each.question, why, each.do) if part)


def _table(found: WhatToDrill) -> str:
    form = depth_name("form", found.thread).removeprefix("the ").removesuffix(" depth")
    head = f"   {'drill':<10}{f'of {form}':>14}{'of US':>9}   {'strips at, kN':<22}{'tapping':>10}  torque over usual"
    return "\n".join([head, *(_row(found, choice) for choice in found.serve)])


def _row(found: WhatToDrill, choice: TappingChoice) -> str:
    pull = choice.strip.pull
    band = f"{pull.likely / 1000:.1f} ({pull.low / 1000:.1f} to {pull.high / 1000:.1f})"
    torque = "-" if choice.torque.torque_n_m is None else f"{choice.torque.torque_n_m:.2f} N·m"
    mark = ">" if choice is found.chosen else " "
    return (
        f" {mark} {choice.drill.name:<10}{choice.percent.of_form_pct:>12.0f} %{choice.percent.of_us_pct:>7.0f} %   "
        f"{band:<22}{torque:>10}  × {choice.torque.times_usual:.2f}"
    )


def _printed(found: WhatToDrill, each: TappingDrill, owned: set[str]) -> str:
    form, us = each.percent.of_form_pct, each.percent.of_us_pct
    said = [f"{form:.0f} % of {depth_name('form', found.thread)}, {us:.0f} % of US"]
    if each.printed_pct is not None:
        of = "US" if each.printed_of == "us" else "no depth named"
        said.append(f"printed as {each.printed_pct:g} % of {of}")
    elif each.note:
        said.append(each.note)
    tags = [each.basis.value] if each.basis.must_be_shown else []
    tags += ["owned"] if each.drill.name in owned else []
    return f"{each.drill.name:<10} {'; '.join(said)}" + (f" [{'; '.join(tags)}]" if tags else "")


def _clearance(each: OwnedClearance) -> str:
    basis = f" [{each.asked.basis.value}]" if each.asked.basis.must_be_shown else ""
    line = f"{each.asked.fit:<7} {each.asked.drill.name:<8} {each.asked.over_mm:+.2f} mm{basis}"
    if each.owned is None:
        return f"{line}; no drill owned is large enough"
    if each.owned.name == each.asked.drill.name:
        return f"{line}; owned"
    return f"{line}; owned next above: {each.owned.name}, {each.over_mm:+.2f} mm"


def _reaming(chosen: ReamingChoice, tooling: FilledTooling, ream: str) -> str:
    lines = [f"Hole reamed to {ream}. {chosen.because}"]
    if chosen.chosen is None:
        lines.append(f"No drill owned lies between; bore to {chosen.size_mm - chosen.least_mm:.2f} mm.")
    else:
        left_mm = chosen.size_mm - chosen.chosen.diameter_mm
        lines.append(f"Drill {chosen.chosen.name}, which leaves {left_mm:.2f} mm.")
        others = ", ".join(drill.name for drill in chosen.serve[:-1])
        lines += [f"Also serve: {others}."] if others else []
    if tooling.rests_on("drills", "drill_sets"):
        lines.append("The drills are the usual sets of a small workshop. [assumed]")
    return "\n".join(lines)


def _listed(head: str, lines: list[str]) -> str:
    return "\n".join([head, *(f"  {each}" for each in lines)])
