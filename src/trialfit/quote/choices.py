"""Repair or remake: the two ways with their times and prices, and what each gains in strength.

Source: a mixture: the repair, and the remake as often as the repair fails; strength by `trialfit.strength.report`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trialfit.job.pricing import Pricing
from trialfit.job.quoting import ChoiceEntry
from trialfit.job.records import Job
from trialfit.quote.foresee import Array, Minutes, repair_and_perhaps_remake, summed
from trialfit.quote.money import work_line
from trialfit.quote.operations import is_called
from trialfit.quote.records import Choice, Making, Way, WorkLine


def choices_of(
    job: Job, making: Making, lines: Sequence[WorkLine], drawn: Array, seed: int, pricing: Pricing | None
) -> tuple[tuple[Choice, Array], ...]:
    """Weigh every choice of a job.

    Parameters
    ----------
    job
        The job.
    making
        What the plan knows.
    lines
        The operations.
    drawn
        (draws, operations) minutes of each, drawn together. [min]
    seed
        Of the random numbers. [-]
    pricing
        What the workshop charges, or None.

    Returns
    -------
    tuple
        Each choice with (draws,) minutes of the way chosen. [min]
    """
    entries: Mapping[str, ChoiceEntry] = job.quote.choices if job.quote else {}
    return tuple(
        _choice(name, entry, making, lines, drawn, seed + place, pricing)
        for place, (name, entry) in enumerate(entries.items(), 1)
    )


def _choice(
    name: str,
    entry: ChoiceEntry,
    making: Making,
    lines: Sequence[WorkLine],
    drawn: Array,
    seed: int,
    pricing: Pricing | None,
) -> tuple[Choice, Array]:
    repair = drawn[:, [is_called(line, entry.repair) for line in lines]].sum(axis=1)
    remake = drawn[:, [is_called(line, entry.remake) for line in lines]].sum(axis=1)
    fails = float(entry.fails.to("%")) / 100.0
    mixed = repair_and_perhaps_remake(repair, remake, fails, seed)
    ways = {"repair": _way("repair", summed(mixed), pricing), "remake": _way("remake", summed(remake), pricing)}
    cheaper = min(ways, key=lambda each: ways[each].minutes.four_in_five_min)
    chosen = entry.chosen or cheaper
    broken = next((report for report in making.breaks if report.name == entry.breaks), None)
    before = broken.found.yield_torque if broken and broken.found else None
    after = broken.repaired.yield_torque if broken and broken.repaired else None
    asked = entry.chosen is not None
    choice = Choice(
        name, entry.what or name, ways["repair"], ways["remake"], fails, entry.by, chosen, asked, before, after
    )
    return choice, mixed if chosen == "repair" else remake


def _way(words: str, minutes: Minutes, pricing: Pricing | None) -> Way:
    if pricing is None or pricing.rate is None:
        return Way(words, minutes, None, None)
    mean, high = (
        work_line("work", each, pricing.rate, pricing.currency).amount
        for each in (minutes.mean_min, minutes.four_in_five_min)
    )
    return Way(words, minutes, mean, high)
