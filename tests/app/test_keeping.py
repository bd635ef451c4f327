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
    page.route("**/changes", lambda route: route.abort())
    write(page, "owner", "A. Fenwright, Acle")
    expect(page.locator("#saved")).to_have_text("Not saved: 1 kept here")
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
