"""What is said of a parcel.

Source: plain counting. What carriers do not take is common practice; their own rules and the country's decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.parcel import ParcelEntry
from trialfit.job.records import Job
from trialfit.parcel.mass import HOW_SURE
from trialfit.parcel.records import ParcelAccount, PieceLine

STAGE = "parcel"
NOT_POSTED = (
    "Carriers commonly refuse aerosols, gas, flux paste and acid, flammable liquids and adhesives, paint, and loose "
    "lithium cells: ask the carrier, and keep to the rules of both countries."
)


def parcel_findings(job: Job, parcel: ParcelEntry, account: ParcelAccount) -> tuple[Finding, ...]:
    """Say what a person has to know of a parcel.

    Parameters
    ----------
    job
        The job.
    parcel
        As the job says it.
    account
        The account, its findings not yet there.

    Returns
    -------
    tuple of Finding
        In the order of the parcel: in, then out.
    """
    return (
        *_lacking(account),
        *_alike(parcel),
        _closes(job, parcel, account),
        *_transit(account),
        *_posted(account),
        *_mass(account),
        *_box(parcel, account),
    )


def _lacking(account: ParcelAccount) -> Iterator[Finding]:
    for each in account.lacking:
        pieces = ", ".join(each.pieces)
        yield Finding(
            STAGE, each.part, "Did all of it arrive?", Answer.LOOK,
            because=(Reason(f"A {each.kind} has {pieces}, and the parcel's lines have none.", "", Basis.PRACTICE),),
            do="Look inside it and in the wrapping before that is thrown away, then ask the owner. "
            f'Write down what is found: a line with part = "{each.part}" and its piece, or has = [...].',
        )  # fmt: skip


def _alike(parcel: ParcelEntry) -> Iterator[Finding]:
    for name, line in parcel.lines.items():
        other = parcel.lines.get(line.unlike or "")
        if other is not None and line.bag == other.bag:
            where = f"in bag {line.bag}" if line.bag else "in no bag"
            yield Finding(
                STAGE, name, "Can the unlike pair be told apart?", Answer.LOOK,
                because=(Reason(f"{_named(line.what)} and {other.what} look alike, and both lie {where}."),),
                do="Give each a bag and a label of its own.",
            )  # fmt: skip


def _closes(job: Job, parcel: ParcelEntry, account: ParcelAccount) -> Finding:
    about, question = "packing list", "Is every piece accounted for, once?"
    twice = [line for line in account.lines if line.over > 0]
    unsaid = [line for line in account.lines if line.over < 0]
    no_leave = [line for line in account.lines if any(fate.needs_leave for fate in line.fates)]
    because = [Reason(_went(line)) for line in twice]
    because += [
        Reason(f"{_named(line.entry.what)} is scrapped or kept, and nothing says that the owner agreed.")
        for line in no_leave
    ]
    if twice or no_leave:
        do = "Count again what goes where." if twice else "Get the owner's leave, and write down how and when."
        return Finding(STAGE, about, question, Answer.STOP, because=tuple(because), do=do)
    if unsaid:
        because += [Reason(f"{_named(line.entry.what)}: nothing says what becomes of {-line.over}.") for line in unsaid]
        return Finding(
            STAGE, about, question, Answer.LOOK, because=tuple(because),
            do="Say of each under [[parcel.out]] whether it is returned, replaced, scrapped or kept.",
        )  # fmt: skip
    if not parcel.whole:
        return Finding(
            STAGE, about, question, Answer.LOOK,
            because=(Reason("Nobody has said yet that everything that came is written down."),),
            do="When it is, add whole = true under [parcel].",
        )  # fmt: skip
    came = sum(line.entry.count for line in account.lines)
    back = sum(fate.count for line in account.lines for fate in line.fates if fate.comes_back)
    here = {line.entry.part for line in account.lines}
    absent = [name for name in job.parts if name not in here]
    told = [Reason(f"{came} pieces came and {back} of them go back.")]
    if absent:
        told.append(Reason(f"Not in the parcel, so on the engine or made new: {', '.join(absent)}."))
    return Finding(STAGE, about, question, Answer.GO, because=tuple(told))


def _went(line: PieceLine) -> str:
    ways = ", ".join(f"{fate.goes} {fate.count}" for fate in line.fates)
    total = line.entry.count + line.over
    return f"{_named(line.entry.what)}: {line.entry.count} came and {total} go out ({ways})."


def _transit(account: ParcelAccount) -> Iterator[Finding]:
    if account.transit:
        because = tuple(Reason(f"{_named(each.what)} on {each.on}.") for _, each in account.transit)
        yield Finding(
            STAGE, "transit pieces", "What comes off before fitting?", Answer.GO, because=because,
            do="Tie a label to each: take off before fitting.",
        )  # fmt: skip


def _posted(account: ParcelAccount) -> Iterator[Finding]:
    asked = [each for _, each in account.enclosed if each.kind != "ordinary"]
    if asked:
        because = [Reason(f"{_named(each.what)}: {each.kind}.") for each in asked]
        yield Finding(
            STAGE, "enclosed", "May everything in it be posted?", Answer.LOOK,
            because=(*because, Reason(NOT_POSTED, "", Basis.PRACTICE)),
            do="Ask the carrier before it is packed, or let the owner buy it himself.",
        )  # fmt: skip


def _mass(account: ParcelAccount) -> Iterator[Finding]:
    if not account.closes:
        return
    lacks = account.mass_lacks
    because = (*((Reason(f"Not weighed: {', '.join(lacks)}."),) if lacks else ()), HOW_SURE)
    yield Finding(
        STAGE, "parcel", "How heavy is the parcel?", Answer.LOOK if lacks else Answer.GO, account.mass, None, because,
        "Weigh what is missing, or the packed parcel." if lacks else "",
    )  # fmt: skip


def _box(parcel: ParcelEntry, account: ParcelAccount) -> Iterator[Finding]:
    longest = max(account.new, key=lambda each: each.longest_mm, default=None)
    if parcel.box is None or longest is None:
        return
    sides = sorted(float(side.to("mm")) for side in parcel.box.size)
    if longest.longest_mm <= sides[2]:
        return
    across_mm = hypot(*sides)
    goes = longest.longest_mm <= across_mm
    words = "goes in askew only" if goes else "does not go in"
    yield Finding(
        STAGE, "box", "Does it go into the box?", Answer.LOOK if goes else Answer.STOP,
        Figure(longest.longest_mm, "mm", None, 0), Figure(sides[2] if goes else across_mm, "mm", None, 0),
        (Reason(f"{_named(longest.what)} {words}."),), "Take a longer box, so that nothing is bent on the way.",
    )  # fmt: skip


def _named(what: str) -> str:
    return what[:1].upper() + what[1:]
