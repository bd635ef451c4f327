"""App: photographs keep the colour that tells metals apart, on screen and on sheets; held to what was put in."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image

from trialfit.app import working
from trialfit.app.desk import Desk
from trialfit.app.settings import Settings
from trialfit.store.database import documents
from trialfit.store.database.pictures import add_picture
from trialfit.store.database.workshop import Workshop
from trialfit.store.screen_copies import screen_copy
from workshops import job_text

COPPER = (184, 100, 60)
JOB = job_text() + (
    "\n[phones.bench]\n[photographs]\n"
    'bench = { file = "bench.jpg", phone = "bench", bench = true }\n'
    'flat = { file = "flat.jpg", phone = "bench" }\nover = { file = "over.jpg", phone = "bench" }\n'
    '[flat_prints.one]\nphotograph = "flat"\n'
)


def _picture(shift_px: int) -> bytes:
    """Copper with a dark square somewhere, so that no two are one picture sent twice."""
    picture = Image.new("RGB", (1200, 900), COPPER)
    picture.paste((20, 20, 20), (600 + shift_px, 300, 900 + shift_px, 600))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=95)
    return written.getvalue()


def test_the_bench_s_photographs_and_flat_prints_are_in_colour(on_disk: Workshop, tmp_path: Path) -> None:
    documents.start(on_disk, "job", "bittern", JOB, "bench")
    for place, name in enumerate(("bench", "flat", "over")):
        add_picture(on_disk, "bittern", f"{name}.jpg", _picture(-250 * place), "bench")
    desk = Desk(Settings(on_disk.folder), on_disk)
    pictures = working._pictures(desk, "bittern", working.job_at(desk, "bittern")[1])
    # JPEG at this quality keeps a plain colour within a few steps of 255.
    for name in ("bench", "flat"):
        assert np.allclose(pictures[name][100, 100], COPPER, atol=4)
    assert pictures["over"].shape == (900, 1200)  # lines are drawn over it, for a printer in black and white too
    kept = tmp_path / "bench.jpg"
    kept.write_bytes(_picture(0))
    with Image.open(io.BytesIO(screen_copy(kept, 320))) as shown:
        assert np.allclose(np.asarray(shown)[20, 20], COPPER, atol=4)
