"""Clues that follow from figures: what hands and weights give, against what the tail stands.

Source: derived; the weights are assumed, as those of ``figures/break_causes.toml``.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.finding import Basis
from trialfit.strength.assumed import CARELESS_HAND_N, JOLT_G, hand_on_spanner_n
from trialfit.strength.clues import Clue
from trialfit.strength.reasons import said, torque
from trialfit.strength.records import Tail, TailStrength

_SLIGHT = 0.05


def worked_out_clues(strength: TailStrength) -> tuple[Clue, ...]:
    """Say what the figures speak for.

    Parameters
    ----------
    strength
        What the broken tail stood.

    Returns
    -------
    tuple of Clue
        In the form of the clues that are looked for.
    """
    return (*_hand_on_spanner(strength), *_hand_on_end(strength), *_weight(strength), *_metal(strength.tail))


def _hand_on_spanner(strength: TailStrength) -> Iterator[Clue]:
    length_mm = strength.duty.spanner_mm
    if length_mm is None:
        return
    light_n, strong_n, _ = hand_on_spanner_n()
    light_nm, strong_nm = light_n * length_mm / 1000, strong_n * length_mm / 1000
    parts, twists = strength.break_torque, strength.twist_off_torque
    hand = f"a hand on {length_mm:.0f} mm gives {torque(light_nm)} to {torque(strong_nm)}, it parts at {said(parts)}"
    weights = {
        "overtightened": _reach(light_nm, strong_nm, parts.low, parts.likely),
        "forced_undone": _reach(light_nm, strong_nm, twists.low, twists.likely),
    }
    yield _clue("hand on the spanner", "hand on the spanner", hand, weights)


def _hand_on_end(strength: TailStrength) -> Iterator[Clue]:
    force, arm_mm = strength.break_force, strength.duty.arm_mm
    if force is None or arm_mm is None:
        return
    hand = f"a careless hand gives {CARELESS_HAND_N:.0f} N"
    text = f"across its far end, at {arm_mm:.0f} mm, {said(force)} breaks it, and {hand}"
    weight = 2.0 if force.likely <= CARELESS_HAND_N else 0.3 if force.low > 5 * CARELESS_HAND_N else 1.0
    yield _clue("hand on the far end", "hand on the far end", text, {"knocked": weight})


def _weight(strength: TailStrength) -> Iterator[Clue]:
    if strength.jolt is None:
        return
    jolt = f"a jolt in running being {JOLT_G:.0f} at most"
    text = f"the weight on it bends it for good at {said(strength.jolt)}, {jolt}"
    weight = 3.0 if strength.jolt.low < 2 * JOLT_G else 0.5 if strength.jolt.low > 10 * JOLT_G else 1.0
    yield _clue("weight on the arm", "weight on the arm", text, {"fatigue": weight})


def _metal(tail: Tail) -> Iterator[Clue]:
    metal = tail.state.metal
    if "brass" not in metal.name:
        text = f"{metal.key}, {metal.name}, neither loses zinc nor season-cracks as brass does"
        yield _clue("the metal", "the metal", text, {"zinc_lost": _SLIGHT, "season_cracked": _SLIGHT})


def _reach(light: float, strong: float, low: float, likely: float) -> float:
    """Five where a light hand does it, two where a strong one does, a fifth where not even that."""
    return 5.0 if light >= likely else 2.0 if strong >= likely else 1.0 if strong >= low else 0.2


def _clue(key: str, group: str, because: str, weights: dict[str, float]) -> Clue:
    return Clue(key, group, "", because, weights, Basis.ASSUMED)
