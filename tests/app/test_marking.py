"""Photographs marked in a real browser by finger, mouse and keys; the page's camera held against OpenCV's own."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser, CDPSession, Page, Route, expect

from browser import ROOT, Served, faults_of_access, opened, served, settled
from trialfit.store.database.documents import history, holding
from trialfit.store.database.pictures import picture_of

pytestmark = pytest.mark.xdist_group("browser")

JOB = "backhead"
ON_SCREEN = """([pane, name]) => {
  const each = marking.panes[pane], mark = marking.marksOn(each.name).find((one) => one.name === name);
  const at = each.toScreen(mark.px), box = each.canvas.getBoundingClientRect();
  return [box.left + at[0], box.top + at[1]];
}"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("marking") / "workshop", JOB) as started:
        yield started


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with opened() as started:
        yield started


@pytest.fixture
def page(site: Served, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.goto(f"{site.address}/jobs/{JOB}/photographs")
    expect(made.locator("#live")).to_contain_text("Pipe feed", timeout=90_000)
    made.wait_for_timeout(200)
    yield made
    context.close()
    assert wrong == []


def marks_of(site: Served, photograph: str) -> dict[str, Any]:
    held = tomllib.loads(holding(site.workshop, "job", JOB).revision.text)
    return held["marks"][photograph]  # type: ignore[no-any-return]


def place_of(mark: Any) -> list[float]:
    return mark["px"] if isinstance(mark, dict) else mark  # type: ignore[no-any-return]


def touch(session: CDPSession, kind: str, *points: tuple[float, float]) -> None:
    session.send(
        "Input.dispatchTouchEvent",
        {"type": kind, "touchPoints": [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(points)]},
    )


def test_a_mark_dragged_by_finger_is_followed_and_saved_once(site: Served, page: Page) -> None:
    before = place_of(marks_of(site, "front")["check_cap.face"])
    revisions = len(history(site.workshop, "job", JOB))
    said = page.locator("#live").inner_text()
    x, y = page.evaluate(ON_SCREEN, [0, "check_cap.face"])
    scale = page.evaluate("() => marking.panes[0].scale")
    session = page.context.new_cdp_session(page)
    # Taken hold of beside its middle: it keeps its distance from the finger.
    touch(session, "touchStart", (x + 9, y + 9))
    for step in range(1, 11):
        touch(session, "touchMove", (x + 9 + 2 * step, y + 9 + step))
    page.wait_for_timeout(100)
    expect(page.locator("#live")).not_to_have_text(said)
    expect(page.locator("#live")).to_contain_text("check_cap.face")
    assert len(history(site.workshop, "job", JOB)) == revisions  # trying saves nothing
    touch(session, "touchEnd")
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {revisions + 1}", timeout=30_000)
    after = place_of(marks_of(site, "front")["check_cap.face"])
    # 20 and 10 px on the screen, by hand, to the tenth of a pixel that is kept.
    assert after == pytest.approx([before[0] + 20 / scale, before[1] + 10 / scale], abs=0.11)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {revisions}")
    assert place_of(marks_of(site, "front")["check_cap.face"]) == before


def test_pictures_are_seen_moved_and_zoomed_before_the_document_is_there(site: Served, browser: Browser) -> None:
    context = browser.new_context(viewport={"width": 1024, "height": 768})
    page = context.new_page()
    waiting: list[Route] = []
    page.route("**/scene", lambda route: route.abort())
    page.route(f"**/api/jobs/{JOB}", lambda route: waiting.append(route))
    page.goto(f"{site.address}/jobs/{JOB}/photographs")
    page.wait_for_function("() => window.marking?.panes.every((pane) => pane.image)")
    names = list(tomllib.loads(holding(site.workshop, "job", JOB).revision.text)["photographs"])
    assert page.evaluate("() => marking.panes.map((pane) => pane.name)") == names[:2]
    assert page.get_by_label("Photograph 1", exact=True).locator("option").count() == len(names)
    scale, at = page.evaluate("() => [marking.panes[0].scale, marking.panes[0].at]")
    box = page.locator("canvas").first.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 140, box["y"] + 120)
    page.mouse.up()
    assert page.evaluate("() => marking.panes[0].at") == pytest.approx([at[0] + 40, at[1] + 20])
    page.mouse.wheel(0, -400)
    page.wait_for_function("(before) => marking.panes[0].scale > 1.5 * before", arg=scale)
    # Nothing can be placed over a document that is not there, nor is anything kept to be sent.
    page.locator("canvas").first.press("Enter")
    assert page.evaluate("() => [marking.marksOn(marking.panes[0].name).length, localStorage.length]") == [0, 0]
    assert waiting
    for each in waiting:
        each.continue_()
    page.wait_for_function("() => marking.marksOn(marking.panes[0].name).length > 5")
    assert page.evaluate("() => marking.panes[0].scale") > 1.5 * scale  # what is looked at stays
    # Marks are in pixels of the original, 4000 x 3000 as the file says, and lie there before anything is worked out.
    assert page.evaluate("() => [marking.scene, marking.panes[0].size]") == [None, [4000, 3000]]
    settled(page)
    context.close()


