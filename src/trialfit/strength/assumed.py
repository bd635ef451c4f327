"""What has no published figure and decides all the same: friction, hands, margins. Shown wherever it is used.

Source: hand forces by ``figures/spanners.csv``; the rest is assumed, each with its reason.
"""

from __future__ import annotations

from functools import cache

from trialfit.finding import Band, Basis, Reason
from trialfit.parts.cited import cite
from trialfit.tables.rules import rule

FRICTION = Band(0.10, 0.15, 0.25, "-")
FRICTION_REASON = Reason(
    "Friction of thread and face is taken as 0.10 oiled, 0.15 likely, 0.25 dry or with old sealant.", "", Basis.ASSUMED
)

MARGIN = 1.5
MARGIN_REASON = Reason(
    f"The owner gets the least torque at which the tail could yield over {MARGIN:g}: a hand is not a torque spanner.",
    "",
    Basis.ASSUMED,
)

# A pull lighter than this cannot be judged by a hand on a spanner; a kilogram held up is 10 N.
LIGHTEST_PULL_N = 15.0
LIGHTEST_PULL_REASON = Reason(
    f"A hand cannot judge a pull lighter than {LIGHTEST_PULL_N:g} N on a spanner.", "", Basis.ASSUMED
)

FINGERS_NM = 0.3
FINGERS_REASON = Reason(
    f"Finger and thumb give about {FINGERS_NM:g} N·m on a hexagon of 8 to 10 mm.", "", Basis.ASSUMED
)

CARELESS_HAND_N = 100.0
CARELESS_HAND_REASON = Reason(
    f"A hand that catches a fitting, or lifts by it, gives {CARELESS_HAND_N:g} N and more.", "", Basis.ASSUMED
)

# Set down hard, or run over a bad joint: a guess, to have something to hold the weight against.
JOLT_G = 10.0
JOLT_REASON = Reason(
    f"An engine set down hard or run over a bad joint jolts by {JOLT_G:g} times its weight.", "", Basis.ASSUMED
)

DERIVED = Reason(
    "No torque is published for unions and tails of this size: these are derived from the stress in the thread.",
    "",
    Basis.COMPUTED,
)


@cache
def hand_on_spanner_n() -> tuple[float, float, Reason]:
    """Pull of an ordinary hand on a short spanner.

    Returns
    -------
    tuple
        Light and strong pull, and where they come from. [N, N, -]
    """
    found = rule("hand force", "short spanner")
    low_n, high_n = found.low or 0.0, found.high or 0.0
    text = f"An ordinary hand pulls {low_n:g} to {high_n:g} N on a short spanner."
    return low_n, high_n, Reason(text, cite(found.sources), found.basis)
