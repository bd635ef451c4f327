"""One heat with the torch, against scikit-fem on the same block and tube."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from bench.clock import Row, least_ms
from heated_blocks import Block, by_elements, by_lumps
from trialfit.heat.network import Lump, Pipe, network
from trialfit.heat.report import heats
from trialfit.heat.run import Flame, heat, stall_c
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.tables.metals import find_metal

_EXAMPLE = Path(__file__).parents[1] / "examples" / "soldering" / "job.toml"


def rows() -> list[Row]:
    """Time a heat in time, the stall, the same by elements, and a whole report.

    Returns
    -------
    list of Row
        Ours and the alternative.
    """
    brass, copper = find_metal("CW614N"), find_metal("CW024A")
    lumps = [Lump("elbow", brass, 0.030, 14.0, 20.0), Lump("cone", brass, 0.008, 8.0, 8.0)]
    net = network(lumps, [Pipe("pipe", copper, 4.76, 3.34, 120.0, "elbow", "cone")], "elbow")
    joint, flame, block = net.place("pipe", 0.0), Flame(180.0, 1600.0, 0.6), Block()
    still = by_lumps(block)
    joint_c = float(still.place("tube", 0.0) @ stall_c(still, Flame(66.0, 1e7, 0.0)))
    off_k = joint_c - by_elements(block, 66.0)[0.0]
    job = read_job(_EXAMPLE.read_text(encoding="utf-8"))
    shop = assumed_shop()
    size = f"{len(net.heat_j_k)} nodes"
    run = partial(heat, net, flame, joint, 660.0)
    return [
        Row("elbow, pipe and cone to 660 °C and after: trialfit", least_ms(run), size),
        Row("the same, where it stalls: trialfit", least_ms(partial(stall_c, net, flame)), size),
        Row("block and tube, where it stalls: trialfit", least_ms(partial(stall_c, still, Flame(66.0, 1e7, 0.0)))),
        Row("block and tube, where it stalls: scikit-fem", least_ms(partial(by_elements, block, 66.0), 3),
            f"ours {off_k:+.1f} K at the joint of 650 °C; linear, no glow"),
        Row("two heats of the example, with where the rag goes: trialfit", least_ms(partial(heats, job, shop), 2)),
    ]  # fmt: skip
