"""Laws: more metal is never quicker, more torch never slower, heat is nowhere made or lost, mirror images agree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.heat.network import Lump, Network, Pipe, Sink, network
from trialfit.heat.run import Flame, Run, heat, ledger, stall_c
from trialfit.tables.metals import find_metal

BRASS, COPPER = find_metal("CW614N"), find_metal("CW024A")
TAKES = st.floats(40.0, 600.0)
MASS = st.floats(0.005, 0.2)
LONG = st.floats(20.0, 200.0)
FEW = settings(max_examples=15, deadline=None)


def _net(mass_kg: float, long_mm: float, sinks: tuple[Sink, ...] = (), far_kg: float = 0.01) -> Network:
    lumps = [Lump("near", BRASS, mass_kg, 14.0, 20.0), Lump("far", BRASS, far_kg, 8.0, 10.0)]
    return network(lumps, [Pipe("pipe", COPPER, 4.76, 3.34, long_mm, "near", "far")], "near", sinks)


def _run(net: Network, takes_w: float, needs_c: float = 400.0) -> Run:
    return heat(net, Flame(takes_w, 1600.0, 0.6), net.place("pipe", 0.0), needs_c, longest_s=400.0)


def _time(run: Run) -> float:
    return 1e9 if run.reached_s is None else run.reached_s


@FEW
@given(TAKES, MASS, LONG, st.floats(1.05, 3.0))
def test_more_metal_is_never_quicker(takes_w: float, mass_kg: float, long_mm: float, more: float) -> None:
    light, heavy = (_run(_net(kg, long_mm), takes_w) for kg in (mass_kg, more * mass_kg))
    assert _time(heavy) >= _time(light) * 0.995


@FEW
@given(TAKES, MASS, LONG, st.floats(1.05, 3.0))
def test_more_torch_is_never_slower_and_never_stalls_lower(
    takes_w: float, mass_kg: float, long_mm: float, more: float
) -> None:
    net = _net(mass_kg, long_mm)
    assert _time(_run(net, more * takes_w)) <= _time(_run(net, takes_w)) * 1.005
    weak, strong = (stall_c(net, Flame(w, 1600.0, 0.6)) for w in (takes_w, more * takes_w))
    assert np.all(strong >= weak - 0.01)


@FEW
@given(TAKES, MASS, LONG, st.booleans())
def test_heat_is_neither_made_nor_lost(takes_w: float, mass_kg: float, long_mm: float, wet: bool) -> None:
    rag = (Sink("pipe", long_mm / 2.0, 10.0, rag_w_m2_k=5000.0),) if wet else ()
    net, flame = _net(mass_kg, long_mm, rag), Flame(takes_w, 1600.0, 0.6)
    found = ledger(net, _run(net, takes_w), flame)
    assert found.into_j == pytest.approx(found.air_j + found.rag_j + found.kept_j, rel=0.01)
    assert (found.rag_j > 0.0) <= wet


@FEW
@given(TAKES, MASS, st.floats(30.0, 200.0))
def test_a_wet_rag_never_makes_the_far_end_hotter(takes_w: float, mass_kg: float, long_mm: float) -> None:
    flame = Flame(takes_w, 1600.0, 0.6)
    bare, wet = _net(mass_kg, long_mm), _net(mass_kg, long_mm, (Sink("pipe", 15.0, 10.0, rag_w_m2_k=5000.0),))
    assert bare.place("far") @ stall_c(bare, flame) >= wet.place("far") @ stall_c(wet, flame) - 0.01


@FEW
@given(TAKES, MASS)
def test_mirror_images_agree(takes_w: float, mass_kg: float) -> None:
    """Two like pipes on one body get equally hot, whichever end of them is called the start."""
    ends = [Lump(name, BRASS, 0.01, 8.0, 10.0) for name in ("left", "right")]
    body = Lump("body", BRASS, mass_kg, 14.0, 20.0)
    one = Pipe("one", COPPER, 4.76, 3.34, 60.0, "body", "left")
    other = Pipe("other", COPPER, 4.76, 3.34, 60.0, "right", "body")
    net = network([body, *ends], [one, other], "body")
    run = heat(net, Flame(takes_w, 1600.0, 0.6), net.place("body"), 300.0, longest_s=200.0)
    for along in (0.0, 7.0, 31.0, 60.0):
        assert run.most_c(net.place("one", along)) == pytest.approx(run.most_c(net.place("other", 60.0 - along)))


def test_one_body_without_loss_heats_by_the_exponential() -> None:
    """By hand: 0.1 kg at 380 J/(kg K), flame of 1020 C over air of 20 that gives 1000 W cold, so 1 W/K: the time
    constant is 38 s, and half way, 520 C, comes at 38 ln 2 = 26.34 s."""
    net = replace(network([Lump("slug", BRASS, 0.1, 20.0, 30.0)], [], "slug"), film_w_m2_k=0.0)
    run = heat(net, Flame(1000.0, 1020.0, 0.0), net.place("slug"), 520.0)
    assert run.reached_s == pytest.approx(26.34, abs=0.03)
