"""What a heat comes to with a weak, a likely and a strong flame; how much it needs; where a wet rag saves the rest.

Source: `trialfit.heat.run`; the wet rag boils at 100 °C, and how well it cools is assumed.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Band
from trialfit.heat.network import Sink
from trialfit.heat.records import Outcome, Watched, Work
from trialfit.heat.run import Flame, heat, ledger, stall_c
from trialfit.heat.torch import EMISSIVITY

RAG_W_M2_K = 5000.0
"""A soaked rag held round hot metal; assumed. [W/(m²·K)]"""
RAG_MM = 15.0
CLAMP_W_M2_K = 1500.0
"""A clean clamp drawn up; assumed. [W/(m²·K)]"""
_BOILS_AWAY_J_G = 2256.0
_LONGEST_S = 900.0


@dataclass(frozen=True)
class RagAdvice:
    """Where a wet rag would go.

    Parameters
    ----------
    pipe
        The pipe it goes round.
    middle_mm
        From the pipe's start to its middle. [mm]
    outcome
        What the heat then comes to.
    boils_g
        Water it boils away in the likely heat. [g]
    """

    pipe: str
    middle_mm: float
    outcome: Outcome
    boils_g: float


def outcome(work: Work, rags: tuple[Sink, ...] = (), least_w: float | None = None) -> Outcome:
    """Work a heat out with the three flames.

    Parameters
    ----------
    work
        The heat.
    rags
        Rags tried beside those the job has.
    least_w
        Least heat the work must take; where the weak flame gives less, one a tenth over it is run too, for none soaks
        the rest more. None leaves that out. [W]

    Returns
    -------
    Outcome
        Times, stall and what else gets how hot.
    """
    net = work.net(rags)
    joint = work.joint(net)
    places = {each.name: net.place(each.on, each.along_mm) for each in work.watched}
    bodies = {lump.name: net.place(lump.name) for lump in work.lumps}
    reached, stalls = [], []
    most: dict[str, list[float]] = {name: [] for name in (*places, *bodies)}
    for flame in work.torch.flames():
        still = stall_c(net, flame)
        stalls.append(float(joint @ still))
        if stalls[-1] > work.needs_c:
            run = heat(net, flame, joint, work.needs_c, longest_s=_LONGEST_S)
            reached.append(run.reached_s)
            tops = {name: run.most_c(place) for name, place in (places | bodies).items()}
        else:
            reached.append(None)
            tops = {name: float(place @ still) for name, place in (places | bodies).items()}
        for name, top in tops.items():
            most[name].append(top)

    low, likely_flame, _ = work.torch.flames()
    if least_w is not None and reached[0] is None and 1.1 * least_w < likely_flame.takes_w:
        soaks = Flame(1.1 * least_w, low.flame_c, EMISSIVITY.likely)
        run = heat(net, soaks, joint, work.needs_c, longest_s=_LONGEST_S)
        for name, place in (places | bodies).items():
            most[name].append(run.most_c(place))

    def band(tops: list[float]) -> Band:
        return Band(min(tops), tops[1], max(tops), "°C", 0)

    slow, likely, quick = reached
    return Outcome(
        (slow, likely, quick), Band(stalls[0], stalls[1], stalls[2], "°C", 0),
        {name: band(most[name]) for name in places}, {name: band(most[name]) for name in bodies},
    )  # fmt: skip


def least_w(work: Work) -> float:
    """Heat cold work must take for the joint to come up at all, likely losses.

    Parameters
    ----------
    work
        The heat.

    Returns
    -------
    float
        Heat. [W]
    """
    net = work.net()
    joint = work.joint(net)
    low, high = 1.0, 5e4
    for _ in range(18):
        middle = (low * high) ** 0.5
        hot = float(joint @ stall_c(net, Flame(middle, work.torch.flame_c, EMISSIVITY.likely))) > work.needs_c
        low, high = (low, middle) if hot else (middle, high)
    return high


def rag_advice(work: Work, saves: Watched, without: Outcome) -> RagAdvice | None:
    """Find where a wet rag keeps something cool and still lets the joint come up.

    Parameters
    ----------
    work
        The heat.
    saves
        What has to be kept cool.
    without
        What the heat comes to without it.

    Returns
    -------
    RagAdvice or None
        As near to what it saves as does it; None where no rag on a pipe does both.
    """
    likely = work.torch.flames()[1]
    best: RagAdvice | None = None
    for pipe, middle_mm in _tried(work, saves):
        rag = Sink(pipe, middle_mm, RAG_MM, rag_w_m2_k=RAG_W_M2_K)
        net = work.net((rag,))
        if float(work.joint(net) @ stall_c(net, likely)) <= work.needs_c:
            continue
        found = outcome(work, (rag,))
        comes_up = all(
            with_rag is not None for with_rag, bare in zip(found.reached_s, without.reached_s, strict=True)
            if bare is not None
        ) and found.reached_s[1] is not None  # fmt: skip
        if not comes_up or found.most[saves.name].high >= saves.limit.most_c:
            continue
        quick = found.time.likely if found.time else _LONGEST_S
        if best is None or quick < (best.outcome.time.likely if best.outcome.time else _LONGEST_S):
            run = heat(net, likely, work.joint(net), work.needs_c, longest_s=_LONGEST_S)
            best = RagAdvice(pipe, middle_mm, found, ledger(net, run, likely).rag_j / _BOILS_AWAY_J_G)
    return best


def _tried(work: Work, saves: Watched) -> list[tuple[str, float]]:
    """Places on pipes that touch what is saved, a rag's width clear of it and of the pipe's ends."""
    found: list[tuple[str, float]] = []
    if saves.on in (work.entry.flame_on, work.joint_on) and saves.on not in work.entry.pipes:
        return found
    for pipe in work.pipes:
        if saves.on not in (pipe.name, pipe.start, pipe.end):
            continue
        clear, last = RAG_MM / 2.0 + 1.0, pipe.long_mm - RAG_MM / 2.0 - 1.0
        places = [clear + n * (last - clear) / 5.0 for n in range(6)] if last > clear else []
        at = {pipe.name: saves.along_mm, pipe.start: 0.0, pipe.end: pipe.long_mm}[saves.on]
        found += [(pipe.name, place) for place in places if abs(place - at) >= clear - 1e-6 or saves.on == pipe.name]
    return found
