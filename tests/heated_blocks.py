"""A block with a tube standing on it, by finite elements: the axisymmetric oracle for the temperature of a joint."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from trialfit.finding import Band
from trialfit.heat.network import Lump, Network, Pipe, network
from trialfit.tables.metals import Metal, find_metal


@dataclass(frozen=True)
class Block:
    """A round block with a tube on the middle of its upper face, heated round its side."""

    across_mm: float = 14.0
    high_mm: float = 20.0
    od_mm: float = 4.76
    bore_mm: float = 3.34
    long_mm: float = 90.0
    block_k: float = 71.0
    tube_k: float = 339.0
    film: float = 50.0
    air_c: float = 20.0


def by_elements(block: Block, power_w: float, cell_mm: float = 0.25) -> dict[float, float]:
    """Mean temperature over the tube's wall at heights above the face, 0 being the joint."""
    from skfem import Basis, BilinearForm, ElementQuad1, FacetBasis, LinearForm, MeshQuad, solve
    from skfem.helpers import dot, grad

    r = _lines([0.0, block.bore_mm / 2, block.od_mm / 2, block.across_mm / 2], cell_mm)
    z = np.concatenate([_lines([-block.high_mm, 0.0], cell_mm), _lines([0.0, 8.0], cell_mm)[1:],
                        _lines([8.0, block.long_mm], 1.0)[1:]])  # fmt: skip
    mesh = MeshQuad.init_tensor(r / 1000.0, z / 1000.0)
    middle = mesh.p[:, mesh.t].mean(axis=1) * 1000.0
    wall = (middle[0] > block.bore_mm / 2) & (middle[0] < block.od_mm / 2)
    mesh = mesh.remove_elements(np.flatnonzero((middle[1] > 0.0) & ~wall))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    basis = Basis(mesh, ElementQuad1())
    k = np.where(middle[1] > 0.0, block.tube_k, block.block_k)[:, None] * np.ones(basis.dx.shape[1])

    @BilinearForm
    def conduct(u, v, w):  # type: ignore[no-untyped-def]
        return w["k"] * dot(grad(u), grad(v)) * w.x[0]

    @BilinearForm
    def lose(u, v, w):  # type: ignore[no-untyped-def]
        return block.film * u * v * w.x[0]

    @LinearForm
    def heated(v, w):  # type: ignore[no-untyped-def]
        return v * w.x[0]

    half, bore, od = block.across_mm / 2000.0, block.bore_mm / 2000.0, block.od_mm / 2000.0
    outer = mesh.facets_satisfying(lambda x: _outside(x, half, bore, od, block.high_mm / 1000.0), boundaries_only=True)
    side = mesh.facets_satisfying(lambda x: np.abs(x[0] - half) < 1e-9, boundaries_only=True)
    matrix = conduct.assemble(basis, k=k) + lose.assemble(FacetBasis(mesh, ElementQuad1(), facets=outer))
    load = heated.assemble(FacetBasis(mesh, ElementQuad1(), facets=side))
    load *= power_w / (2.0 * np.pi * load.sum())
    over = solve(matrix, load)
    found = {}
    for at in (0.0, 20.0, 45.0):
        near = z[np.argmin(np.abs(z - at))] / 1000.0
        on = np.flatnonzero((np.abs(mesh.p[1] - near) < 1e-9) & (mesh.p[0] >= bore - 1e-9) & (mesh.p[0] <= od + 1e-9))
        weight = mesh.p[0][on]
        found[at] = block.air_c + float((over[basis.nodal_dofs[0][on]] * weight).sum() / weight.sum())
    return found


def by_lumps(block: Block) -> Network:
    """The same with trialfit's body and pipe."""

    def metal(k: float) -> Metal:
        return replace(find_metal("CW024A"), conductivity=Band(k, k, k, "W/(m·K)", 0))

    lump = Lump("block", metal(block.block_k), 0.03, block.across_mm, block.high_mm)
    tube = Pipe("tube", metal(block.tube_k), block.od_mm, block.bore_mm, block.long_mm, "block", None)
    return replace(network([lump], [tube], "block", air_c=block.air_c), film_w_m2_k=block.film)


def _lines(marks: list[float], cell_mm: float) -> np.ndarray:
    found = [np.linspace(a, b, max(2, round((b - a) / cell_mm) + 1)) for a, b in pairwise(marks)]
    return np.unique(np.concatenate(found).round(9))


def _outside(x: np.ndarray, half: float, bore: float, od: float, high: float) -> np.ndarray:
    """All that air touches: not the axis, not the tube's bore, nor the block's face under it."""
    foot = np.abs(x[1] + high) < 1e-9
    side = np.abs(x[0] - half) < 1e-9
    face = (np.abs(x[1]) < 1e-9) & (x[0] > od)
    tube = (np.abs(x[0] - od) < 1e-9) & (x[1] > 0.0)
    tip = (x[1] > 0.0) & (x[0] > bore) & (x[0] < od) & (np.abs(x[1] - x[1].max()) < 1e-9)
    found: np.ndarray = foot | side | face | tube | tip
    return found
