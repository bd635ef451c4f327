"""No edit lost, none doubled: the server away and back, an answer lost on its way, two pages, the same thing twice."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from browser import Served, opened, served, settled
from trialfit.store.database.documents import history, holding, save

pytestmark = pytest.mark.xdist_group("browser")

JOB = "sheared-elbow"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with opened() as started:
        yield started


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("keeping") / "workshop", JOB) as started:
        yield started


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context()
    yield made
    made.close()


def at(site: Served, context: BrowserContext, place: str = "parcel-in") -> Page:
    page = context.new_page()
    page.goto(f"{site.address}/jobs/{JOB}/at/{place}")
    settled(page)
    page.wait_for_selector(".editor input")
    return page


def write(page: Page, label: str, words: str) -> None:
    box = page.get_by_label(label, exact=True).first
    box.fill(words)
    box.press("Tab")


def text_of(site: Served) -> str:
    return holding(site.workshop, "job", JOB).revision.text


def written(site: Served, table: str, key: str) -> object:
    return tomllib.loads(text_of(site))[table].get(key)


def revisions(site: Served) -> int:
    return len(history(site.workshop, "job", JOB))


def test_what_is_written_while_the_server_is_away_is_saved_when_it_is_back(
    site: Served, context: BrowserContext
) -> None:
    page, before = at(site, context), revisions(site)
    context.set_offline(True)
    write(page, "owner", "A. Fenwright, Reedham")
    write(page, "story", "Written with no network.")
    expect(page.locator("#saved")).to_have_text("Not saved: 2 kept here")
    page.locator("#saved button").click()
    expect(page.locator("#unsaved-list")).to_contain_text("Kept in this browser until the program saves it")
    page.get_by_role("button", name="Close").click()
    assert revisions(site) == before
    context.set_offline(False)
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 2}", timeout=20_000)
    assert written(site, "job", "owner") == "A. Fenwright, Reedham"
    assert written(site, "job", "story") == "Written with no network."


def test_what_was_not_saved_outlives_the_page(site: Served, context: BrowserContext) -> None:
    page, before = at(site, context), revisions(site)
    fault = {"what": "the database", "got": "disk is full", "wanted": "room", "remedy": "Make room on the disk."}
    page.route("**/changes", lambda route: route.fulfill(status=503, json={"faults": [fault], "conflict": None}))
    write(page, "owner", "A. Fenwright, Acle")
    expect(page.locator("#saved")).to_have_text("Not saved: 1 kept here")
    page.locator("#saved button").click()
    expect(page.locator("#unsaved-list")).to_contain_text("disk is full")
    page.close()
    assert revisions(site) == before
    other = at(site, context)
    expect(other.locator("#saved")).to_have_text(f"Saved, revision {before + 1}", timeout=20_000)
    assert written(site, "job", "owner") == "A. Fenwright, Acle"


def test_an_answer_lost_on_its_way_does_not_double_the_edit(site: Served, context: BrowserContext) -> None:
    page, before = at(site, context), revisions(site)
    lost: list[str] = []

    def lose(route: Route) -> None:
        if len(lost) < 2:
            lost.append(route.fetch().text())  # it arrives and is saved; the page never hears of it
            route.abort()
        else:
            route.continue_()

    page.route("**/changes", lose)
    write(page, "owner", "A. Fenwright, Brundall")
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 1}", timeout=20_000)
    assert len(lost) == 2
    assert revisions(site) == before + 1


def test_what_is_typed_and_not_given_is_said_to_be_unsaved_and_outlives_the_page(
    site: Served, context: BrowserContext
) -> None:
    page, before = at(site, context, "broken"), revisions(site)
    page.get_by_label("bore", exact=True).first.fill("9/64")
    expect(page.locator("#saved")).to_have_text("Not saved: still being typed")
    page.close()
    page = context.new_page()
    page.goto(site.address)
    expect(page.locator(".band")).to_contain_text(f"Not saved, kept in this browser:{JOB}")
    page.goto(f"{site.address}/jobs/{JOB}/at/broken")
    bore = page.locator(".field").filter(has=page.get_by_label("bore", exact=True)).first
    expect(bore.locator("input")).to_have_value("9/64")
    expect(bore).to_contain_text("Not saved: typed here before")
    assert revisions(site) == before
    bore.get_by_role("button", name="Save it").click()
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 1}")
    assert written(site, "breaks", "elbow_tail")["bore"] == "9/64 in"  # type: ignore[index]


def test_a_browser_without_room_says_that_it_holds_an_edit_in_the_page_alone(
    site: Served, context: BrowserContext
) -> None:
    page, before = at(site, context), revisions(site)
    page.evaluate("() => { Storage.prototype.setItem = () => { throw new DOMException('', 'QuotaExceededError'); }; }")
    page.route("**/changes", lambda route: route.abort())
    write(page, "owner", "A. Fenwright, Loddon")
    expect(page.locator("#saved")).to_have_text("Not saved: 1 in this page alone")
    assert revisions(site) == before
    page.unroute("**/changes")
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 1}", timeout=20_000)
    assert written(site, "job", "owner") == "A. Fenwright, Loddon"


def test_a_fraction_typed_after_the_session_ended_is_saved_as_of_an_inch(site: Served, context: BrowserContext) -> None:
    page, before = at(site, context, "broken"), revisions(site)
    for calls in ("**/understood*", "**/changes", f"**/api/jobs/{JOB}"):
        page.route(calls, lambda route: route.fulfill(status=401, json={"faults": [], "conflict": None}))
    write(page, "bore", "1/8")
    expect(page.locator("#saved")).to_contain_text("Not saved: 1 kept here")
    expect(page.locator("#saved").get_by_role("link", name="Give the passcode")).to_have_attribute(
        "href", f"/enter?next=%2Fjobs%2F{JOB}%2Fat%2Fbroken"
    )
    page.unroute_all()
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 1}", timeout=20_000)
    assert written(site, "breaks", "elbow_tail")["bore"] == "1/8 in"  # type: ignore[index]


def test_what_is_pressed_while_an_edit_is_saved_is_pressed_and_the_keys_stay_where_they_were(
    site: Served, context: BrowserContext
) -> None:
    page = at(site, context)
    story = page.get_by_label("story", exact=True).first
    story.fill("Pressed beside it.")
    fold = page.locator("[data-section=job] summary").first
    fold.click(delay=900)  # the edit is saved while the finger is down
    expect(page.locator("[data-section=job] details").first).to_have_attribute("open", "")
    settled(page)
    assert written(site, "job", "story") == "Pressed beside it."
    story.fill("Left by keys.")
    page.keyboard.press("Tab")
    settled(page)
    assert written(site, "job", "story") == "Left by keys."
    assert page.evaluate("document.activeElement.closest('[data-section=job]')?.tagName") == "DIV"
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"


def test_a_choice_by_keys_is_saved_once_and_what_a_list_lacks_stands_under_it(
    site: Served, context: BrowserContext
) -> None:
    page = at(site, context, "parts")
    page.get_by_label("Another name among parts").fill("bush")
    page.keyboard.press("Enter")
    kind = page.get_by_label("kind of bush")
    kind.focus()
    wanted = kind.locator("option").all_inner_texts().index("bush")
    before = revisions(site)
    for _ in range(wanted):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Tab")
    expect(page.locator("#saved")).to_have_text(f"Saved, revision {before + 1}")
    assert written(site, "parts", "bush") == {"kind": "bush"}
    page.get_by_role("button", name="Add to joints").click()
    expect(page.locator(".editor[data-section=joints]")).to_contain_text("Not saved. ")
    page.locator(".editor[data-section=joints]").get_by_role("button", name="Leave it as it was").click()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("[data-section=parts] .row")).to_have_count(0)


def test_two_pages_that_write_on_different_things_both_have_their_way(site: Served, context: BrowserContext) -> None:
    one, two = at(site, context), at(site, context)
    # The second does not hear of the first until it has written too.
    two.route(f"**/api/jobs/{JOB}", lambda route: route.abort())
    write(one, "owner", "A. Fenwright, Cantley")
    expect(one.locator("#saved")).to_contain_text("Saved")
    two.unroute(f"**/api/jobs/{JOB}")
    write(two, "story", "From the second page.")
    settled(two)
    assert written(site, "job", "owner") == "A. Fenwright, Cantley"
    assert written(site, "job", "story") == "From the second page."
    expect(one.get_by_label("story", exact=True).first).to_have_value("From the second page.")


@pytest.mark.parametrize(("button", "kept"), [("Keep mine", "Mine"), ("Take theirs", "Theirs")])
def test_the_same_thing_written_twice_shows_both(site: Served, context: BrowserContext, button: str, kept: str) -> None:
    page = at(site, context)
    held = holding(site.workshop, "job", JOB).revision
    theirs = held.text.replace(f'owner = "{written(site, "job", "owner")}"', 'owner = "Theirs"')
    assert theirs != held.text
    save(site.workshop, "job", JOB, theirs, held.number, "screen 192.0.2.7")
    write(page, "owner", "Mine")
    expect(page.locator("#saved")).to_have_text("Not saved: 1 to look at")
    page.locator("#saved button").click()
    shown = page.locator("#unsaved-list")
    expect(shown).to_contain_text("Mine")
    expect(shown).to_contain_text("Theirs")
    expect(shown).to_contain_text("screen 192.0.2.7")
    assert written(site, "job", "owner") == "Theirs"  # nothing of theirs is overwritten unasked
    shown.get_by_role("button", name=button).click()
    page.get_by_role("button", name="Close").click()
    settled(page)
    assert written(site, "job", "owner") == kept
    expect(page.get_by_label("owner", exact=True).first).to_have_value(kept)
    held = holding(site.workshop, "job", JOB).revision
    save(site.workshop, "job", JOB, held.text.replace(f'"{kept}"', '"A. Fenwright"'), held.number, "test")


def test_two_writers_of_the_text_are_shown_both_versions(site: Served, context: BrowserContext) -> None:
    page = context.new_page()
    page.goto(f"{site.address}/jobs/{JOB}/document")
    text = page.get_by_label("The document")
    expect(text).not_to_be_empty()
    held = holding(site.workshop, "job", JOB).revision
    text.fill(f"{held.text}\n# mine\n")
    save(site.workshop, "job", JOB, f"{held.text}\n# theirs\n", held.number, "screen 192.0.2.7")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#text-both")).to_contain_text("# theirs")
    expect(page.locator("#text-both")).to_contain_text("# mine")
    page.get_by_role("button", name="Save mine over theirs").click()
    expect(page.locator("#text-state")).to_contain_text("Saved, revision")
    assert text_of(site).endswith("# mine\n")
