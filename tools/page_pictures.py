"""Makes the pictures of the pages in docs/pictures/ from the examples, in both lights, on a tablet and on a phone.

.venv/bin/python tools/page_pictures.py
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

PICTURES = ROOT / "docs" / "pictures"
TABLET, PHONE = (1024, 768), (390, 844)
SHOTS = (
    ("rack", "/", TABLET, "light"),
    ("bench", "/jobs/backhead", TABLET, "light"),
    ("bench-dark", "/jobs/backhead", TABLET, "dark"),
    ("bench-phone", "/jobs/soldering", PHONE, "light"),
    ("photographs", "/jobs/backhead/photographs", TABLET, "light"),
    ("photographs-phone", "/jobs/backhead/photographs", PHONE, "dark"),
    ("space", "/jobs/backhead/space", TABLET, "light"),
    ("space-dark", "/jobs/backhead/space", TABLET, "dark"),
    ("fit", "/jobs/backhead/at/fit", TABLET, "light"),
    ("parts", "/jobs/backhead/at/parts", TABLET, "light"),
    ("water", "/jobs/feed-circuit/at/water", TABLET, "dark"),
    ("torch", "/jobs/soldering/at/torch", PHONE, "light"),
    ("turned", "/jobs/backhead/at/turned", TABLET, "light"),
    ("order", "/jobs/backhead/at/order", TABLET, "light"),
    ("sheets", "/jobs/backhead/at/sheets", TABLET, "light"),
    ("times", "/jobs/backhead/times", TABLET, "light"),
    ("closing", "/jobs/backhead/closing", TABLET, "light"),
    ("shop", "/shop", TABLET, "light"),
    ("text", "/jobs/backhead/document", TABLET, "light"),
)


def make(wanted: list[str]) -> None:
    """Make the pictures named, or all of them."""
    from browser import opened, served, settled
    from trialfit.store.database.documents import start

    with tempfile.TemporaryDirectory() as folder:
        examples = ("backhead", "soldering", "feed-circuit", "sheared-elbow")
        with served(Path(folder) / "workshop", *examples) as site, opened() as browser:
            start(site.workshop, "shop", "shop", (ROOT / "examples" / "shop.toml").read_text(), "example")
            asking = browser.new_context().request  # worked out beforehand, however long that takes
            for example in examples:
                asking.get(f"{site.address}/api/jobs/{example}/sheets", timeout=600_000)
            for name, path, (wide, tall), lamp in SHOTS:
                if wanted and name not in wanted:
                    continue
                context = browser.new_context(viewport={"width": wide, "height": tall}, has_touch=True)
                page = context.new_page()
                page.emulate_media(color_scheme="dark" if lamp == "dark" else "light")
                page.goto(site.address + path)
                settled(page)
                if path.endswith("/photographs"):
                    page.locator("#live b").first.wait_for(timeout=90_000)
                    page.get_by_label("Which").select_option(label="check_cap.face (marked in 5)")
                if path.endswith("/space"):
                    page.locator("#names .letter").first.wait_for(timeout=90_000)
                page.wait_for_timeout(2500)
                target = PICTURES / f"page-{name}.png"
                page.screenshot(path=target)
                # A colour that few dots have, such as that of the new pipe, stays what it is.
                few = Image.open(target).convert("RGB").quantize(256, kmeans=3)
                few.save(target, optimize=True)
                context.close()


if __name__ == "__main__":
    make(sys.argv[1:])