def test_two_fingers_zoom_about_their_middle_and_wheel_and_keys_do_too(page: Page) -> None:
    session = page.context.new_cdp_session(page)
    box = page.locator("canvas").first.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    inside = "([x, y]) => { const p = marking.panes[0]; return p.toPicture(p.local({clientX: x, clientY: y})); }"
    scale = page.evaluate("() => marking.panes[0].scale")
    held = page.evaluate(inside, [x, y])
    touch(session, "touchStart", (x - 40, y), (x + 40, y))
    for step in range(1, 9):
        touch(session, "touchMove", (x - 40 - 5 * step, y), (x + 40 + 5 * step, y))
    touch(session, "touchEnd")
    # 80 px apart became 160: twice as near, and what lay between the fingers still does.
    assert page.evaluate("() => marking.panes[0].scale") == pytest.approx(2 * scale, rel=0.02)
    assert page.evaluate(inside, [x, y]) == pytest.approx(held, abs=3)
    page.mouse.move(x, y)
    page.mouse.wheel(0, -400)
    page.wait_for_timeout(100)
    assert page.evaluate("() => marking.panes[0].scale") > 2.2 * scale
    page.locator("canvas").first.press("0")
    assert page.evaluate("() => marking.panes[0].scale") == pytest.approx(scale)
    page.locator("canvas").first.press("+")
    assert page.evaluate("() => marking.panes[0].scale") == pytest.approx(1.4 * scale)


def test_marks_are_placed_shifted_and_taken_away_by_keys(site: Served, page: Page) -> None:
    page.get_by_label("Which").select_option("gauge_cock.plugnut")
    canvas = page.locator("canvas").first
    canvas.press("Enter")
    settled(page)
    placed = place_of(marks_of(site, "front")["gauge_cock.plugnut"])
    for _ in range(3):
        canvas.press("Shift+ArrowRight")
    canvas.press("n")  # to the next mark at once: the shift is kept all the same
    settled(page)
    assert place_of(marks_of(site, "front")["gauge_cock.plugnut"]) == pytest.approx(
        [placed[0] + 3, placed[1]], abs=0.11
    )
    page.get_by_label("Which").select_option("gauge_cock.plugnut")
    canvas.press("Shift+ArrowRight")
    canvas.press("Delete")
    page.wait_for_timeout(800)  # nor does a shift bring back what was taken away
    settled(page)
    assert "gauge_cock.plugnut" not in marks_of(site, "front")


def test_the_page_sees_through_the_lens_as_opencv_does(page: Page) -> None:
    found = page.evaluate(
        """async () => {
          const optics = await import('/static/optics.js');
          return marking.scene.survey.stations.map((station) => [station, marking.scene.survey.points.map((point) =>
            [point.position_mm, optics.project(station, point.position_mm)])]);
        }"""
    )
    compared = 0
    for station, points in found:
        focal, (x, y) = station["focal_px"], station["centre_px"]
        lens = np.array([[focal, 0, x], [0, focal, y], [0, 0, 1]])
        turn, _ = cv2.Rodrigues(np.array(station["rotation"]))
        at, moved = np.array([point for point, _ in points]), np.array(station["translation_mm"])
        wanted, _ = cv2.projectPoints(at, turn, moved, lens, np.array(station["distortion"]))
        for (_, ours), theirs in zip(points, wanted[:, 0], strict=True):
            if ours is not None:
                assert ours == pytest.approx(theirs.tolist(), abs=1e-6)
                compared += 1
    assert compared > 60


