"""Outside: the temperature of a joint and along its pipe against scikit-fem's axisymmetric elements.

The crowding of heat into the pipe is worth some 20 to 30 K at the joint, which the lumps have only by its formula.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from heated_blocks import Block, by_elements, by_lumps
from trialfit.heat.run import Flame, stall_c

# Power chosen so that the joint comes to the run of silver solder, about 650 °C by the elements.
CASES = [
    (Block(), 66.0),  # gunmetal
    (Block(block_k=123.0), 65.0),  # brass
    (Block(across_mm=10.0, high_mm=12.0), 44.0),
    (Block(across_mm=20.0), 89.0),
]


@pytest.mark.parametrize(("block", "power_w"), CASES)
def test_joint_within_5_k(block: Block, power_w: float) -> None:
    wanted = by_elements(block, power_w)
    assert 600.0 < wanted[0.0] < 700.0
    net = by_lumps(block)
    # A flame of ten million degrees gives the same power however hot the block.
    nodes = stall_c(net, Flame(power_w, 1e7, 0.0))
    for at_mm, celsius in wanted.items():
        assert float(net.place("tube", at_mm) @ nodes) == pytest.approx(celsius, abs=5.0)


def test_elements_have_converged() -> None:
    coarse, fine = (by_elements(Block(), 66.0, cell_mm) for cell_mm in (0.35, 0.18))
    # A fifth of what the lumps are allowed.
    assert coarse[0.0] == pytest.approx(fine[0.0], abs=1.0)


def test_without_crowding_the_joint_would_be_20_k_off() -> None:
    block = Block()
    net = by_lumps(block)
    nodes = stall_c(net, Flame(66.0, 1e7, 0.0))
    body = float(net.place("block") @ nodes)
    assert body - by_elements(block, 66.0)[0.0] > 20.0
    wide = by_lumps(replace(block, across_mm=block.od_mm))
    assert wide.ends["tube"][0][1] == 0.0
