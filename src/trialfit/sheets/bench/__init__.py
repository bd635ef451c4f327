"""Pictures for `docs/bench`: how to measure what the program asks for, drawn from the program's own figures."""

from __future__ import annotations

from collections.abc import Mapping

from trialfit.sheets.bench.parts import cone, hexagon, tube
from trialfit.sheets.bench.screws import flanks, over_the_crests, pitch, taper
from trialfit.sheets.bench.views import clockwise, marks
from trialfit.sheets.svg import svg

_PICTURES = {
    "over-the-crests": (over_the_crests, "A thread measured over its crests"),
    "pitch": (pitch, "Ten threads against a rule"),
    "flanks": (flanks, "Three forms of thread at the same pitch"),
    "taper": (taper, "A taper pipe thread measured at two places"),
    "hexagon": (hexagon, "A hexagon across its flats"),
    "cone": (cone, "A hollow cone by its mouth, and by two balls"),
    "tube": (tube, "A tube's wall by its weight"),
    "clockwise": (clockwise, "Which way is clockwise"),
    "marks": (marks, "Where to mark a face in a photograph"),
}


def bench_pictures() -> Mapping[str, str]:
    """Draw every picture of `docs/bench`.

    Returns
    -------
    Mapping
        SVG documents by the name of their file, without its ending.
    """
    return {name: svg(draw(), title) for name, (draw, title) in _PICTURES.items()}