def test_the_line_from_one_photograph_passes_the_mark_in_another(page: Page) -> None:
    # Marks of the same thing, placed by hand to 3 px: the line drawn from one passes the other within a few of those.
    far = page.evaluate(
        """async () => {
          const optics = await import('/static/optics.js'), off = [];
          for (const name of ['bare_bush.face', 'gauge_top.face', 'regulator.rod', 'feed_pipe.end']) {
            const [a, b] = ['front', 'left'].map((each) => marking.marksOn(each).find((mark) => mark.name === name));
            const line = optics.lineOn(marking.station('front'), a.px, marking.station('left'), [4000, 3000]);
            let best = Infinity;
            for (let n = 1; n < line.length; n++) {
              const [x1, y1] = line[n - 1], [x2, y2] = line[n], dx = x2 - x1, dy = y2 - y1;
              const t = Math.max(0, Math.min(1, ((b.px[0] - x1) * dx + (b.px[1] - y1) * dy) / (dx * dx + dy * dy)));
              best = Math.min(best, Math.hypot(x1 + t * dx - b.px[0], y1 + t * dy - b.px[1]));
            }
            off.push(best);
          }
          return off;
        }"""
    )  # fmt: skip
    assert max(far) < 12
    # and it is a line across the picture, so that passing near means something
    page.get_by_label("Which").select_option(label="bare_bush.face (marked in 6)")
    expect(page.locator("#live")).to_contain_text("bare_bush.face")


def test_a_wrong_mark_is_named_as_a_suspect(page: Page) -> None:
    x, y = page.evaluate(ON_SCREEN, [0, "bare_bush.face"])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y + 12, steps=4)
    page.mouse.up()
    settled(page)
    expect(page.locator("#live")).to_contain_text("Suspect: ", timeout=30_000)
    expect(page.locator("#live")).to_contain_text("bare_bush.face")
    page.get_by_role("button", name="Undo").click()
    settled(page)


def test_a_photograph_is_taken_in_and_named_in_the_document(site: Served, page: Page) -> None:
    picture = ROOT / "examples" / JOB / "photographs" / "view0.jpg"
    page.locator("#upload").set_input_files(
        {"name": "from the tank.jpg", "mimeType": "image/jpeg", "buffer": picture.read_bytes()}
    )
    expect(page.locator("#panes select").first).to_contain_text("from_the_tank", timeout=60_000)
    settled(page)
    held = tomllib.loads(holding(site.workshop, "job", JOB).revision.text)
    assert held["photographs"]["from_the_tank"] == {"file": "from the tank.jpg", "phone": "owner"}
    # A tablet calls every photograph it takes by the same name, and does not let another be given.
    second = (ROOT / "examples" / JOB / "photographs" / "view1.jpg").read_bytes()
    page.locator("#upload").set_input_files({"name": "from the tank.jpg", "mimeType": "image/jpeg", "buffer": second})
    expect(page.locator("#panes select").first).to_contain_text("from_the_tank-2", timeout=60_000)
    settled(page)
    assert picture_of(site.workshop, JOB, "from the tank-2.jpg").sha256 == sha256(second).hexdigest()
    for _ in range(2):
        page.get_by_role("button", name="Undo").click()
        settled(page)


def test_a_points_place_is_typed_and_taken_back(site: Served, page: Page) -> None:
    point = "bare_bush.face"
    page.get_by_label("Which").select_option(point)
    page.get_by_role("button", name="Known place…").click()
    expect(page.get_by_text("An ordinary point again")).to_be_hidden()  # it is one
    for label, typed in (("x", "5 1/2"), ("y", "123,4"), ("z", "110"), ("Plus or minus", "")):
        page.locator("#known-dialog").get_by_label(label, exact=len(label) == 1).fill(typed)
    # 5 1/2 in is 139.7 mm; what is lacking is asked for, and nothing typed is lost
    expect(page.locator("#known-dialog .echo").first).to_have_text("= 139.700 mm = 5.5000 in")
    page.get_by_role("button", name="This is its place").click()
    expect(page.locator("#known-fault")).to_contain_text("plus or minus is wanted too")
    page.get_by_label("Plus or minus").fill("0.4")
    assert faults_of_access(page) == []
    page.get_by_role("button", name="This is its place").click()
    settled(page)
    before = tomllib.loads((ROOT / "examples" / JOB / "job.toml").read_text())["points"][point]
    held = tomllib.loads(holding(site.workshop, "job", JOB).revision.text)["points"][point]
    assert held == {**before, "at": ["5 1/2 in", "123.4 mm", "110 mm"], "pm": "0.4 mm"}
    expect(page.get_by_label("Which")).to_contain_text(f"{point} (marked in 6, known)")
    page.get_by_role("button", name="Known place…").click()
    page.get_by_role("button", name="An ordinary point again").click()
    settled(page)
    assert tomllib.loads(holding(site.workshop, "job", JOB).revision.text)["points"][point] == before


