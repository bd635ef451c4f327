"""What is said of a broken tail and of the new one: one question, one answer each.

Source: `trialfit.strength.tail` for the figures; the reasons carry their own sources.
"""

from __future__ import annotations

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.strength.assumed import (
    CARELESS_HAND_N,
    CARELESS_HAND_REASON,
    DERIVED,
    FINGERS_REASON,
    FRICTION_REASON,
    JOLT_G,
    JOLT_REASON,
    LIGHTEST_PULL_REASON,
    MARGIN_REASON,
    hand_on_spanner_n,
)
from trialfit.strength.causes import FAINT, Ranking
from trialfit.strength.reasons import METHOD, load_reasons, mm, said, section_reasons, single, torque
from trialfit.strength.records import Tail, TailStrength
from trialfit.strength.spanner import SafePull, rounded_down
from trialfit.strength.would_hold import WouldHold

STAGE = "strength"
NOT_CHECKED = Reason(
    "One steady load in sound metal is reckoned with: not shaking, not season cracking, not the notch of the thread."
)
# A bore that still passes water for a feed or a gauge.
_USABLE_BORE_MM = 1.0
PRESSURE = (
    "Prove the finished joint by water with all air bled out, never by air or steam; whether it may go into steam is "
    "for the boiler inspector and the local code."
)


def no_metal(about: str, which: str, tail: Tail, refusal: Refusal) -> Finding:
    """Stop at a bore that leaves nothing to hold.

    Parameters
    ----------
    about
        Name of the tail.
    which
        ``as found`` or ``as repaired``.
    tail
        The tail.
    refusal
        What the section said.

    Returns
    -------
    Finding
        Stop, with the figure to change and to what.
    """
    core = Figure(tail.thread.core_mm, "mm")
    return Finding(
        STAGE, about, f"Is there metal left under the thread, {which}?", Answer.STOP, Figure(tail.bore_mm, "mm"), core,
        (Reason(f"{tail.thread.designation} is cut down to {core}; {refusal.fault.what}: {refusal.fault.got}."),),
        f"Change the bore {which} to {refusal.fault.wanted}, or the thread. {refusal.fault.remedy}",
    )  # fmt: skip


def why_it_broke(about: str, ranking: Ranking, looked: bool) -> Finding:
    """Say which cause the evidence speaks for.

    Parameters
    ----------
    about
        Name of the tail.
    ranking
        The causes, ranked.
    looked
        Whether any evidence was entered at all.

    Returns
    -------
    Finding
        Always *look*: a cause is judged, not measured.
    """
    reasons = []
    for suspect in ranking.suspects:
        if suspect.share < FAINT and suspect is not ranking.leader:
            continue
        parts = [f"{suspect.words}: {suspect.cause.words}."]
        parts += ["For it: " + "; ".join(map(str, suspect.speaks_for)) + "."] if suspect.speaks_for else []
        parts += ["Against it: " + "; ".join(map(str, suspect.speaks_against)) + "."] if suspect.speaks_against else []
        text = " ".join(parts)
        reasons.append(Reason(text[0].upper() + text[1:], "", Basis.ASSUMED))
    faint = [suspect.cause.words.split(":")[0] for suspect in ranking.suspects[1:] if suspect.share < FAINT]
    if faint:
        reasons.append(Reason(f"Less than 1 in 20 each: {'; '.join(faint)}.", "", Basis.ASSUMED))
    do = f"Look next at {ranking.look_next}: it would split the two that lead." if ranking.look_next else ""
    if not looked:
        do = f"No evidence is entered yet. {do}"
    tenths = Figure(ranking.leader.tenths, "in 10", None, 0)
    return Finding(STAGE, about, "Why did it break?", Answer.LOOK, tenths, None, tuple(reasons), do.strip())


