"""Draws the example's two photographs of the bench, of known truth: the piece as it came, and as it goes back.

.venv/bin/python tools/bench_photographs.py
"""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

PHOTOGRAPHS = ROOT / "examples" / "backhead" / "photographs"
_MAKE, _MODEL, _SHOT, _FOCAL_35MM = 271, 272, 0x8769, 41989


def make() -> None:
    """Draw both."""
    from backhead import folder
    from bench_scenes import after, before, drawn
    from trialfit.survey.card import board_of

    card = folder().job.card
    assert card is not None
    for name, scene, seed in (("bench0", before(board_of(card)), 7), ("bench1", after(), 8)):
        picture = Image.fromarray(drawn(scene, seed))
        exif = picture.getexif()
        exif[_MAKE], exif[_MODEL] = "invented", "phone B"
        exif.get_ifd(_SHOT)[_FOCAL_35MM] = 26
        picture.save(PHOTOGRAPHS / f"{name}.jpg", quality=80, subsampling=0, exif=exif)


if __name__ == "__main__":
    make()
