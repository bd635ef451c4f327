"""``trialfit which-thread``: what an unknown thread may be, and the test that would settle it."""

from __future__ import annotations

from typing import Any

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.parts.look_alikes import warning
from trialfit.parts.thread_asked import Asked, thread_asked
from trialfit.parts.thread_ranking import Candidate, Origin, Ranking
from trialfit.parts.thread_tests import Splitter, leaf
from trialfit.parts.which_thread import WhichThread, which_thread

_SHOWN, _ANSWERS, _SEEN = 8, 6, 0.0005


@click.command(name="which-thread")
@click.option("--over", metavar="LENGTH", help='Male thread: over its crests, as "9.7 mm".')
@click.option("--bore", metavar="LENGTH", help="Female thread: its bore, crest to crest.")
@click.option("--pm", metavar="LENGTH", help="Plus-or-minus of that, k = 2; without it 0.05 mm is assumed.")
@click.option("--tpi", metavar="NUMBER", help="The gauge leaf that seats, in threads per inch.")
@click.option("--pitch", metavar="LENGTH", help="One pitch, or the metric gauge leaf that seats.")
@click.option("--pitch-pm", metavar="LENGTH", help="Its plus-or-minus; without it 0.02 mm is assumed.")
@click.option("--ten", metavar="LENGTH", help="Ten threads: from a crest to the eleventh.")
@click.option("--ten-pm", metavar="LENGTH", help="Its plus-or-minus; without it 0.2 mm is assumed.")
@click.option("--angle", metavar="ANGLE", help="Flank angle, by the leaf that shows no light.")
@click.option("--taper/--parallel", "tapers", default=None, help="What it is seen to be.")
@click.option("--worn", is_flag=True, help="Its crests are worn, flattened or corroded.")
@click.option("--runs-on", metavar="THREAD", multiple=True, help="A nut (or screw) of this thread ran on freely.")
@click.option(
    "--binds", metavar="THREAD", multiple=True, help="A nut (or screw) of this thread bound, or did not start."
)
@click.option("--from", "origin", type=click.Choice([each.value for each in Origin]), default="unknown",
              help="Where the engine, or what it screws into, comes from.")  # fmt: skip
@click.option("--favour", metavar="SERIES=TIMES", multiple=True, help="Take a series as so many times as often met.")
@as_json
def command(as_json: bool, origin: str, favour: tuple[str, ...], **written: Any) -> None:
    """Say which thread this is.

    Ranks every thread of the tables by how likely the readings make it, and names the one test that would best tell
    the first ones apart. `docs/bench` shows how to measure.
    """
    asked = thread_asked(**written)
    found = which_thread(asked.readings, Origin(origin), dict(_factor(each) for each in favour))
    answer(as_json, said(found, asked), {"found": found, "credible": found.ranking.credible, "assumed": asked.assumed})


def said(found: WhichThread, asked: Asked) -> str:
    """Write the answer for a person.

    Parameters
    ----------
    found
        The answer.
    asked
        The readings as they were taken.

    Returns
    -------
    str
        Several lines.
    """
    blocks = [_measured(found), _table(found.ranking, found.readings.gender)]
    blocks += [_next(found.tests)] if found.tests else []
    blocks += [_listed("Beware.", [warning(each) for each in found.look_alikes])] if found.look_alikes else []
    blocks.append(_listed("This rests on:", [str(each) for each in (*found.because, *asked.assumed)]))
    return "\n\n".join(blocks)


def _measured(found: WhichThread) -> str:
    readings = found.readings
    where = "over the crests" if readings.gender == "male" else "across the bore"
    worn = ", worn" if readings.worn else ""
    parts = [f"{readings.gender.capitalize()}{worn}, {readings.across_mm:.2f} ± {readings.across_k2_mm:.2f} mm {where}"]
    parts += [f"{each.said}" for each in readings.pitches]
    parts += [f"flanks of {readings.angle_deg:g} deg"] if readings.angle_deg is not None else []
    parts += ["" if readings.tapers is None else "tapers" if readings.tapers else "parallel"]
    parts += [f"{each.thread.designation} {'runs on' if each.runs_on else 'binds'}" for each in readings.trials]
    return f"{', '.join(part for part in parts if part)}; from {found.origin.engine}. Plus-or-minus is k = 2."


def _table(ranking: Ranking, gender: str) -> str:
    if not ranking.candidates:
        return "No thread of the tables is near these readings. Measure again, over the crests and by ten threads."
    basic = "major" if gender == "male" else "core"
    head = f"{'likely':>7}  {'thread':<24}{'read less ' + basic:>16}  {'sound ones measure':>20}  {'ten threads':>22}"
    first = enumerate(ranking.candidates[:_SHOWN])
    shown = [candidate for k, candidate in first if k < ranking.likely or candidate.share > 0.01]
    lines = [head, *(_row(candidate) for candidate in shown)]
    rest = 1 - ranking.none_share - sum(candidate.share for candidate in shown)
    lines += [f"{_percent(rest):>7}  others of the tables"] if rest >= 0.0005 else []
    lines += (
        [f"{_percent(ranking.none_share):>7}  a thread of none of these series"] if ranking.none_share >= 0.0005 else []
    )
    return "\n".join([*lines, "", _verdict(ranking)])


def _verdict(ranking: Ranking) -> str:
    if ranking.none_of_them:
        return "It is likelier a thread of none of these series. Measure again, over the crests and by ten threads."
    if ranking.likely == 1:
        return f"It is {ranking.credible[0]}, with more than 95 %."
    return f"With 95 % it is one of {', '.join(ranking.credible[:-1])} and {ranking.credible[-1]}."


def _row(candidate: Candidate) -> str:
    thread = candidate.thread
    name = ", ".join((thread.designation, *candidate.also))
    low, high = candidate.sound_mm
    ten = f"{candidate.ten_threads_mm:.2f} mm ({leaf(thread)})"
    return (
        f"{_percent(candidate.share):>7}  {name:<24}{candidate.across_off_mm:>+13.2f} mm"
        f"  {f'{low:.2f} to {high:.2f} mm':>20}  {ten:>22}"
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.0995 else f"{100 * share:.1f} %"


def _next(tests: tuple[Splitter, ...]) -> str:
    best, *others = tests
    worth = f"It should leave as good as {best.left_after:.1f} threads of {best.left_before:.1f}."
    lines = [f"Next. {best.do}", *_answers(best), f"  {worth}"]
    if others:
        lines += [f"Or. {others[0].do}", *_answers(others[0])]
    return "\n".join(lines)


def _answers(test: Splitter) -> list[str]:
    return [f"  {each}" for each in test.then[:_ANSWERS]] + (["  ..."] if len(test.then) > _ANSWERS else [])


def _listed(head: str, sentences: list[str]) -> str:
    return "\n".join([head, *(f"  {each}" for each in sentences)])


def _factor(written: str) -> tuple[str, float]:
    series, _, times = written.partition("=")
    try:
        return series.strip().upper(), float(times)
    except ValueError:
        wanted, remedy = "a series and a number, as BSF=2", "Write how many times as often it is met."
        raise Refusal("--favour", written, wanted, remedy) from None
