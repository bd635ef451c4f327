"""How much heat a torch gives to work: assumed until a slug has been timed, then measured.

Source: the share that goes in is known to a factor of three without a trial; tin melts at 231.928 °C (ITS-90, a
defining fixed point). The rest is assumed and said so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from trialfit.errors import Refusal
from trialfit.finding import Band, Basis, Reason, places_for
from trialfit.heat.network import Lump, network
from trialfit.heat.run import Flame, heat, stall_c
from trialfit.job.shop import Slug, Torch
from trialfit.tables.metals import find_metal

TIN_MELTS_C = 231.928
"""ITS-90, freezing point of tin. [°C]"""

# No published figure was found for a hand torch on work of this size.
_SHARE_LOW, _SHARE, _SHARE_HIGH = 0.10, 0.17, 0.30
_FLAME_C = 1600.0
EMISSIVITY = Band(0.3, 0.6, 0.85, "-")
"""Of brass, bronze and copper at the torch, from bright under flux to black with scale; from memory. [-]"""


@dataclass(frozen=True)
class Torchlight:
    """A torch as the work feels it.

    Parameters
    ----------
    name
        Its name in the workshop.
    takes
        Heat that cold work takes. [W]
    flame_c
        Temperature of its flame. [°C]
    measured
        Whether a slug has been timed.
    slug_area_m2
        Surface of that slug; 0 where none has been timed. [m²]
    because
        Where it comes from.
    """

    name: str
    takes: Band
    flame_c: float
    measured: bool
    slug_area_m2: float
    because: Reason

    def flames(self) -> tuple[Flame, Flame, Flame]:
        """Weak flame on dark work, the likely one, strong flame on bright work.

        Returns
        -------
        tuple of Flame
            Low, likely, high.

        Notes
        -----
        Where a slug was timed, its loss is in the calibration, so emissivity does not add a second band.
        """
        glow = (EMISSIVITY.likely,) * 3 if self.measured else (EMISSIVITY.high, EMISSIVITY.likely, EMISSIVITY.low)
        takes = (self.takes.low, self.takes.likely, self.takes.high)
        low, likely, high = (Flame(w, self.flame_c, e) for w, e in zip(takes, glow, strict=True))
        return low, likely, high


def torchlight(name: str, torch: Torch) -> Torchlight:
    """Say how much heat a torch gives.

    Parameters
    ----------
    name
        Its name in the workshop.
    torch
        The torch, with its trial on a slug if there was one.

    Returns
    -------
    Torchlight
        With its band.

    Raises
    ------
    Refusal
        The slug's time cannot be: no flame of that temperature would be so quick, or it would stall under tin.
    """
    flame_c = _FLAME_C if torch.flame is None else float(torch.flame.to("C"))
    if torch.slug is not None:
        lump, seconds, pm_s = _lump(torch.slug), float(torch.slug.took.to("s")), float(torch.slug.pm.to("s"))
        slow, likely, quick = (
            absorbed_w(lump, s, flame_c) for s in (seconds + pm_s, seconds, max(seconds - pm_s, 0.5))
        )
        said = (
            f"{float(torch.slug.mass.to('g')):.0f} g of {lump.metal.name} came to the melting of tin in {seconds:.0f} s"
        )
        reason = Reason(f"This torch was timed: {said}.", "the workshop's trial; tin by ITS-90", Basis.MEASURED)
        return Torchlight(name, Band(slow, likely, quick, "W", places_for(likely)), flame_c, True, lump.area_m2, reason)
    power_w = float(torch.power.to("W"))
    takes = Band(power_w * _SHARE_LOW, power_w * _SHARE, power_w * _SHARE_HIGH, "W", places_for(power_w * _SHARE))
    text = (
        f"Of the {power_w / 1000.0:.1f} kW it burns, {100 * _SHARE_LOW:.0f} to {100 * _SHARE_HIGH:.0f} % is taken "
        f"to go into the work, and its flame to be {flame_c:.0f} °C; no trial on a slug has been made."
    )
    return Torchlight(name, takes, flame_c, False, 0.0, Reason(text, "", Basis.ASSUMED))


def absorbed_w(slug: Lump, took_s: float, flame_c: float) -> float:
    """Heat a slug took from the flame when cold, from the time it needed to melt tin.

    Parameters
    ----------
    slug
        The slug.
    took_s
        From lighting to the melting. [s]
    flame_c
        Temperature of the flame. [°C]

    Returns
    -------
    float
        Heat taken when cold. [W]

    Raises
    ------
    Refusal
        No flame up to 50 kW would do that.
    """
    net = network([slug], [], slug.name)
    place = net.place(slug.name)
    low, high = 1.0, 5e4

    def too_weak(takes_w: float) -> bool:
        flame = Flame(takes_w, flame_c, EMISSIVITY.likely)
        if float(place @ stall_c(net, flame)) <= TIN_MELTS_C:
            return True
        reached = heat(net, flame, place, TIN_MELTS_C, hold_s=0.01, longest_s=2.0 * took_s, after_s=0.01).reached_s
        return reached is None or reached > took_s

    if too_weak(high):
        raise Refusal(
            "torch, slug", f"{took_s:g} s for {1000.0 * slug.mass_kg:.0f} g", "a time a hand torch could reach",
            "Check the mass and the seconds of the trial.",
        )  # fmt: skip
    for _ in range(24):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if too_weak(middle) else (low, middle)
    return high


def slug_height_mm(mass_g: float, across_mm: float, metal: str = "CW614N") -> float:
    """Length of round bar to saw off for a slug of a mass.

    Parameters
    ----------
    mass_g
        Mass wanted. [g]
    across_mm
        Diameter of the bar. [mm]
    metal
        Its metal.

    Returns
    -------
    float
        Length. [mm]
    """
    return mass_g / (find_metal(metal).density_kg_m3 * 1e-6 * pi / 4.0 * across_mm**2)


def _lump(slug: Slug) -> Lump:
    across_mm, metal = float(slug.across.to("mm")), find_metal(slug.metal)
    mass_kg = float(slug.mass.to("kg"))
    long_mm = mass_kg / (metal.density_kg_m3 * 1e-9 * pi / 4.0 * across_mm**2)
    return Lump("slug", metal, mass_kg, across_mm, long_mm)
