"""What to ask for next: every reading, photograph and mark that might be had, ranked by what the job needs.

Source: gains by updating the covariance (`gain.py`); the letter is filled one by one, each weighed with those before
it done.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.asks import Ask, Asked, Kind
from trialfit.survey.gather import Sighted
from trialfit.survey.needed import Needed
from trialfit.survey.possible_lengths import away, check_lines, places, readings
from trialfit.survey.possible_marks import marks
from trialfit.survey.possible_photographs import apart, ground, photographs, scenery
from trialfit.survey.solve import Solved
from trialfit.survey.standing_words import from_where
from trialfit.survey.unfixed import unfixed
from trialfit.survey.weighing import Pool, Possible, Scales, scales_of

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

READINGS_MOST, PHOTOGRAPHS_MOST = 3, 2
_FORESEEN_READINGS, _FORESEEN_PHOTOGRAPHS = 3, 2
_LISTED_READINGS, _LISTED_PHOTOGRAPHS, _LISTED_MARKS = 8, 6, 8
# Less than this share is not worth an owner's trouble, nor a line in a list (chosen).
_WORTH_ASKING, _WORTH_LISTING = 0.04, 0.01
_CARRIED_ON = 60


@dataclass(frozen=True)
class Foreseen:
    """How sure all points would be once something was done.

    Parameters
    ----------
    words
        What is done: ``a reading between a.face and b.face``, ``a photograph from 40 deg to the right and 20 deg
        above level``, ``all the letter asks for``.
    covariance_mm2
        (3n, 3n) joint covariance of the survey's points, in its order. [mm2]
    """

    words: str
    covariance_mm2: Array


@dataclass(frozen=True)
class _Sort:
    """Pools of one sort of thing, with how many of them a letter may hold."""

    pools: tuple[Pool, ...]
    most: int


def ask(
    job: Job, sighted: Sighted, solved: Solved, needed: tuple[Needed, ...], on_engine: frozenset[str] = frozenset()
) -> Asked:
    """Rank what might be asked for.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs.
    solved
        Its survey.
    needed
        What the job needs of it.
    on_engine
        Points that are on the engine although the workshop measured over them.

    Returns
    -------
    Asked
        Ranked lists, and what to put into a letter.

    Valid
    -----
    To first order: an answer that changes the survey by no more than its own plus-or-minus. That a reading can be
    taken, or a point be seen, is guessed.
    """
    return ask_and_foresee(job, sighted, solved, needed, on_engine)[0]


def ask_and_foresee(
    job: Job, sighted: Sighted, solved: Solved, needed: tuple[Needed, ...], on_engine: frozenset[str] = frozenset()
) -> tuple[Asked, tuple[Foreseen, ...]]:
    """Rank what might be asked for, and say how sure all points would be with the best of it.

    Parameters
    ----------
    job, sighted, solved, needed, on_engine
        As for `ask`.

    Returns
    -------
    tuple
        As `ask` gives; and the survey as it would be with each of the three best readings, with each of the two best
        photographs, and with all the letter asks for, as far as there are any.
    """
    gone = tuple(name for name in away(job) if name not in on_engine)
    there = tuple(name for name in solved.names.points if name not in gone)
    scales = scales_of(solved.snooped.adjusted, solved.names.points, needed, solved.names.outlines.axes)
    engine = ground(solved, there)
    waited_for, idle, must_show = unfixed(job, sighted, solved)
    free = marks(job, sighted, solved)
    lengths = tuple(
        pool
        for pool in (check_lines(job, solved), readings(job, solved, there), places(job, solved, there))
        if pool is not None
    )
    taken = photographs(job, solved, there, engine, scales)
    pictures = () if taken is None else (taken,)
    sorts = _Sort(lengths, READINGS_MOST), _Sort(pictures, PHOTOGRAPHS_MOST)
    letter, afterwards = _letter(scales, *sorts, must_show)
    foremost = [*_best(scales, lengths, _FORESEEN_READINGS), *_best(scales, pictures, _FORESEEN_PHOTOGRAPHS)]
    foreseen = [
        _foreseen(solved, _short_words(pool.possible[place]), scales.after(pool.telling, place))
        for pool, place in foremost
    ]
    if len(letter) > len(must_show):
        foreseen.append(_foreseen(solved, "all the letter asks for", afterwards))
    asked = Asked(
        marks=(*waited_for, *_ranked(scales, () if free is None else (free,), _LISTED_MARKS), *idle),
        readings=_ranked(scales, lengths, _LISTED_READINGS),
        photographs=(*must_show, *_ranked(scales, pictures, _LISTED_PHOTOGRAPHS)),
        letter=letter,
        together=afterwards.since(scales),
        away=gone,
        scenery=scenery(job, solved, engine),
    )
    return asked, tuple(foreseen)


def _best(scales: Scales, pools: tuple[Pool, ...], most: int) -> list[tuple[Pool, int]]:
    """The best of all pools, ranked; of photographs none beside a better one. One at least, however little it tells."""
    found: list[tuple[float, Pool, int]] = []
    for pool in pools:
        cut = scales.cut(pool.telling)
        order = np.argsort(-cut, kind="stable")
        order = apart(pool, order, most) if pool.possible[0].kind is Kind.PHOTOGRAPH else order[:most]
        found += [(float(cut[place]), pool, place) for place in order.tolist()]
    ranked = sorted(found, key=lambda each: -each[0])[:most]
    return [(pool, place) for cut, pool, place in ranked if cut >= _WORTH_LISTING or cut == ranked[0][0]]


def _short_words(possible: Possible) -> str:
    """What is asked for in a few words, by the points' names in the job."""
    if possible.kind is Kind.CHECK_LINES:
        return "the card's check lines measured"
    if possible.kind is Kind.PLACE:
        return f"the place of {possible.points[0]} measured again"
    if possible.stand is not None:
        return f"a photograph {from_where(possible.stand.bearing)}"
    return f"a reading between {' and '.join(possible.points)}"


