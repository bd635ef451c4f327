"""Tubes and rims brought into a survey that its marks alone have settled.

First each is found with the cameras standing still; what cannot be found is left out with its reason. Then everything
is adjusted together, and the marks on outlines are judged.

Source: `tube_start.py`, `rim_start.py`, `outline_judge.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.survey.gather import Names, Sighted, gather
from trialfit.survey.outline_gather import gather_outlines
from trialfit.survey.outline_judge import SetAside, judged
from trialfit.survey.outline_names import OutlineNames
from trialfit.survey.outline_settle import only
from trialfit.survey.outlines import Outlined, Outlines, with_marks
from trialfit.survey.problem import Problem, State
from trialfit.survey.records import LeftOut
from trialfit.survey.rim_start import rim_start
from trialfit.survey.snoop import Snooped
from trialfit.survey.threads import one_thread
from trialfit.survey.tube_axis import Cannot
from trialfit.survey.tube_start import tube_start

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_FEWEST_ARCS = 5
_NONE = np.zeros(0, dtype=np.intp)


@dataclass(frozen=True)
class WithOutlines:
    """A survey with its tubes and rims.

    Parameters
    ----------
    snooped
        The answer.
    names
        Names behind its numbers.
    left_out
        Points and outlines that could not be fixed.
    aside
        Marks on outlines that the answer does without, the gravest first.
    """

    snooped: Snooped
    names: Names
    left_out: tuple[LeftOut, ...]
    aside: tuple[SetAside, ...]


def with_outlines(
    job: Job, sighted: Sighted, names: Names, snooped: Snooped, left_out: tuple[LeftOut, ...]
) -> WithOutlines:
    """Bring tubes and rims into a survey.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs.
    names
        Names behind the survey's numbers.
    snooped
        The survey by its marks alone.
    left_out
        Points that it could not fix; a rim may yet fix its middle.

    Returns
    -------
    WithOutlines
        The survey with them; where they do not go together with the marks, as it was, with the reason.
    """
    free = _free_centres(job, names)
    points = (*names.points, *free)
    problem, _ = gather(job, sighted, points)
    outlines, outline_names = gather_outlines(job, sighted, names.photographs, points)
    before = snooped.adjusted.state
    state = replace(before, points_mm=np.concatenate([before.points_mm, np.zeros((len(free), 3))]))
    search = _Search(job, replace(problem, outlines=outlines), state, outline_names, points, len(names.points))
    with one_thread():
        found, cannot = search.all()
    lost = tuple(LeftOut(name, why.because, why.do) for name, why in cannot.items())
    if not found:
        return WithOutlines(snooped, names, (*left_out, *lost), ())
    freed = {job.rims[name].centre: each.centre for name, each in found.items() if each.centre is not None}
    try:
        whole, begin, final = _together(job, sighted, names, found, freed, before)
        answer, aside = judged(whole, begin)
    except Refusal as refusal:
        because = f"With tubes and rims the survey does not settle: got {refusal.fault.got}."
        all_lost = tuple(LeftOut(search.called(name), because, refusal.fault.remedy) for name in found)
        return WithOutlines(snooped, names, (*left_out, *lost, *all_lost), ())
    still = tuple(left for left in left_out if left.name not in freed)
    return WithOutlines(answer, final, (*still, *lost), aside)


def _free_centres(job: Job, names: Names) -> tuple[str, ...]:
    """Middles of rims that are marked well enough, and that no marks of their own fix."""
    marked = {
        rim for photograph, rims in job.rim_marks.items() if photograph in names.photographs
        for rim, clicks in rims.items() if len(clicks) >= _FEWEST_ARCS
    }  # fmt: skip
    centres = (job.rims[rim].centre for rim in job.rims if rim in marked)
    return tuple(centre for centre in centres if centre not in names.points)


@dataclass(frozen=True)
class _Found:
    """A tube or a rim where it was found, and its middle where nothing but the rim fixes it."""

    outlines: Outlines
    outlined: Outlined
    centre: Array | None = None


@dataclass(frozen=True)
class _Search:
    """Looks for each tube and rim by itself, the cameras standing still; points from `fixed` on are not yet placed."""

    job: Job
    problem: Problem
    state: State
    names: OutlineNames
    points: tuple[str, ...]
    fixed: int

    def all(self) -> tuple[dict[str, _Found], dict[str, Cannot]]:
        found: dict[str, _Found] = {}
        cannot: dict[str, Cannot] = {}
        for name in (*self.names.tubes, *self.job.rims):
            each = self._tube(name) if name in self.names.tubes else self._rim(name)
            if isinstance(each, Cannot):
                cannot[self.called(name)] = each
            else:
                found[name] = each
        return found, cannot

    def called(self, name: str) -> str:
        return f"{'tube' if name in self.names.tubes else 'rim'} {name}"

    def _tube(self, name: str) -> _Found | Cannot:
        begun = tube_start(self._alone(np.array([self.names.tubes.index(name)], dtype=np.intp), _NONE), self.state)
        return begun if isinstance(begun, Cannot) else _Found(begun[0].outlines, begun[1].outlined)

    def _rim(self, name: str) -> _Found | Cannot:
        outlines = self.problem.outlines
        rim = self.names.rims.index(name) if name in self.names.rims else -1
        if rim < 0 or not (outlines.arc_rim == rim).any():
            return Cannot("No photograph has marks round it.", "Mark five places or more round it in two photographs.")
        centre = int(outlines.rim_centre[rim])
        free = centre >= self.fixed
        alone = self._alone(_NONE, np.array([rim], dtype=np.intp))
        begun = rim_start(alone, self.state, free, None if free else self._towards(name, centre))
        if isinstance(begun, Cannot):
            return begun
        return _Found(begun[0].outlines, begun[1].outlined, begun[1].points_mm[centre] if free else None)

    def _alone(self, tubes: Indices, rims: Indices) -> Problem:
        alone = only(self.problem.outlines, tubes, rims)
        placed = alone.on_point < self.fixed
        on = {name: getattr(alone, name)[placed] for name in ("on_point", "on_axis", "on_sigma_mm")}
        return replace(self.problem, outlines=replace(alone, **on))

    def _towards(self, name: str, centre: int) -> Array | None:
        """About which way a rim faces: away from a point on its axis, or from one behind its port."""
        outlines = self.problem.outlines
        axis = outlines.leg_count + self.names.rims.index(name)
        behind = outlines.on_point[outlines.on_axis == axis].tolist()
        for part in self.job.parts.values():
            for port in part.ports.values():
                if port.face == self.job.rims[name].centre and port.axis_from in self.points:
                    behind.append(self.points.index(port.axis_from))
        for point in behind:
            run = self.state.points_mm[centre] - self.state.points_mm[point]
            if point < self.fixed and np.linalg.norm(run) > 0.0:
                return np.asarray(run / np.linalg.norm(run))
        return None


def _together(
    job: Job, sighted: Sighted, names: Names, found: dict[str, _Found], freed: dict[str, Array], before: State
) -> tuple[Problem, State, Names]:
    """Everything as one problem: the points in the job's order, the tubes and rims that were found."""
    solved = (*names.points, *freed)
    points = tuple(name for name in dict.fromkeys((*job.points, *solved)) if name in solved)
    problem, plain = gather(job, sighted, points)
    outlines, outline_names = gather_outlines(job, sighted, names.photographs, points)
    tubes = np.array([k for k, name in enumerate(outline_names.tubes) if name in found], dtype=np.intp)
    rims = np.array([k for k, name in enumerate(outline_names.rims) if name in found], dtype=np.intp)
    legs = tuple(leg for leg in outline_names.legs if leg.rpartition(".")[0] in found)
    final = replace(
        outline_names,
        tubes=tuple(outline_names.tubes[k] for k in tubes),
        rims=tuple(outline_names.rims[k] for k in rims),
        legs=legs,
    )
    in_order = [found[name] for name in (*final.tubes, *final.rims)]
    outlines = _as_found(only(outlines, tubes, rims), in_order)
    places = dict(zip(names.points, before.points_mm, strict=True)) | freed
    outlined = Outlined(
        np.zeros(2),
        *(
            np.concatenate([getattr(each.outlined, name) for each in in_order])
            for name in ("vertices_mm", "od_mm", "bend_radius_mm", "normals", "rim_radius_mm")
        ),
    )
    state = replace(before, points_mm=np.array([places[name] for name in points]), outlined=outlined)
    return replace(problem, outlines=outlines), state, replace(plain, outlines=final)


def _as_found(outlines: Outlines, found: list[_Found]) -> Outlines:
    """With the sides the search settled on, and without the photographs that show a rim edge-on."""
    sides = {
        int(number): float(side)
        for each in found
        for number, side in zip(each.outlines.edge_number, each.outlines.edge_side, strict=True)
    }
    arcs = {int(number) for each in found for number in each.outlines.arc_number}
    side = np.array([sides[int(number)] for number in outlines.edge_number])
    kept = np.array([int(number) in arcs for number in outlines.arc_number], dtype=bool)
    tubes = [each.outlines.bend_radius_sigma_mm for each in found]
    outlines = replace(outlines, edge_side=side, bend_radius_sigma_mm=np.concatenate(tubes))
    return with_marks(outlines, np.ones(len(side), dtype=bool), kept)
