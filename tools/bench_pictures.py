"""Draws the pictures of docs/bench. Run it after changing `trialfit.sheets.bench`; a house test compares them."""

from pathlib import Path

from trialfit.sheets.bench import bench_pictures

FOLDER = Path(__file__).parents[1] / "docs" / "bench" / "pictures"

FOLDER.mkdir(parents=True, exist_ok=True)
for name, picture in bench_pictures().items():
    (FOLDER / f"{name}.svg").write_text(picture, encoding="utf-8", newline="\n")
