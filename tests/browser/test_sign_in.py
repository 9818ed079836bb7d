"""Signing in and out in a real browser: nothing goes elsewhere, the cookie is out of reach, ends are ends."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from app.bootstrap.demo import PASSWORD
from tests.app.serving.processes import Server, server
from tests.browser.chromium import DESKTOP, PHONE

LIGHT_AND_DARK = ["light", "dark"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with server(tmp_path_factory.mktemp("demo") / "home", "demo") as running:
        yield running


@pytest.fixture
def page(chromium: Any, demo: Server) -> Iterator[Any]:
    context = chromium.new_context(**PHONE)
    yield context.new_page()
    context.close()


def sign_in(page: Any, demo: Server, where: str = "/") -> None:
    page.goto(f"{demo.url}{where}")
    page.get_by_role("button", name="Mechanic", exact=True).click()
    page.wait_for_selector("h1:not(:has-text('Gearwitness'))")


def test_no_request_leaves_the_machine_and_nothing_is_blocked(page: Any, demo: Server) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("websocket", lambda socket: asked.append(socket.url))
    page.on("console", lambda line: complaints.append(line.text) if line.type == "error" else None)
    sign_in(page, demo)
    page.wait_for_load_state("networkidle")
    assert any(url.startswith("ws://") for url in asked)
    places = {urlsplit(url).netloc for url in asked if urlsplit(url).scheme not in ("data", "blob")}
    assert places == {urlsplit(demo.url).netloc}
    assert [line for line in complaints if "Content Security Policy" in line] == []


def test_the_cookie_is_out_of_a_script_s_reach(page: Any, demo: Server) -> None:
    sign_in(page, demo)
    (cookie,) = (one for one in page.context.cookies() if one["name"] == "gw_session")
    assert cookie["httpOnly"]
    assert cookie["sameSite"] == "Strict"
    assert "gw_session" not in page.evaluate("document.cookie")


def test_one_comes_to_the_page_that_was_asked_for(page: Any, demo: Server) -> None:
    sign_in(page, demo, "/guide?x=1")
    assert urlsplit(page.url)[2:4] == ("/guide", "x=1")


def test_a_wrong_password_is_told_and_the_name_kept(page: Any, demo: Server) -> None:
    page.goto(demo.url)
    page.get_by_label("Name", exact=True).fill("Inspector")
    page.get_by_label("Password").fill("wrong one")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("alert").inner_text() == "Name or password is wrong: type both again."
    assert page.get_by_label("Name", exact=True).input_value() == "Inspector"
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_selector("h1:not(:has-text('Gearwitness'))")


def test_the_page_works_without_javascript(chromium: Any, demo: Server) -> None:
    context = chromium.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(demo.url)
    page.get_by_role("button", name="Mechanic", exact=True).click()
    page.wait_for_url(f"{demo.url}/")
    assert any(one["name"] == "gw_session" for one in context.cookies())
    context.close()


def test_after_signing_out_an_open_page_gets_nothing_more(page: Any, demo: Server) -> None:
    sockets: list[Any] = []
    page.on("websocket", lambda socket: sockets.append(socket))  # noqa: PLW0108 - a builtin is not taken
    sign_in(page, demo)
    kept = page.context.cookies()
    answer = page.context.request.post(f"{demo.url}/sign-out", headers={"origin": demo.url}, max_redirects=0)
    assert answer.status == 303
    page.context.add_cookies(kept)  # who kept the cookie has nothing of it
    page.get_by_role("link", name="Archive").first.click()
    sockets[0].is_closed() or sockets[0].wait_for_event("close", timeout=10_000)
    assert page.get_by_role("heading", name="Archive").count() == 0
    page.goto(f"{demo.url}/archive")
    assert urlsplit(page.url).path == "/sign-in"


@pytest.mark.parametrize("scheme", LIGHT_AND_DARK)
@pytest.mark.parametrize("screen", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_the_sign_in_page_is_for_everybody(
    chromium: Any, demo: Server, screen: dict[str, Any], scheme: str
) -> None:
    axe = pytest.importorskip("axe_core_python.sync_playwright", reason="axe-core-python is not installed")
    context = chromium.new_context(**screen, color_scheme=scheme)
    page = context.new_page()
    page.goto(demo.url)
    found = axe.Axe().run(page)["violations"]
    assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == []
    for target in page.get_by_role("button").all() + page.get_by_role("textbox").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    context.close()


def test_the_source_of_the_page_s_colours_is_the_screens_palette() -> None:
    from app.screens.palette import DARK, LIGHT  # noqa: PLC0415 - only this test needs it

    style = (Path(__file__).parents[2] / "app" / "serving" / "sign_in.css").read_text(encoding="utf-8")
    for name in ("paper", "sheet", "ink", "soft", "accent"):
        assert f"--{name}: light-dark({getattr(LIGHT, name)}, {getattr(DARK, name)});" in style
