"""The owner's page in a real browser with the network off: the turning view turns, steps play, nothing is fetched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from shutil import which

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from fitting_jobs import ORDER, planned
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.parts.records import Part
from trialfit.parts.solids import Box, Cylinder, Hexagon
from trialfit.sheets.fitting.html import fitting_page
from trialfit.sheets.fitting.record import fitting_record
from trialfit.sheets.fitting.space import space_record
from trialfit.sheets.seen.motion import Motion
from trialfit.sheets.seen.steps import SeenStep, Stage
from trialfit.sheets.words import words_for
from trialfit.survey.records import Survey

X, _, Z = np.eye(3)
_FLAGS = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]


@dataclass(frozen=True)
class _Laid:
    survey: Survey | None = None
    parts: tuple[Part, ...] = ()
    pipes: tuple[PipePlan, ...] = ()


def _page_text() -> str:
    things = (
        Thing("plate", "", "engine", (Piece("body", Box(np.zeros(3), np.eye(3), np.array([30.0, 30, 1]))),)),
        Thing("elbow", "", "part", (Piece("body", Cylinder(np.zeros(3), 20 * Z, 5.0)),)),
        Thing("nut", "", "part", (Piece("hexagon", Hexagon(20 * Z, 28 * Z, 12.0, X)),)),
    )
    off = Motion(Z, np.zeros(3), 4.0, 12.0)
    seen = (
        SeenStep(1, ("nut",), (off,), ("elbow",), False),
        SeenStep(2, ("elbow",), (off,), (), True),
        SeenStep(3, ("nut",), (off,), ("elbow",), True),
    )
    plan = planned(owner="'<b>Sandling</b> & <script>document.title=1</script>'")
    space = space_record(Stage(_Laid(), Scene(things)), seen, {1: "first </script><b>", 2: "second", 3: "third"})
    return fitting_page(fitting_record(plan, ORDER), words_for(plan.job), {}, space)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=which("chromium"), args=_FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """The page as a telephone without a network opens it; any word in the console or any fetching is a fault."""
    file = tmp_path / "fitting-sheet.html"
    file.write_text(_page_text(), encoding="utf-8")
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True, offline=True)
    opened = context.new_page()
    said: list[str] = []
    opened.on("console", lambda message: said.append(message.text))
    opened.on("pageerror", lambda error: said.append(str(error)))
    opened.on("request", lambda asked: said.append(asked.url) if not asked.url.startswith(("data:", "file:")) else None)
    opened.goto(file.as_uri())
    yield opened
    assert said == []
    context.close()


def _played(page: Page) -> None:
    page.wait_for_timeout(400)


def _view(page: Page) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    shot = cv2.imdecode(np.frombuffer(page.locator("#view").screenshot(), np.uint8), cv2.IMREAD_COLOR)
    assert shot is not None
    return np.asarray(shot, dtype=np.uint8)


def test_the_view_shows_the_engine_and_turns_by_finger_and_key(page: Page) -> None:
    first = _view(page)
    assert (first < 250).any(axis=2).mean() > 0.05
    box = page.locator("#view").bounding_box()
    assert box is not None
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 60, middle[1] + 10)
    page.mouse.up()
    turned = _view(page)
    assert (turned != first).mean() > 0.02
    page.locator("#view").focus()
    page.keyboard.press("ArrowLeft")
    assert (_view(page) != turned).mean() > 0.005


def test_a_step_plays_beside_its_words_and_the_part_ends_off(page: Page) -> None:
    page.emulate_media(reduced_motion="reduce")
    page.locator('button[data-step="1"]').click()
    assert page.locator("#view-step").inner_text() == "first </script><b>"
    assert page.locator("#step-1 #space").count() == 1
    _played(page)
    blue = _view(page).astype(int)
    moving = (blue[:, :, 0] > blue[:, :, 2] + 40).nonzero()[0]
    page.locator('button[data-step="3"]').click()
    _played(page)
    home = _view(page).astype(int)
    on = (home[:, :, 0] > home[:, :, 2] + 40).nonzero()[0]
    assert len(moving) > 50
    assert len(on) > 50
    # 12 mm higher when off than when on; y runs down the screen.
    assert moving.mean() < on.mean() - 10


def test_markup_in_names_runs_nothing_and_the_page_fits_a_telephone(page: Page) -> None:
    assert page.title() == "test-elbow: How to fit what we send you"
    assert "<b>Sandling</b> & <script>document.title=1</script>" in page.locator("header").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    small = page.locator("button:visible, label.done").evaluate_all(
        "all => all.filter(each => each.getBoundingClientRect().height < 44).length"
    )
    assert small == 0