def what_shears_it(about: str, strength: TailStrength, assumed: tuple[Reason, ...]) -> Finding:
    """Say what the broken tail stood, and what was enough to break it.

    Parameters
    ----------
    about
        Name of the tail.
    strength
        What it stood as found.
    assumed
        What the job left out.

    Returns
    -------
    Finding
        The torque at which it parts; *look* where a hand on its spanner was enough. It is broken already, so never
        *stop*.
    """
    length_mm = strength.duty.spanner_mm
    light_n, strong_n, hand = hand_on_spanner_n()
    limit, answer = None, Answer.LOOK
    if length_mm is not None:
        limit = torque(light_n * length_mm / 1000)
        strong_nm = strong_n * length_mm / 1000
        answer = Answer.LOOK if strong_nm >= strength.break_torque.low else Answer.GO
    reasons = [*section_reasons(strength), *load_reasons(strength), FRICTION_REASON, *assumed]
    if length_mm is not None:
        reasons.append(Reason(f"{hand.text} At {length_mm:.0f} mm the lighter is {limit}.", hand.source, hand.basis))
    do = "Make the new one stronger: see what would have held." if answer is not Answer.GO else ""
    return Finding(
        STAGE,
        about,
        "What shears it?",
        answer,
        single(strength.break_torque),
        limit,
        (*reasons, DERIVED, NOT_CHECKED),
        do,
    )


def will_it_stand(about: str, new: TailStrength, old: TailStrength | None, safe: SafePull) -> Finding:
    """Say whether the repaired tail stands what it will meet.

    Parameters
    ----------
    about
        Name of the tail.
    new
        What it stands as repaired.
    old
        What it stood as found; None where that had no metal left, or where no repair is planned and a new one would be
        like the old.
    safe
        What the owner will be told.

    Returns
    -------
    Finding
        *Stop* where fingers would stretch it or the weight on it does, *look* where the owner has to hold back.
    """
    light_n, _, hand = hand_on_spanner_n()
    length_mm = new.duty.spanner_mm
    reasons = [*section_reasons(new), *load_reasons(new), FRICTION_REASON]
    limit = None if length_mm is None else torque(light_n * length_mm / 1000)
    answer = safe.answer
    if limit is not None:
        reasons.append(Reason(f"{hand.text} At {length_mm:.0f} mm the lighter is {limit}.", hand.source, hand.basis))
    if old is not None:
        times = new.yield_torque.likely / old.yield_torque.likely
        more = "as strong as" if abs(times - 1) < 0.005 else f"{times:.1f} times as strong as"
        reasons.append(Reason(f"Against tightening it is {more} the one that broke."))
        answer = Answer.LOOK if times < 0.995 and answer is Answer.GO else answer
    if new.jolt is not None:
        reasons.append(JOLT_REASON)
        answer = Answer.STOP if new.jolt.low < JOLT_G else answer
    if new.break_force is not None:
        reasons.append(CARELESS_HAND_REASON)
        answer = Answer.LOOK if answer is Answer.GO and new.break_force.low < CARELESS_HAND_N else answer
    reasons += [DERIVED, NOT_CHECKED]
    question = "Will the new one stand?" if old is not None else "Would one like it stand?"
    return Finding(
        STAGE, about, question, answer, single(new.yield_torque), limit, tuple(reasons), _do_stand(answer, new)
    )


def how_hard(about: str, safe: SafePull, strength: TailStrength) -> Finding:
    """Say how hard the owner may pull.

    Parameters
    ----------
    about
        Name of the tail.
    safe
        What was found safe.
    strength
        What the tail stands.

    Returns
    -------
    Finding
        Torque, and the sentence for the owner's sheet.
    """
    light_n, _, hand = hand_on_spanner_n()
    length_mm = strength.duty.spanner_mm
    limit = None if length_mm is None else torque(light_n * length_mm / 1000)
    reasons = [Reason(f"It could yield from {torque(strength.yield_torque.low)}.", METHOD), MARGIN_REASON]
    reasons += [LIGHTEST_PULL_REASON, FINGERS_REASON, hand, DERIVED]
    return Finding(
        STAGE, about, "How hard may the owner pull?", safe.answer, torque(rounded_down(safe.torque_nm)), limit,
        tuple(reasons), f"On the owner's sheet: {safe.words}",
    )  # fmt: skip


