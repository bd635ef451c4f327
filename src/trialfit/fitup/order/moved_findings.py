"""What is said of unions that were moved along their pipes to free the order of fitting. Source: the moves tried."""

from __future__ import annotations

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.order.moved_unions import NEAREST_MM, UnionMove, UnionMoves
from trialfit.fitup.records import PipePlan

QUESTION = "Would it go with a union moved along its pipe?"
_NOT_TRIED = (
    "Not tried: a union moved round a bend or turned, two unions moved at once, and whether a hand, or a spanner on a "
    "distance piece, has room."
)
_ASSUMED_PIECE = (
    "A distance piece is taken to be as thick as the nut's flats and no shorter than two nuts, for its own two threads."
)


def moved_findings(moves: UnionMoves, about: str) -> tuple[Finding, ...]:
    """Say the least move of a union that frees the order and what it costs, or that none does.

    Parameters
    ----------
    moves
        What came of moving them.
    about
        The order it is about.

    Returns
    -------
    tuple of Finding
        One.
    """
    return (_frees(moves, about) if moves.found else _none_frees(moves, about),)


def cut_words(now: PipePlan, before: PipePlan) -> str:
    """Say what a pipe that is laid out anew costs.

    Parameters
    ----------
    now, before
        The pipe as it is then, and as it was.

    Returns
    -------
    str
        A sentence.
    """
    bends = f"{len(now.bends)} bend{'' if len(now.bends) == 1 else 's'}"
    was = f", {len(before.bends)} before" if len(now.bends) != len(before.bends) else ""
    cut = f"{now.cut_length}, instead of {before.cut_length.value:.2f} mm"
    return f"{now.name} is then cut to {cut}, and has {bends}{was}."


def _frees(moves: UnionMoves, about: str) -> Finding:
    best = moves.found[0]
    because = [Reason(_tried_words(best))]
    was = {each.name: each for each in best.before}
    because += [Reason(cut_words(each, was[each.name])) for each in best.anew]
    because.append(Reason(_sure_words(best)))
    because += [Reason(f"So would {each.words}.") for each in moves.found[1:]]
    if not best.union.in_a_run:
        because.append(Reason(_ASSUMED_PIECE, "", Basis.ASSUMED))
    because += [*_left_out(moves), Reason(_NOT_TRIED)]
    figure = Figure(abs(best.by.value), "mm", best.by.k2, 1)
    return Finding("fitup", about, QUESTION, Answer.LOOK, figure, None, tuple(because), _do(best))


def _none_frees(moves: UnionMoves, about: str) -> Finding:
    names = " or ".join(each.name for each in moves.tried)
    because = []
    if moves.tried:
        how = {True: "both ways along a run", False: "out along a pipe by a distance piece"}
        ways = " or ".join(dict.fromkeys(how[each.in_a_run] for each in moves.tried))
        because.append(
            Reason(f"{moves.count} moves of {names}, {ways}, each with its pipes laid out anew: none frees it.")
        )
    if moves.cannot:
        because.append(Reason(f"With {moves.cannot} of them a pipe cannot be laid out, or only with too little room."))
    because += [*_left_out(moves), Reason(_NOT_TRIED)]
    do = "Do not count on it: see what holds it in, and what else was tried, under the order itself."
    tried = Figure(moves.count, "move tried" if moves.count == 1 else "moves tried", None, 0)
    return Finding("fitup", about, QUESTION, Answer.LOOK, tried, None, tuple(because), do)


def _tried_words(best: UnionMove) -> str:
    anew = "the pipe" if len(best.anew) == 1 else "both pipes"
    words = f"With {best.words}, and {anew} laid out anew by the same rules, everything goes on"
    if best.too_little_mm > 0 and best.too_little_mm >= best.union.least_mm:
        return f"{words}; with {best.too_little_mm:.0f} mm it does not."
    if best.union.least_mm > 0:
        return f"{words}; a shorter distance piece has no room for its threads."
    return f"{words}; less than {NEAREST_MM:.0f} mm was not tried."


def _sure_words(best: UnionMove) -> str:
    of = "of where it stands and of what is in the way, along the move, taken one for one"
    if not best.placed:
        of = f"{of}; how surely some of what is in the way stands there is not known, and left out"
    if best.surely_mm is None:
        return f"Plus-or-minus: {of}. With that added it was tried too, and does not free it: there is little to spare."
    return f"Plus-or-minus: {of}. With that added, {best.surely_mm:.0f} mm, it was tried too, and goes."


def _do(best: UnionMove) -> str:
    far = abs(best.by.value) if best.surely_mm is None else best.surely_mm
    if best.union.in_a_run:
        how = f"Have {best.union.name} carried {far:.0f} mm along, with whatever holds it"
    else:
        how = f"Turn a distance piece {far:.0f} mm long for {best.union.name}, with its thread and seat"
    cuts = " and ".join(f"{each.name} to {each.cut_length.value:.1f} mm" for each in best.advised)
    return f"{how}, and saw {cuts}; but first give the job its new face, and see what the plan says of it there."


def _left_out(moves: UnionMoves) -> list[Reason]:
    if not moves.left_out:
        return []
    names = " and ".join(moves.left_out)
    return [Reason(f"Not laid out anew, since it follows an old pipe: {names}.")]
