"""The pages in a real browser: bench, working views, writing, text, search; held against the job files themselves."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from browser import ROOT, Served, faults_of_access, opened, served, settled
from trialfit.app.places import NO_FIELDS, PLACES, sections_at
from trialfit.job.records import Job
from trialfit.store.database.documents import history, holding

pytestmark = pytest.mark.xdist_group("browser")

SHEARED, SOLDERING, CIRCUIT = "sheared-elbow", "soldering", "feed-circuit"
STOPS = (
    "Parcel in", "Photographs", "What broke", "Water", "Parts and joints", "Will it go on?", "Turned parts",
    "Order of work", "Torch", "Test", "Sheets", "Parcel out",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("pages") / "workshop", SHEARED, SOLDERING, CIRCUIT) as started:
        yield started


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with opened() as started:
        yield started


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("console", lambda said: wrong.append(said.text) if "Content Security Policy" in said.text else None)
    yield made
    context.close()
    assert wrong == []


def document_of(site: Served, job: str) -> dict[str, object]:
    return tomllib.loads(holding(site.workshop, "job", job).revision.text)


def test_the_bench_shows_every_place_and_its_gravest_finding(site: Served, page: Page) -> None:
    page.goto(site.address)
    page.get_by_role("link", name=SOLDERING).click()
    settled(page)
    assert tuple(page.locator(".lying h2").all_inner_texts()) == STOPS
    torch = page.locator("[data-place=torch]")
    # The example's heats hold a stop (a sealed wet clack), several looks and goes: the stop is what shows.
    expect(torch).to_contain_text("Stop")
    expect(torch.locator(".gravest")).not_to_be_empty()
    expect(page.locator("[data-place=photographs]")).to_contain_text("Nothing yet")
    torch.get_by_role("link").click()
    settled(page)
    expect(page.locator(".finding").first).to_contain_text("Stop")
    assert page.locator(".stops [aria-current=page]").inner_text() == "Torch"
    # The card keeps the stamps it was given on the bench.
    expect(page.locator("[data-stop=torch] .stamp")).to_have_class("stamp stop")


def test_every_part_of_a_document_is_written_at_one_place() -> None:
    fields = tuple(Job.model_fields)
    written = [section for place in PLACES for section in sections_at(place, fields)]
    assert sorted(written) == sorted(set(fields) - NO_FIELDS)


def test_search_finds_a_job_by_a_word_of_its_story(site: Served, page: Page) -> None:
    page.goto(site.address)
    page.get_by_label("Seek among the jobs").fill("glass road")
    page.keyboard.press("Enter")
    expect(page.locator(".cards .name")).to_have_text([CIRCUIT])


def test_what_is_typed_freely_is_echoed_and_saved_with_its_unit(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{SHEARED}/at/broken")
    settled(page)
    box = page.locator(".field").filter(has=page.get_by_label("bore", exact=True)).first
    bore = box.get_by_label("bore", exact=True)
    bore.fill("9/64")
    # 9/64 in x 25.4 = 3.571875 mm, by hand
    expect(box.locator(".echo")).to_have_text("= 3.572 mm = 0.1406 in")
    bore.press("Tab")
    settled(page)
    broken = document_of(site, SHEARED)["breaks"]["elbow_tail"]  # type: ignore[index]
    assert broken["bore"] == "9/64 in"


def test_a_fault_stands_where_it_was_made_and_nothing_is_lost(site: Served, page: Page) -> None:
    before = holding(site.workshop, "job", SHEARED).revision.text
    page.goto(f"{site.address}/jobs/{SHEARED}/at/broken")
    settled(page)
    thread = page.get_by_label("thread", exact=True).first
    thread.fill("nonsense")
    thread.press("Tab")
    field = page.locator(".field.refused")
    expect(field).to_contain_text("Not saved.")
    expect(page.locator("#saved")).to_have_text("Not saved: 1 to look at")
    assert holding(site.workshop, "job", SHEARED).revision.text == before
    page.reload()
    expect(page.locator(".field.refused input")).to_have_value("nonsense")
    page.locator(".field.refused").get_by_role("button", name="Leave it as it was").click()
    expect(page.locator("#saved")).to_contain_text("Saved")
    expect(page.get_by_label("thread", exact=True).first).to_have_value("1/4x40")


def test_a_new_thing_waits_for_what_it_needs(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{SHEARED}/at/parts")
    settled(page)
    parts = page.locator(".editor[data-section=parts]")
    parts.get_by_label("Another name among parts").fill("elbow")
    parts.get_by_role("button", name="Add", exact=True).click()
    expect(parts.locator(".row.refused").first).to_contain_text("kind")
    assert "parts" not in document_of(site, SHEARED)
    parts.get_by_label("kind").select_option("elbow")
    settled(page)
    assert document_of(site, SHEARED)["parts"] == {"elbow": {"kind": "elbow"}}
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".editor[data-section=parts] .row")).to_have_count(0)
    assert "parts" not in document_of(site, SHEARED)


def test_parts_and_joints_are_a_table_that_is_written_in_its_place(site: Served, page: Page) -> None:
    """The example says nothing of most threads, so that its joints are to be looked at."""
    page.goto(f"{site.address}/jobs/{CIRCUIT}/at/parts")
    settled(page)
    before = holding(site.workshop, "job", CIRCUIT).revision.text
    expect(page.locator(".written .mates").first).to_have_text("Look")
    what = page.get_by_label("what of axle_pump")
    what.fill("pump on the leading axle")
    what.press("Tab")
    settled(page)
    after = holding(site.workshop, "job", CIRCUIT).revision.text
    assert tomllib.loads(after)["parts"]["axle_pump"]["what"] == "pump on the leading axle"
    lines = after.splitlines()
    lines.remove('what = "pump on the leading axle"')
    assert lines == before.splitlines()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("what of axle_pump")).to_have_value("")
    settled(page)
    assert holding(site.workshop, "job", CIRCUIT).revision.text == before


def test_the_text_shows_each_fault_with_its_line_and_keeps_what_was_typed(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{CIRCUIT}/document")
    text = page.get_by_label("The document")
    expect(text).not_to_be_empty()
    whole = text.input_value()
    assert whole == (ROOT / "examples" / CIRCUIT / "job.toml").read_text()
    line = next(n for n, each in enumerate(whole.splitlines(), 1) if each.startswith("working_pressure"))
    text.fill(whole.replace('working_pressure = "80 psi"', 'working_pressure = "80 bananas"'))
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#text-faults")).to_contain_text(f"line {line}:")
    page.reload()
    expect(page.locator("#text-state")).to_contain_text("Not saved")
    expect(page.locator("#saved")).to_have_text("Not saved: the text")
    expect(text).to_have_value(whole.replace('"80 psi"', '"80 bananas"'))
    text.fill(whole.replace('working_pressure = "80 psi"', 'working_pressure = "75 psi"'))
    page.keyboard.press("Control+s")
    expect(page.locator("#text-state")).to_contain_text("Saved, revision")
    assert document_of(site, CIRCUIT)["engine"]["working_pressure"] == "75 psi"  # type: ignore[index]


def test_a_job_is_started_from_its_card(site: Served, page: Page) -> None:
    page.goto(site.address)
    name = page.get_by_label("Name of the job")
    name.fill("Plöver, Größe 3")
    name.press("Tab")
    expect(name).to_have_value("Ploever-Groesse-3")  # a folder's name on every machine
    for label, words in (("Name of the job", "plover"), ("Owner", "<b>B. Reedham</b>"), ("Engine", "Plover")):
        page.get_by_label(label).fill(words)
    page.get_by_label("Working pressure").fill("5.5 bar")
    page.get_by_role("button", name="Write the card").click()
    page.wait_for_url("**/jobs/plover")
    settled(page)
    expect(page.locator(".jobcard")).to_contain_text("<b>B. Reedham</b>")
    assert document_of(site, "plover")["engine"] == {"name": "Plover", "working_pressure": "5.5 bar"}


def test_the_shop_begins_assumed_and_becomes_the_workshops_own(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/shop")
    name = page.get_by_label("name", exact=True)
    name.fill("Reedham Works")
    name.press("Tab")
    settled(page)
    assert tomllib.loads(holding(site.workshop, "shop", "shop").revision.text)["name"] == "Reedham Works"


def test_the_circuit_is_drawn_for_every_setting(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{CIRCUIT}/at/water")
    settled(page)
    settings = document_of(site, CIRCUIT)["circuit"]["settings"]  # type: ignore[index]
    drawings = page.locator("img.drawing")
    assert drawings.count() == len(settings)
    drawings.first.scroll_into_view_if_needed()
    expect(drawings.first).to_have_js_property("complete", True)
    assert drawings.first.evaluate("(image) => image.decode().then(() => image.naturalWidth)") > 100


PAGES = (
    "/", f"/jobs/{SOLDERING}", "/shop", f"/jobs/{CIRCUIT}/document", f"/jobs/{CIRCUIT}/at/water",
    f"/jobs/{SOLDERING}/at/torch", f"/jobs/{SHEARED}/at/order", f"/jobs/{SHEARED}/space",
    f"/jobs/{SHEARED}/photographs", "/enter",
)  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing_in_either_light(site: Served, page: Page, path: str) -> None:
    page.goto(site.address + path)
    settled(page)
    if path == "/shop":
        page.wait_for_selector(".editor input")
    assert faults_of_access(page) == []
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(300)  # colours may take a moment to change
    assert faults_of_access(page, "color-contrast") == []


def test_targets_are_large_enough_for_oily_fingers(site: Served, page: Page) -> None:
    for path in ("/", f"/jobs/{SOLDERING}", f"/jobs/{SHEARED}/at/broken", f"/jobs/{SHEARED}/photographs"):
        page.goto(site.address + path)
        settled(page)
        small = page.evaluate(
            """[...document.querySelectorAll('button, select, input, summary, a.button, .stops a, .top a')]
            .filter((each) => each.checkVisibility() && !each.closest('.filebutton'))
            .map((each) => [each.outerHTML.slice(0, 90), each.getBoundingClientRect()])
            .filter(([, box]) => box.height < 47.5 || box.width < 47.5).map(([html]) => html)"""
        )
        assert small == [], path
        print_px = page.evaluate(
            """Math.min(...[...document.querySelectorAll('body *')].filter((each) => each.checkVisibility()
            && [...each.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim()))
            .map((each) => parseFloat(getComputedStyle(each).fontSize)))"""
        )
        assert print_px >= 16, path


def test_what_the_keys_reach_is_not_under_the_bar(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{SOLDERING}")
    settled(page)
    page.locator("[data-place=parcel-out] a").focus()
    bar = page.evaluate("document.querySelector('.top').getBoundingClientRect().bottom")
    for _ in range(11):
        page.keyboard.press("Shift+Tab")
        assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= bar
    assert page.evaluate("document.activeElement.closest('[data-place]').dataset.place") == "parcel-in"


def test_a_text_with_faults_does_not_look_empty(site: Served, page: Page) -> None:
    """A newer program, or a hand in the database, may have left what this one cannot read."""
    page.route(
        f"**/api/jobs/{SHEARED}",
        lambda route: route.fulfill(json={**route.fetch().json(), "document": None}),
    )
    page.goto(f"{site.address}/jobs/{SHEARED}/at/broken")
    expect(page.locator(".editor")).to_contain_text("has faults")
    expect(page.locator(".editor input")).to_have_count(0)


def test_a_list_of_sizes_is_echoed_one_by_one(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/shop")
    reamers = page.get_by_label("reamers", exact=True)
    reamers.fill("1/8; 7; bananas")
    # 1/8 in x 25.4 = 3.175 mm; 7 / 25.4 = 0.27559 in, by hand
    expect(page.locator(".field").filter(has=reamers).locator(".echo")).to_contain_text(
        "= 3.175 mm = 0.1250 in; = 7.000 mm = 0.2756 in; Not understood"
    )
    reamers.press("Escape")
    expect(page.locator("#saved")).to_contain_text("Saved")


def test_the_whole_bench_can_be_walked_by_keys(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{SOLDERING}")
    settled(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the work"
    page.keyboard.press("Enter")
    reached: list[str] = []
    for _ in range(30):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.closest('[data-place]')?.dataset.place ?? ''"))
        if reached[-1] == "parcel-out":
            break
    assert next(each for each in reached if each) == "parcel-in"
    page.keyboard.press("Enter")
    page.wait_for_url("**/at/parcel-out")


def test_without_the_drawing_library_the_page_says_so(
    site: Served, page: Page, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("trialfit.app.pages.VENDOR", tmp_path)
    page.goto(f"{site.address}/jobs/{SHEARED}/space")
    expect(page.get_by_role("alert")).to_contain_text("The view in space is missing here.")


def test_what_is_not_there_is_said_on_a_page(site: Served, page: Page) -> None:
    for path in ("/jobs/nobody", "/jobs/soldering/at/nowhere", "/nothing"):
        answer = page.goto(site.address + path)
        assert answer is not None
        assert answer.status == 404
        expect(page.get_by_role("heading", level=1)).to_have_text("That cannot be shown")
        expect(page.get_by_role("link", name="To the rack of jobs")).to_be_visible()


def test_an_edit_of_one_page_is_one_revision(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{SOLDERING}/at/parcel-in")
    settled(page)
    before = len(history(site.workshop, "job", SOLDERING))
    owner = page.get_by_label("owner")
    owner.fill("M. Tarrowby-Ash")
    owner.press("Tab")
    settled(page)
    assert len(history(site.workshop, "job", SOLDERING)) == before + 1