def _foreseen(solved: Solved, words: str, scales: Scales) -> Foreseen:
    columns = solved.snooped.adjusted.layout.point_columns.ravel()
    return Foreseen(words, scales.covariance[np.ix_(columns, columns)])


def _ranked(scales: Scales, pools: tuple[Pool, ...], most: int) -> tuple[Ask, ...]:
    found: list[Ask] = []
    for pool in pools:
        cut = scales.cut(pool.telling)
        order = np.argsort(-cut, kind="stable")
        order = order[cut[order] >= _WORTH_LISTING]
        order = apart(pool, order, most) if pool.possible[0].kind is Kind.PHOTOGRAPH else order[:most]
        found += scales.weighed(pool, order, cut)
    return tuple(sorted(found, key=lambda each: -(each.cut or 0.0)))[:most]


def _letter(
    scales: Scales, lengths: _Sort, pictures: _Sort, must_show: tuple[Ask, ...]
) -> tuple[tuple[Ask, ...], Scales]:
    """Fill the letter one by one; what fixes a point that is waited for comes first, then the size of the card."""
    chosen = list(must_show[: pictures.most])
    left = {Kind.READING: lengths.most, Kind.PHOTOGRAPH: pictures.most - len(chosen)}
    standing = scales
    # A print that nobody measured comes before all else: nothing in any photograph can tell that it is out.
    for pool in (pool for pool in lengths.pools if pool.possible[0].kind is Kind.CHECK_LINES):
        cut = standing.cut(pool.telling)
        if cut[0] >= _WORTH_ASKING:
            chosen += standing.weighed(pool, np.array([0]), cut)
            standing = standing.after(pool.telling, 0)
            left[Kind.READING] -= 1
    pools = [_foremost(scales, pool) for sort in (lengths, pictures) for pool in sort.pools]
    while any(left.values()):
        best: tuple[float, int, Pool, Array] | None = None
        for pool in pools:
            sort = _sort_of(pool)
            if not left[sort]:
                continue
            cut = standing.cut(pool.telling)
            for place in _allowed(pool, cut, chosen):
                if best is None or cut[place] > best[0]:
                    best = (float(cut[place]), place, pool, cut)
        if best is None or best[0] < _WORTH_ASKING:
            break
        _, place, pool, cut = best
        chosen += standing.weighed(pool, np.array([place]), cut)
        standing = standing.after(pool.telling, place)
        left[_sort_of(pool)] -= 1
    return tuple(chosen), standing


def _foremost(scales: Scales, pool: Pool) -> Pool:
    """Those with any chance of getting into the letter; what others have told makes none of them much better."""
    order = np.sort(np.argsort(-scales.cut(pool.telling), kind="stable")[:_CARRIED_ON])
    return replace(pool, possible=tuple(pool.possible[k] for k in order.tolist()), telling=pool.telling.some(order))


def _allowed(pool: Pool, cut: Array, chosen: list[Ask]) -> list[int]:
    """The best of a pool that is not chosen already, nor next to a place that is."""
    order = np.argsort(-cut, kind="stable")
    if _sort_of(pool) is Kind.PHOTOGRAPH:
        taken = tuple(each.stand.bearing for each in chosen if each.stand is not None)
        return [int(place) for place in apart(pool, order, 1, taken)]
    asked = {each.do for each in chosen}
    return [place for place in order[: len(asked) + 1].tolist() if pool.possible[place].do not in asked][:1]


def _sort_of(pool: Pool) -> Kind:
    return Kind.PHOTOGRAPH if pool.possible[0].kind is Kind.PHOTOGRAPH else Kind.READING
