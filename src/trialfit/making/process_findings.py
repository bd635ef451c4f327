"""What is said of an order of work: whether there is one, and what is dangerous in it.

Source: `trialfit.making.process_order`; cautions by the rules of ``brazing.csv`` and ``pickling.csv``.
"""

from __future__ import annotations

from collections.abc import Sequence

from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.making.process_order import Rule
from trialfit.making.process_reach import links_of, ways_to
from trialfit.making.process_records import WorkStep
from trialfit.making.process_stands import heat_of
from trialfit.making.process_words import body_words, listed, work_words
from trialfit.parts.cited import cite
from trialfit.tables.joining import fillers
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule

STAGE = "making"


def holds_cadmium(step: Step) -> bool:
    """Whether a piece of work is done with a filler that holds cadmium.

    Parameters
    ----------
    step
        The piece of work.

    Returns
    -------
    bool
        True for old stock.
    """
    return any(each.cadmium for each in fillers() if each.name == step.filler)


def is_there_one(name: str, steps: Sequence[WorkStep], none: Sequence[Sequence[Rule]], frees: Sequence[str]) -> Finding:
    """Say whether there is an order.

    Parameters
    ----------
    name
        The assembly's name.
    steps
        The order; empty where there is none.
    none
        Why there is none.
    frees
        What alone would free it.

    Returns
    -------
    Finding
        Go with the number of steps, or stop with the reasons.
    """
    question = "Is there an order in which it can be made?"
    if steps:
        count = Figure(len(steps), "step" if len(steps) == 1 else "steps", None, 0)
        text = "Every rule of heat, acid, captive nuts, bends, swarf and test is kept; see the bench sheet."
        return Finding(STAGE, name, question, Answer.GO, count, None, (Reason(text),))
    reasons = [each.reason for conflict in none for each in conflict]
    if len(frees) == 1:
        do = f"One change frees it. {frees[0]}"
    elif frees:
        do = "Any one of these frees it. " + " ".join(f"({n}) {each}" for n, each in enumerate(frees, 1))
    elif len(none) > 1:
        do = f"There are {len(none)} separate reasons; each needs a change of its own."
    else:
        do = "No single change frees it: change the assembly."
    return Finding(STAGE, name, question, Answer.STOP, None, None, tuple(reasons), do)


def cadmium(name: str, entry: AssemblyEntry) -> tuple[Finding, ...]:
    """Warn of cadmium in the filler chosen, or in an old joint that comes to heat.

    Parameters
    ----------
    name
        The assembly's name.
    entry
        The assembly.

    Returns
    -------
    tuple of Finding
        Stop for a filler that holds it, look for an old joint; empty where there is neither.
    """
    question = "Is there cadmium in the heat?"
    chosen = [work for work, step in entry.work.items() if holds_cadmium(step)]
    law, content = rule("cadmium", "law"), rule("cadmium", "content of old alloys")
    if chosen:
        because = Reason(law.text, cite(law.sources), law.basis)
        do = f"Choose a filler without cadmium for {listed(work_words(entry, work) for work in chosen)}."
        return (Finding(STAGE, name, question, Answer.STOP, None, None, (because,), do),)
    old = [body for body, each in entry.bodies.items() if each.old_solder]
    links = links_of(entry)
    heated = [
        body
        for body in old
        if any(
            heat_of(step) is not None and ways_to(links, step.on, [body], step.kept_cool)
            for step in entry.work.values()
        )
    ]
    if not heated:
        return ()
    words = listed(body_words(entry, body) for body in heated)
    reasons = (
        Reason(f"{words[0].upper()}{words[1:]} holds silver solder somebody else put there, and comes to heat."),
        Reason(content.text, cite(content.sources), content.basis),
    )
    do = "Take it as cadmium-bearing unless you know better: cut the joint off cold, or heat it only under extraction."
    return (Finding(STAGE, name, question, Answer.LOOK, None, None, reasons, do),)


def steel_in_pickle(name: str, entry: AssemblyEntry) -> tuple[Finding, ...]:
    """Warn of steel in the pickle.

    Parameters
    ----------
    name
        The assembly's name.
    entry
        The assembly.

    Returns
    -------
    tuple of Finding
        Empty where none goes in.
    """
    links, pickles = links_of(entry), [step for step in entry.work.values() if step.do == "pickle"]
    steel = [
        body
        for body, each in entry.bodies.items()
        if each.metal is not None and "steel" in find_metal(each.metal).name
        and any(ways_to(links, step.on, [body], ()) for step in pickles)
    ]  # fmt: skip
    if not steel:
        return ()
    found = rule("pickle", "tongs")
    reasons = (
        Reason(f"{listed(body_words(entry, body) for body in steel)} goes into the pickle."),
        Reason(found.text, cite(found.sources), found.basis),
    )
    do = "Pickle before the steel is joined on, or clean by hand."
    return (Finding(STAGE, name, "Does steel go into the pickle?", Answer.LOOK, None, None, reasons, do),)
