"""Which filler and flux go together, and which filler goes first.

Source: `trialfit.tables.joining`; the rule of flux by ``brazing.csv``. Higher melting first is the trade's custom.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from trialfit.parts.stands import melting_c
from trialfit.tables.joining import Filler, Flux, fillers, fluxes
from trialfit.tables.rules import rule


def flux_suits(flux: str, filler: str) -> tuple[float, float]:
    """How much room a flux has below the filler's solidus and above its liquidus.

    Parameters
    ----------
    flux, filler
        Their names in the tables.

    Returns
    -------
    tuple of float
        Room below, which should be about 100 K, and above, which must not be negative. [K]
    """
    found = _flux(flux)
    solidus_c, liquidus_c = melting_c(filler)
    return solidus_c - found.low_c, found.high_c - liquidus_c


def liquid_below_k() -> float:
    """How far below the solidus a flux must be liquid.

    Returns
    -------
    float
        By the rule. [K]
    """
    return rule("flux", "liquid below solidus").low or 0.0


def fluxes_for(filler: str) -> tuple[Flux, ...]:
    """Fluxes whose range covers a filler's.

    Parameters
    ----------
    filler
        Its name.

    Returns
    -------
    tuple of Flux
        Those liquid soon enough first, then those nearly so.
    """
    fits = [flux for flux in fluxes() if flux_suits(flux.name, filler)[0] > 0 <= flux_suits(flux.name, filler)[1]]
    return tuple(sorted(fits, key=lambda flux: flux_suits(flux.name, filler)[0] < liquid_below_k()))


def fillers_under(solidus_c: float) -> tuple[Filler, ...]:
    """Fillers without cadmium that run before something begins to melt.

    Parameters
    ----------
    solidus_c
        Where that begins to melt. [°C]

    Returns
    -------
    tuple of Filler
        The hottest first.
    """
    fits = [each for each in fillers() if not each.cadmium and each.liquidus_c < solidus_c]
    return tuple(sorted(fits, key=lambda each: -each.liquidus_c))


def step_order(names: Iterable[str]) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Put joints in order by their fillers, the higher melting first.

    Parameters
    ----------
    names
        Their fillers or solders.

    Returns
    -------
    tuple
        The order, and each neighbouring pair in it of which the later runs only when the earlier has begun to melt.
    """
    order = tuple(sorted(names, key=lambda name: (-melting_c(name)[0], -melting_c(name)[1])))
    pairs = pairwise(order)
    return order, tuple((a, b) for a, b in pairs if melting_c(b)[1] >= melting_c(a)[0])


def _flux(name: str) -> Flux:
    return next(each for each in fluxes() if each.name == name)
