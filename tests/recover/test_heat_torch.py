"""Recover: a torch of known heat melts tin on a slug; the heat is found again from the time it took."""

from __future__ import annotations

import pytest

from trialfit.errors import Refusal
from trialfit.heat.network import Lump, network
from trialfit.heat.run import Flame, heat
from trialfit.heat.torch import EMISSIVITY, TIN_MELTS_C, absorbed_w, slug_height_mm, torchlight
from trialfit.job.shop import Torch
from trialfit.tables.metals import find_metal


@pytest.mark.parametrize("takes_w", [60.0, 150.0, 600.0])
@pytest.mark.parametrize("mass_g", [40.0, 120.0])
def test_the_heat_is_found_again(takes_w: float, mass_g: float) -> None:
    slug = Lump("slug", find_metal("CW614N"), mass_g / 1000.0, 20.0, slug_height_mm(mass_g, 20.0))
    net = network([slug], [], "slug")
    flame = Flame(takes_w, 1600.0, EMISSIVITY.likely)
    took = heat(net, flame, net.place("slug"), TIN_MELTS_C, tolerance_k=0.02).reached_s
    assert took is not None
    assert absorbed_w(slug, took, 1600.0) == pytest.approx(takes_w, rel=0.01)


def test_a_strong_torch_by_hand() -> None:
    """By hand: 100 g of brass at 380 J/(kg K) to 232 C from 20 takes 8056 J; in 10 s 806 W, and a little for the flame
    coming nearer (212 of 1580 K: half of that, 7 %) and for the loss, under 3 %."""
    slug = Lump("slug", find_metal("CW614N"), 0.100, 20.0, slug_height_mm(100.0, 20.0))
    assert 806.0 < absorbed_w(slug, 10.0, 1600.0) < 806.0 * 1.10


def test_slug_by_hand() -> None:
    """By hand: 20 mm bar is 314.16 mm²; 100 g at 8.47 mg/mm³ is 11806 mm³, so 37.58 mm."""
    assert slug_height_mm(100.0, 20.0) == pytest.approx(37.58, abs=0.005)


def test_the_trial_gives_a_band_and_its_absence_a_factor_of_three() -> None:
    trial = {"mass": "100 g", "across": "20 mm", "took": "48 s", "pm": "5 s"}
    timed = torchlight("small", Torch.model_validate({"power": "1.2 kW", "slug": trial}))
    assert timed.measured
    assert timed.takes.low < timed.takes.likely < timed.takes.high < 1.3 * timed.takes.low
    bare = torchlight("small", Torch.model_validate({"power": "1.2 kW"}))
    assert not bare.measured
    assert bare.takes.high == pytest.approx(3.0 * bare.takes.low)
    assert "assumed" in str(bare.because)


def test_a_time_no_torch_could_reach_is_refused() -> None:
    trial = {"mass": "5 kg", "across": "60 mm", "took": "1 s", "pm": "0.1 s"}
    with pytest.raises(Refusal, match="Check the mass and the seconds of the trial"):
        torchlight("small", Torch.model_validate({"power": "1.2 kW", "slug": trial}))