def test_a_photograph_is_removed_with_its_marks_and_comes_back_by_undo(site: Served, page: Page) -> None:
    before = tomllib.loads(holding(site.workshop, "job", JOB).revision.text)
    page.get_by_role("button", name="Remove photograph…").click()
    page.get_by_label("Photograph to remove").select_option("left")
    expect(page.locator("#remove-words")).to_contain_text(f"With it go {len(before['marks']['left'])} marks of points")
    rest = [marks for name, marks in before["marks"].items() if name != "left"]
    lost = [
        point
        for point in before["marks"]["left"]
        if sum(point in marks for marks in rest) < 2 and "at" not in before["points"].get(point, {})
    ]
    for point in lost:
        expect(page.locator("#remove-words")).to_contain_text(point)
    assert faults_of_access(page) == []
    page.get_by_role("button", name="Remove it").click()
    settled(page)
    held = tomllib.loads(holding(site.workshop, "job", JOB).revision.text)
    assert "left" not in held["photographs"] | held["marks"]
    assert {**before["marks"], "left": None} == {**held["marks"], "left": None}
    expect(page.locator("#panes select option[value=left]")).to_have_count(0)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#panes select option[value=left]")).to_have_count(2)
    assert tomllib.loads(holding(site.workshop, "job", JOB).revision.text) == before


def test_axe_finds_nothing_on_the_photographs(page: Page) -> None:
    assert faults_of_access(page) == []


def test_the_job_stands_in_space_and_through_a_photographs_camera(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{JOB}/space")
    expect(page.locator("#names")).to_contain_text("new feed", timeout=60_000)
    expect(page.locator("#names")).to_contain_text("tank_union")
    page.get_by_label("Seen from").select_option("left")
    page.wait_for_timeout(300)
    # The view through the photograph's camera puts a point where that photograph's mark is, the lens's bend left out.
    off = page.evaluate(
        """() => {
          const point = space.said.points.find((each) => each.name === 'bare_bush.face');
          const at = space.named.find((each) => each.words === 'bare_bush.face').at.clone().project(space.camera);
          return [(at.x + 1) / 2 * 4000 - 1992.2, (1 - at.y) / 2 * 3000 - 889.8, point.halves_mm.length];
        }"""
    )
    assert abs(off[0]) < 15 and abs(off[1]) < 15
    page.get_by_label("Seen from").select_option("")
    # The order of putting on, forwards and back: before its step the pipe is not there, after it stands.
    shown = "() => space.byName.get('feed').some((each) => each.visible)"
    page.emulate_media(reduced_motion="reduce")
    page.get_by_label("Show", exact=True).select_option("on")
    assert not page.evaluate(shown)
    expect(page.locator("#names")).not_to_contain_text("new feed")
    steps = page.evaluate("() => space.order.steps.map((step) => step.things)")
    for n, things in enumerate(steps, 1):
        page.get_by_role("button", name="On", exact=True).click()
        expect(page.locator("#step-words")).to_contain_text(f"{n} of {len(steps)}.")
        if "feed" in things:
            assert page.evaluate(shown)
    assert page.evaluate(shown)
    # On paper it is a picture, and not the blank that is left of what was drawn.
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    expect(page.locator("#three")).to_be_hidden()
    colours = page.locator("#on-paper").evaluate(
        """async (image) => {
          await image.decode();
          const pen = Object.assign(document.createElement('canvas'), {width: 200, height: 100}).getContext('2d');
          pen.drawImage(image, 0, 0, 200, 100);
          return new Set(new Uint32Array(pen.getImageData(0, 0, 200, 100).data.buffer)).size;
        }"""
    )
    assert colours > 100
    page.emulate_media(media="screen")
    for _ in steps:
        page.get_by_role("button", name="Back", exact=True).click()
    assert not page.evaluate(shown)
    assert faults_of_access(page) == []
