"""The bench sheet of an order of work: what to do after what, why, and what to be careful of."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from trialfit.finding import Answer
from trialfit.job.records import Job
from trialfit.making.process_records import Because, Caution, OrderOfWork, WorkStep
from trialfit.sheets.heading import ACID, CADMIUM, FLAME, PRESSURE, PROOF, Paper, finding_lines, gravest_first, head

SHUT = (
    "Heat nothing that is shut or wet: air and water burst it. Open every way out, drain it, and look through it "
    "before the torch is lit."
)
CAUTION_WORDS = {
    Caution.FLAME: FLAME,
    Caution.CADMIUM: CADMIUM,
    Caution.SHUT: SHUT,
    Caution.ACID: ACID,
    Caution.PROOF: PROOF,
}
# In the words of one line, beside the step itself.
CAUTION_MARKS = {
    Caution.FLAME: "torch",
    Caution.CADMIUM: "old solder: cadmium?",
    Caution.SHUT: "open and dry first",
    Caution.ACID: "acid",
    Caution.PROOF: "by water",
}


def order_sheet(job: Job, order: OrderOfWork, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bench sheet of an order of work as a record for its template.

    Parameters
    ----------
    job
        The job the assembly belongs to.
    order
        Its order of work, or why there is none.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    return {
        "head": head(job, "order of work, bench sheet", order.what, paper),
        "findings": [finding_lines(each) for each in gravest_first(order.findings) if each.answer is not Answer.GO],
        "steps": [_step(step) for step in order.steps],
        "note": "tick each when it is done; a step whose reason no longer holds may move",
        "cautions": cautions_of(order),
    }


def cautions_of(order: OrderOfWork) -> list[str]:
    """Give the cautions an order of work calls for.

    Parameters
    ----------
    order
        The order.

    Returns
    -------
    list of str
        Those of its steps, each once, and that of pressure; all, where there is no order yet.
    """
    called = {caution for step in order.steps for caution in step.cautions} or set(Caution)
    return [words for caution, words in CAUTION_WORDS.items() if caution in called] + [PRESSURE]


def because_words(because: Because) -> str:
    """Write why a step stands where it does.

    Parameters
    ----------
    because
        The reason.

    Returns
    -------
    str
        One line.
    """
    if not because.before:
        return because.why
    return f"Before {_numbers(because.before)}: {because.why}"


def _step(step: WorkStep) -> dict[str, Any]:
    return {
        "number": str(step.number),
        "words": step.words,
        "on": f"on {step.on}",
        "notes": list(step.notes),
        "because": [because_words(each) for each in step.because],
        "cautions": [CAUTION_MARKS[caution] for caution in step.cautions],
    }


def _numbers(steps: Iterable[int]) -> str:
    words = [str(step) for step in steps]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
