"""What has to be asked of an order. Source: the order itself."""

from __future__ import annotations

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.order.moved_findings import moved_findings
from trialfit.fitup.order.records import Order, SpannerTurn
from trialfit.fitup.order.resting import LEANS_MM

_NOT_COVERED = Reason(
    "Not tried: leaving a part half out while another passes, and moving several at once; a group that has to move as "
    "one is named under [order] together."
)


def order_findings(order: Order) -> tuple[Finding, ...]:
    """Say whether there is an order, and what the owner lacks for it.

    Parameters
    ----------
    order
        The order.

    Returns
    -------
    tuple of Finding
        The order first.
    """
    about = "order of removal" if order.do == "off" else "order of fitting"
    moved = moved_findings(order.union_moves, about) if order.union_moves else ()
    return (_is_there_one(order, about), *moved, *_left_out(order, about), *_spanners(order, about))


def _is_there_one(order: Order, about: str) -> Finding:
    off = order.do == "off"
    question = f"Can everything be {'taken off' if off else 'put on'}, and in which order?"
    if order.left:
        because = [Reason(_turned_round(sentence, off)) for stuck in order.stuck for sentence in stuck.because]
        fixed = [name for name in order.left if name not in {stuck.wanted for stuck in order.stuck}]
        because += [Reason(f"Nothing says how {name} comes off: it has no joint that comes apart.") for name in fixed]
        return Finding(
            "fitup", about, question, Answer.STOP, Figure(len(order.left), "that cannot", None, 0), None,
            (*dict.fromkeys(because), _NOT_COVERED), _what_then(order, fixed),
        )  # fmt: skip
    told = [Reason(f"{step.number}. {step.part}: {'; '.join(step.motions)}.") for step in order.steps]
    turns = (
        f"One goes round, or turns the engine, {order.turns} times."
        if order.turns
        else "All of it is done from one side of the engine."
    )
    assumed = list(dict.fromkeys(words for step in order.steps for words in step.assumed))
    count = Figure(len(order.steps), "step" if len(order.steps) == 1 else "steps", None, 0)
    return Finding(
        "fitup", about, question, Answer.GO, count, None,
        (*told, Reason(turns), *(Reason(words, "", Basis.ASSUMED) for words in assumed)),
        "Follow the steps; trialfit fitting-order writes them out with spanners and cautions.",
    )  # fmt: skip


def _what_then(order: Order, fixed: list[str]) -> str:
    moved = order.union_moves.found if order.union_moves else ()
    if order.changes or moved:
        either = "; or ".join([*(change.words for change in order.changes), *(each.words for each in moved[:1])])
        return f"One of these alone frees it, each tried: {either}."
    deep = [each for each in order.overlaps if each.deep_mm > LEANS_MM]
    if deep:
        worst = max(deep, key=lambda each: each.deep_mm)
        return (
            f"Look at the sizes and places of {worst.one} and {worst.other} first: they stand "
            f"{worst.deep_mm:.1f} mm in each other before anything moves."
        )
    barred = [bar for each in order.stand.loose if each.name in order.left for way in each.ways for bar in way.bars]
    if barred:
        return f"See the pipe's own answer first, for nothing else helps: {barred[0].words}."
    if fixed and not order.stuck:
        return f"Say how under [[comes_off.{fixed[0]}]], or leave it where it is."
    unions = ", a union moved along its pipe" if order.union_moves else ""
    return (
        "No single change that was tried frees it: shorter, off first, moved, pointing elsewhere, left loose, one more "
        f"union{unions}."
    )


def _left_out(order: Order, about: str) -> tuple[Finding, ...]:
    because, do = [], ""
    if order.unplaced:
        parts = " and ".join(order.unplaced)
        because.append(Reason(f"Nothing says where {parts} {'stands' if len(order.unplaced) == 1 else 'stand'}."))
        do = f"Join {parts} to what it is fixed to under [[joints]], or give it a surveyed face."
    if order.not_laid:
        pipes = " and ".join(order.not_laid)
        because.append(Reason(f"The pipe {pipes} could not be laid out, so its steps are missing here."))
        do = f"See first what stops {pipes}: trialfit fit says it."
    if not because:
        return ()
    return (Finding("fitup", about, "Is anything left out of it?", Answer.LOOK, None, None, tuple(because), do),)


def _spanners(order: Order, about: str) -> tuple[Finding, ...]:
    """Say which spanners the owner lacks, and of which a size is assumed."""
    turns = {turn.on: turn for step in order.steps for turn in step.spanners}
    lacking = [turn for _, turn in sorted(turns.items()) if turn.whose != "owner"]
    assumed = [turn for _, turn in sorted(turns.items()) if turn.assumed]
    if not lacking and not assumed:
        return ()
    because = [Reason(_taken(turn), "from memory", Basis.MEMORY) for turn in assumed]
    question = "Has the owner the spanners for it?"
    if not lacking:
        do = "If his are larger, write what they measure under [order] spanners: their swing is worked out with it."
        return (Finding("fitup", about, question, Answer.GO, None, None, tuple(because), do),)
    because.insert(0, Reason(f"He has none for {_listed(lacking)}, as far as the job says."))
    sent = [turn for turn in lacking if turn.whose == "workshop"]
    send = f"send the workshop's for {_listed(sent)}" if len(sent) == len(lacking) else "send one"
    do = f"Ask him, and write what he has under [order] spanners; or {send}."
    return (Finding("fitup", about, question, Answer.LOOK, None, None, tuple(because), do),)


def _taken(turn: SpannerTurn) -> str:
    return f"The {turn.flats_mm:g} mm spanner for {turn.on} is taken as {', '.join(turn.assumed)}."


def _listed(turns: list[SpannerTurn]) -> str:
    return " and ".join(f"{turn.on} ({turn.flats_mm:g} mm)" for turn in turns)


def _turned_round(sentence: str, off: bool) -> str:
    """Fitting is removal seen backwards: what cannot come out first cannot go in last."""
    return sentence if off else sentence.replace("cannot come out first", "cannot go in last").replace(
        "cannot come out at all", "cannot go in at all"
    )  # fmt: skip
