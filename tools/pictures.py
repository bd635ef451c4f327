"""Makes docs/pictures/ from the examples: sheets as PNG, and the card. Run after a change that shows on them.

.venv/bin/python tools/pictures.py
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pypdfium2 as pdfium

from trialfit.cli import main

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "docs" / "pictures"
DPI = 90
# Pages by number, the last of a sheet by -1.
PAGES = {
    "summary.pdf": (1,),
    "pipe-feed.pdf": (1, 2, -1),
    "turned-cones.pdf": (1,),
    "order-of-work-feed.pdf": (1,),
    "greylag-feed-letter.pdf": (1,),
    "scale-card-a6.pdf": (1,),
    "over-photographs-feed.pdf": (1,),
    "fitting-sheet.pdf": (2,),
    "packing-list.pdf": (1,),
    "labels.pdf": (1,),
    "quote.pdf": (1,),
    "settings-owner.pdf": (1,),
}


def run(*words: str) -> None:
    """Run a command of the program, whatever its exit code."""
    try:
        main(list(words))
    except SystemExit as ended:
        assert ended.code in (0, 1), words


def render(path: Path, pages: tuple[int, ...]) -> None:
    """Write some pages of a PDF as PNG."""
    document = pdfium.PdfDocument(str(path))
    for place, page in enumerate(pages, 1):
        name = path.stem if len(pages) == 1 else f"{path.stem}-{place}"
        picture = document[page - 1 if page > 0 else len(document) + page].render(scale=DPI / 72).to_pil()
        picture.convert("L").save(PICTURES / f"{name}.png", optimize=True)


def make() -> None:
    """Make every picture."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        out = Path(scratch)
        shop = str(ROOT / "examples" / "shop.toml")
        run("plan", str(ROOT / "examples" / "backhead"), "--shop", shop, "--out", str(out))
        run("ask", str(ROOT / "examples" / "backhead"), "--out", str(out))
        run("plan", str(ROOT / "examples" / "feed-circuit"), "--out", str(out / "feed-circuit"))
        shutil.copy(out / "feed-circuit" / "settings-owner.pdf", out)
        run("card", "--size", "A6", "--out", str(out / "scale-card-a6.pdf"))
        for name, pages in PAGES.items():
            render(out / name, pages)


if __name__ == "__main__":
    make()
