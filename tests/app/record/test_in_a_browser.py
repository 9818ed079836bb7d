"""An export opened from the disk in a real browser that has no network."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.app.record.conftest import fill
from tests.app.record.test_export import exported, the_folder
from tests.app.records_house import open_house
from tests.services.ground import Ground

sync_api = pytest.importorskip("playwright.sync_api")
axe = pytest.importorskip("axe_core_python.sync_playwright")
CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs the browser chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SIZES = {"phone": (390, 844), "desktop": (1280, 900)}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("browser")
    house = open_house(Ground(folder / "home"))
    fill(house)
    exported(house, folder / "out")
    house.archive.close()
    return folder / "out"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


@pytest.fixture(params=[(size, scheme) for size in SIZES for scheme in ("light", "dark")], ids="-".join)
def page(request: pytest.FixtureRequest, browser: Any) -> Iterator[Any]:
    size, scheme = request.param
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, offline=True
    )
    opened = context.new_page()
    opened.asked, opened.said = [], []
    opened.on("request", lambda one: opened.asked.append(one.url))
    opened.on("console", lambda one: opened.said.append(one.text))
    opened.on("requestfailed", lambda one: opened.said.append(f"failed {one.url}"))
    yield opened
    context.close()


def test_every_page_and_picture_opens_and_nothing_is_asked_of_the_network(page: Any, out: Path) -> None:
    page.goto((out / "index.html").as_uri())
    page.get_by_role("link", name="ZZ-GWT").click()
    assert page.get_by_role("heading", name="ZZ-GWT: landing gear inspection").is_visible()
    pictures = page.locator("img")
    assert pictures.count() == 2
    for number in range(pictures.count()):
        pictures.nth(number).scroll_into_view_if_needed()
        pictures.nth(number).evaluate("one => one.decode()")
    assert page.said == []
    assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []


def test_nothing_is_wider_than_the_screen_and_nothing_hinders_who_cannot_see_it(page: Any, out: Path) -> None:
    page.goto((the_folder(out) / "index.html").as_uri())
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    found = axe.Axe().run(page)["violations"]
    assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == []
    assert page.locator("script").count() == 0


def test_every_link_leads_to_a_file_of_the_export(out: Path, browser: Any) -> None:
    context = browser.new_context(offline=True, java_script_enabled=False)
    page = context.new_page()
    start = the_folder(out) / "index.html"
    page.goto(start.as_uri())
    links = {one.get_attribute("href") for one in page.locator("a").all()}
    context.close()
    files = [link for link in links if link and not link.startswith("#")]
    assert len(files) >= 9
    assert all((start.parent / link).resolve().is_file() for link in files)