def what_would_have_held(about: str, tail: Tail, held: WouldHold) -> Finding:
    """Say which bore or thread would have held.

    Parameters
    ----------
    about
        Name of the tail.
    tail
        The tail as found.
    held
        What was worked out.

    Returns
    -------
    Finding
        The largest bore, and the next thread.
    """
    enough = held.bore_mm is not None and held.bore_mm >= tail.bore_mm and not tail.share_lost and not tail.offset_mm
    reasons = [
        Reason(f"To yield at no less than {torque(held.torque_nm)}, the lightest ordinary hand on its spanner.", METHOD)
    ]
    if held.bore_mm is None:
        reasons.append(Reason(f"Not even a solid {tail.thread.designation} of this metal does."))
    if held.hard_bore_mm is not None:
        text = f"Kept hard, away from the torch, it does with a bore of {held.hard_bore_mm:.2f} mm."
        reasons.append(Reason(text, "figures as supplied"))
    if held.metals:
        text = f"With this thread and bore, but kept hard, {' and '.join(held.metals)} would."
        reasons.append(Reason(text, "figures as supplied"))
    if held.thread is not None:
        reasons.append(Reason(f"With the bore of {mm(tail.bore_mm)}, {held.thread.designation} does."))
    else:
        reasons.append(Reason(f"With the bore of {mm(tail.bore_mm)} no thread of this form in the tables does."))
    if tail.share_lost or tail.offset_mm:
        reasons.append(Reason("Taken as sound all through and bored true."))
    do = "" if enough else _do_held(held)
    figure = None if held.bore_mm is None else Figure(held.bore_mm, "mm")
    answer = Answer.GO if enough else Answer.LOOK
    return Finding(
        STAGE, about, "What bore would have held?", answer, figure, Figure(tail.bore_mm, "mm"), tuple(reasons), do
    )


def does_the_thread_strip(about: str, which: str, strength: TailStrength) -> Finding | None:
    """Say whether the thread strips before the tail parts.

    Parameters
    ----------
    about
        Name of the tail.
    which
        ``as found`` or ``as repaired``.
    strength
        What it stands.

    Returns
    -------
    Finding or None
        None where the engagement or the other metal is not known.
    """
    strip, engaged_mm, enough_mm = strength.strip_pull, strength.tail.engaged_mm, strength.engagement_mm
    if strip is None or engaged_mm is None or enough_mm is None:
        return None
    answer = Answer.GO if engaged_mm >= enough_mm else Answer.LOOK
    pulls = f"The threads shear out at {said(strip)}, the tail parts at {said(strength.break_pull)}."
    reasons = (
        Reason(pulls, "FED-STD-H28/2"),
        Reason("At the low end the threads are as loose as classes 2A and 2B allow.", "ASME B1.1", Basis.MEMORY),
        Reason("Shear strength is taken as 0.577 of the tensile strength; the load as spread evenly."),
    )
    do = "" if answer is Answer.GO else f"Engage {enough_mm:.1f} mm of full thread, so that the bush is not the fuse."
    return Finding(
        STAGE, about, f"Does the thread strip before the tail parts, {which}?", answer, Figure(engaged_mm, "mm", None,
        1), Figure(enough_mm, "mm", None, 1), reasons, do,
    )  # fmt: skip


def _do_stand(answer: Answer, new: TailStrength) -> str:
    if answer is Answer.STOP:
        return "Do not fit it so: less bore, a stronger metal or a larger thread. See what would have held."
    told = "Give the owner the sentence on how hard to pull. " if answer is Answer.LOOK else ""
    hard = "Keep the torch off the tail, and it stays hard. " if new.tail.state.soft else ""
    return f"{hard}{told}{PRESSURE}"


def _do_held(held: WouldHold) -> str:
    ways = []
    if held.metals:
        ways.append(f"make it of {' or '.join(held.metals)} and keep it hard")
    if held.bore_mm is not None and held.bore_mm > _USABLE_BORE_MM:
        ways.append(f"bore it {int(100 * held.bore_mm) / 100:.2f} mm or less")
    if held.hard_bore_mm is not None and held.hard_bore_mm > _USABLE_BORE_MM:
        ways.append(f"keep it hard and bore it {int(100 * held.hard_bore_mm) / 100:.2f} mm or less")
    if held.thread is not None:
        ways.append(f"go up to {held.thread.designation}")
    ways.append("tell the owner how hard to pull")
    text = ", ".join(ways[:-1]) + " or " + ways[-1] + "."
    return text[0].upper() + text[1:]
