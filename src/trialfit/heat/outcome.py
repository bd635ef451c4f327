"""What a heat comes to with a weak, a likely and a strong flame, and how much it needs.

Source: `trialfit.heat.run`; the wet rag boils at 100 °C, and how well it cools is assumed.
"""

from __future__ import annotations

from trialfit.finding import Band
from trialfit.heat.network import Sink
from trialfit.heat.records import Outcome, Work
from trialfit.heat.run import Flame, heat, stall_c
from trialfit.heat.torch import EMISSIVITY

RAG_W_M2_K = 5000.0
"""A soaked rag held round hot metal; assumed. [W/(m²·K)]"""
RAG_MM = 15.0
CLAMP_W_M2_K = 1500.0
"""A clean clamp drawn up; assumed. [W/(m²·K)]"""
_LONGEST_S = 900.0
# Where a flame stalls rests on a guessed share of its heat: whole tens of degrees are printed.
_TENS = -1


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
        (slow, likely, quick), Band(stalls[0], stalls[1], stalls[2], "°C", _TENS),
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
