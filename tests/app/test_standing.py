"""App: jobs put away, clocks, closing and labels, in a real browser and by the calls; held against what was pressed."""

from __future__ import annotations

import io
import json
import re
import tomllib
import zipfile
from collections.abc import Iterator
from hashlib import sha256

import pytest
from playwright.sync_api import Browser, Page, expect

from browser import Served, faults_of_access, opened, served, settled
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.sheets.bag_labels import address
from trialfit.store.database.clocks import clocks_on
from trialfit.store.database.documents import SHOP, history, holding, start
from trialfit.store.database.entry import set_passcode
from trialfit.store.database.rack import put_away, put_back
from workshops import job_text

pytestmark = pytest.mark.xdist_group("browser")
JOB = "sheared-elbow"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("standing") / "workshop", JOB, "soldering") as started:
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
    yield made
    context.close()
    assert wrong == []


def test_a_job_is_put_away_with_leave_asked_once_found_by_its_words_and_put_back(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/soldering")
    page.get_by_role("button", name="Put away").click()
    page.get_by_role("button", name="Put it away").click()
    expect(page.locator(".band")).to_contain_text("soldering is put away")
    expect(page.locator(".cards")).not_to_contain_text("soldering")
    page.goto(f"{site.address}/?words=dunlin")
    expect(page.locator(".cards")).to_contain_text("Put away since")
    page.goto(f"{site.address}/?away=true")
    page.get_by_role("link", name="soldering").click()
    page.get_by_role("button", name="Put it back on the rack").click()
    expect(page.get_by_role("button", name="Put away")).to_be_visible()
    assert len(history(site.workshop, "job", "soldering")) == 1
    page.goto(site.address)
    expect(page.locator(".cards")).to_contain_text("soldering")


def test_a_clock_runs_on_through_a_lost_answer_a_reload_and_a_server_away(site: Served, page: Page) -> None:
    page.goto(f"{site.address}/jobs/{JOB}/times")
    settled(page)
    page.route("**/clocks", lambda route: (route.fetch(), route.abort()), times=1)  # it arrives; its answer is lost
    page.get_by_label("Operation", exact=True).first.select_option("silver-solder")
    page.get_by_role("button", name="Start", exact=True).last.click()
    expect(page.locator(".clock")).to_have_count(1)
    page.reload()
    settled(page)
    expect(page.locator(".clock")).to_have_count(1)
    # The rack says so in words, and of a job that is put away too.
    page.goto(site.address)
    card = page.get_by_role("listitem").filter(has_text=JOB)
    expect(card).to_contain_text(re.compile(r"Clock running: silver-solder since \d\d:\d\d"))
    assert faults_of_access(page) == []
    put_away(site.workshop, JOB, "test")
    page.reload()
    expect(page.locator(".band")).to_contain_text(f"on a job that is not shown here: {JOB}, silver-solder")
    put_back(site.workshop, JOB, "test")
    page.goto(f"{site.address}/jobs/{JOB}/times")
    # Pressed while the program is away: kept with the moment of the press.
    page.route("**/stop", lambda route: route.abort())
    page.locator(".clock input").fill("second heat")
    page.get_by_role("button", name="Stop silver-solder").click()
    expect(page.locator("#saved")).to_contain_text("Not saved")
    page.unroute("**/stop")
    page.reload()
    settled(page)
    expect(page.locator("#taken tbody tr")).to_have_count(1)
    expect(page.locator("#taken")).to_contain_text("second heat")
    expect(page.locator("#running")).to_contain_text("Nothing runs")
    assert clocks_on(site.workshop) == {}
    page.get_by_role("button", name="Strike out").click()
    expect(page.locator("#taken")).to_contain_text("Struck out")
    page.get_by_label("Operation", exact=True).last.fill("silver-solder")
    page.get_by_label("It took").fill("35")
    expect(page.locator("#typed .echo")).to_contain_text("35 min")
    page.get_by_role("button", name="Keep this time").click()
    expect(page.locator("#taken tbody tr")).to_have_count(2)
    settled(page)
    expect(page.locator("img.drawing")).to_have_count(1)
    assert faults_of_access(page) == []


def test_a_closed_revision_stays_and_its_archive_is_the_same_bytes_ever_after(site: Served, page: Page) -> None:
    text = holding(site.workshop, "job", JOB).revision.text
    page.goto(f"{site.address}/jobs/{JOB}/closing")
    settled(page)
    page.get_by_role("button", name="Close revision 1").click()
    page.get_by_role("button", name="Close it").click()
    expect(page.locator(".band").first).to_contain_text("Revision 1 was closed", timeout=60_000)
    expect(page.get_by_role("link", name="Archive of revision 1")).to_be_visible()
    archive = f"{site.address}/api/jobs/{JOB}/closings/1/archive.zip"
    first = page.request.get(archive).body()
    with zipfile.ZipFile(io.BytesIO(first)) as opened_:
        manifest = json.loads(opened_.read("manifest.json"))
        names = set(opened_.namelist())
        assert opened_.read("job.toml").decode() == text
        assert manifest["closed"]["document"] == sha256(text.encode()).hexdigest()
        for each in manifest["files"]:
            assert sha256(opened_.read(each["file"])).hexdigest() == each["sha256"]
    assert {"index.html", "plan.json", "sheets/summary.pdf", "sheets/pack.pdf"} <= names
    # A change to it is refused, and says so where it was made; nothing of what was typed is lost.
    page.goto(f"{site.address}/jobs/{JOB}/at/parcel-in")
    settled(page)
    owner = page.get_by_label("owner", exact=True)
    owner.fill("N. Tarnbrook")
    owner.press("Tab")
    expect(page.locator(".infault").first).to_contain_text("begin revision 2")
    page.get_by_role("button", name="Leave it as it was").first.click()
    page.goto(f"{site.address}/jobs/{JOB}/closing")
    settled(page)
    page.get_by_role("button", name="Begin revision 2").click()
    expect(page.get_by_role("button", name="Close revision 2")).to_be_visible()
    assert tomllib.loads(holding(site.workshop, "job", JOB).revision.text)["job"]["revision"] == 2
    assert page.request.get(archive).body() == first


def test_a_new_shop_is_priced_in_two_figures_or_from_the_example_which_stays_marked(site: Served, page: Page) -> None:
    quoted = f'{job_text()}\n[quote.work.lapping]\noperation = "lap"\n'
    start(site.workshop, "job", "teal", quoted, "test")
    place = f"{site.address}/jobs/teal/at/parcel-out"
    page.route("**/paper*", lambda route: route.fulfill(body="", content_type="text/html"))  # its sheets take seconds
    page.goto(place)
    settled(page)
    expect(page.locator("main .band")).to_contain_text("No price yet.")
    page.get_by_role("link", name="Put in the shop's prices").click()
    settled(page)
    assert faults_of_access(page) == []
    page.get_by_role("button", name="Start from the example's figures").click()
    settled(page)
    rows = page.locator("#prices-rows tr")
    expect(rows).to_have_count(12)  # hour, least charge, three weights of post, seven of the stock
    expect(rows.first).to_contain_text("32.00 GBP, assumed")
    assert faults_of_access(page) == []
    page.goto(place)
    settled(page)
    expect(page.locator("main .band")).to_contain_text("A draft.")
    page.get_by_role("link", name="Put in the shop's own prices").click()
    mine = page.get_by_label("Your price: An hour's work")
    mine.fill("dear")
    mine.press("Enter")
    expect(page.locator("#prices-faults")).to_contain_text("Not saved.")
    page.locator("#prices-faults").get_by_role("button", name="Leave it as it was").click()
    for label, typed in (("An hour's work", "36,50"), ("Post inland, up to 1 kg", "9.10")):
        mine = page.get_by_label(f"Your price: {label}")
        mine.fill(typed)
        mine.press("Tab")
        expect(mine).to_have_count(0)
    settled(page)
    expect(rows).to_have_count(10)
    page.get_by_role("button", name="What is left here is our own price").click()
    settled(page)
    expect(page.locator("#prices-own")).to_contain_text("36.50 GBP an hour")
    pricing = tomllib.loads(holding(site.workshop, "shop", SHOP).revision.text)["pricing"]
    assert (pricing["rate"], pricing["minimum"], "assumed" in pricing) == ("36.50", "45.00", False)
    assert [band["price"] for band in pricing["post"]["inland"]["bands"]] == ["5.90", "9.10", "11.20"]
    for revision in (4, 3, 2, 1):  # back to a shop without prices
        page.get_by_role("button", name="Undo").click()
        expect(page.locator("#saved")).to_have_text(f"Saved, revision {revision}")
    page.get_by_label("Currency").first.fill("eur")
    page.get_by_label("An hour's work", exact=True).fill("40")
    page.get_by_role("button", name="Keep these prices").click()
    settled(page)
    assert tomllib.loads(holding(site.workshop, "shop", SHOP).revision.text)["pricing"] == {
        "currency": "EUR", "rate": "40",
    }  # fmt: skip


LABELLED = """
format = 1
[job]
name = "greylag-feed"
owner = "H. Wrenfield"
date = 2026-03-14
[engine]
name = "Greylag"
working_pressure = "80 psi"
[parcel.lines.elbow]
what = "elbow, sheared"
bag = "A"
[parcel.lines.balls]
what = "ball"
count = 2
bag = "B 2"
one_way = "small end towards the boiler"
"""


def test_a_label_opens_the_job_at_its_bag_after_the_passcode(
    browser: Browser, tmp_path_factory: pytest.TempPathFactory
) -> None:
    with served(tmp_path_factory.mktemp("labels") / "workshop", network=True) as site:
        set_passcode(site.workshop, "kettle on the hob")
        # The label bears the name its document gives; on the rack it may hang under another.
        start(site.workshop, "job", "shelf-name", LABELLED, "test")
        shop = assumed_shop().model_copy(update={"pages": site.address})
        label = address(read_job(LABELLED), shop, "B 2")
        assert label == f"{site.address}/jobs/greylag-feed#bag-B%202"
        page = browser.new_page(viewport={"width": 390, "height": 700})
        page.goto(label)
        page.get_by_label("Passcode").fill("kettle on the hob")
        page.get_by_role("button", name="Come in").click()
        bag = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name="Bag B 2"))
        expect(bag).to_be_in_viewport()
        expect(bag).to_have_class("sheet bag wanted")
        expect(bag).to_contain_text("2 × ball")
        expect(bag).to_contain_text("small end towards the boiler")
        assert page.url == f"{site.address}/jobs/shelf-name#bag-B%202"
        settled(page)
        expect(bag).to_be_in_viewport()
        page.close()
