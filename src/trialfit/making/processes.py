"""The order of work at the bench: an order that keeps every rule, with the reason for each place, or why there is none.

Source: rules by `trialfit.making.process_rules`; the search by `trialfit.making.process_order`.
"""

from __future__ import annotations

from collections.abc import Sequence

from trialfit.finding import Reason
from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.job.records import Job
from trialfit.making.process_findings import cadmium, holds_cadmium, is_there_one, steel_in_pickle
from trialfit.making.process_order import Rule, conflicts, find_order, single_changes
from trialfit.making.process_reach import links_of, ways_to
from trialfit.making.process_records import Because, Caution, OrderOfWork, WorkStep
from trialfit.making.process_rules import rules_of
from trialfit.making.process_stands import heat_of
from trialfit.making.process_words import body_words, listed, plain_name, work_words
from trialfit.tables.metals import find_metal


def orders_of_work(job: Job) -> tuple[OrderOfWork, ...]:
    """Find the order of work of every assembly of a job.

    Parameters
    ----------
    job
        The job.

    Returns
    -------
    tuple of OrderOfWork
        In the order of the job.
    """
    return tuple(order_of_work(name, entry) for name, entry in job.assemblies.items())


def order_of_work(name: str, entry: AssemblyEntry) -> OrderOfWork:
    """Find the order of work of one assembly.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        The assembly.

    Returns
    -------
    OrderOfWork
        With an order, or with why there is none.
    """
    names, rules = tuple(entry.work), rules_of(entry)
    order = find_order(names, rules)
    steps = () if order is None else _steps(entry, order, rules)
    none = () if order is not None else conflicts(names, rules)
    frees = tuple(dict.fromkeys(each.frees for each in single_changes(names, rules) if each.frees)) if none else ()
    findings = (is_there_one(name, steps, none, frees), *cadmium(name, entry), *steel_in_pickle(name, entry))
    return OrderOfWork(name, entry.what or plain_name(name), steps, none, frees, findings)


def _steps(entry: AssemblyEntry, order: Sequence[str], rules: Sequence[Rule]) -> tuple[WorkStep, ...]:
    place = {name: number for number, name in enumerate(order, 1)}
    return tuple(
        WorkStep(
            number=place[name],
            name=name,
            words=work_words(entry, name).strip('"'),
            on=listed(body_words(entry, body).removeprefix("the ") for body in entry.work[name].on),
            notes=_notes(entry, entry.work[name]),
            because=_because(entry, name, place, rules),
            cautions=_cautions(entry, name),
        )
        for name in order
    )


def _because(entry: AssemblyEntry, name: str, place: dict[str, int], rules: Sequence[Rule]) -> tuple[Because, ...]:
    """The rules that hold this step where it is, with the steps it comes before; not those that follow from others."""
    if entry.work[name].do == "test":
        return (Because((), "It proves what is finished, and so comes after it."),)
    found: dict[str, set[int]] = {}
    for each in rules:
        later = {place[other] for other in each.one_of if place[other] > place[name]} if each.first == name else set()
        if later and all(entry.work[other].do != "test" for other in each.one_of) and not _follows(each, place, rules):
            said = _by_number(entry, name, each.together or each.why, place)
            why = str(Reason(said, each.source, each.basis))
            found.setdefault(why, set()).update(later)
    ordered = [Because(tuple(sorted(later)), why) for why, later in found.items()]
    return tuple(sorted(ordered, key=lambda because: because.before))


def _by_number(entry: AssemblyEntry, name: str, text: str, place: dict[str, int]) -> str:
    """Say "this" of the step itself and call the others by their numbers."""
    for other, number in place.items():
        text = text.replace(work_words(entry, other), "this" if other == name else f"step {number}")
    return text[0].upper() + text[1:]


def _follows(one: Rule, place: dict[str, int], rules: Sequence[Rule]) -> bool:
    """Whether a rule's place in the order follows from others, step by step."""
    edges = {(place[each.first], _held_by(each, place)) for each in rules}
    start, goal = place[one.first], _held_by(one, place)
    reached = {later for earlier, later in edges if earlier == start and later != goal}
    while more := {later for earlier, later in edges if earlier in reached} - reached:
        reached |= more
    return goal in reached


def _held_by(one: Rule, place: dict[str, int]) -> int:
    """The step a rule surely puts its first before: of several, the last."""
    return max(place[other] for other in one.one_of)


def _notes(entry: AssemblyEntry, step: Step) -> tuple[str, ...]:
    notes = []
    heat_c = heat_of(step)
    if heat_c is not None:
        filler = f"{step.filler}, to " if step.filler else "to "
        notes.append(f"{filler}{heat_c:.0f} °C")
    if step.kept_cool:
        notes.append(f"keep {listed(body_words(entry, body) for body in step.kept_cool)} cool with a wet rag")
    if step.do == "retaining compound":
        notes.append("clean and dry; leave 24 h to cure before any test")
    if heat_c is not None and heat_c >= 425.0:
        soft = [body for body in step.on if _goes_soft(entry, body)]
        if soft:
            notes.append(f"leaves {listed(body_words(entry, body) for body in soft)} soft")
    return tuple(notes)


def _goes_soft(entry: AssemblyEntry, body: str) -> bool:
    metal = entry.bodies[body].metal if body in entry.bodies else None
    return metal is not None and any(word in find_metal(metal).name for word in ("brass", "phosphor bronze"))


def _cautions(entry: AssemblyEntry, name: str) -> tuple[Caution, ...]:
    step, found = entry.work[name], []
    if heat_of(step) is not None:
        reached = [body for body in entry.bodies if ways_to(links_of(entry), step.on, [body], step.kept_cool)]
        found.append(Caution.FLAME)
        if any(entry.bodies[body].old_solder for body in reached) or holds_cadmium(step):
            found.append(Caution.CADMIUM)
        if any(entry.bodies[body].wet or entry.bodies[body].openings for body in reached):
            found.append(Caution.SHUT)
    if step.do == "pickle":
        found.append(Caution.ACID)
    if step.do == "test":
        found.append(Caution.PROOF)
    return tuple(found)
