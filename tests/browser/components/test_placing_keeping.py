"""Pieces that do not come, pages that run again or are loaded again: what the person set stays."""

import pytest

from tests.browser.chromium import DESKTOP
from tests.browser.components.conftest import OpenPlacing, Server
from tests.browser.components.screen import Screen


def place_all(screen: Screen) -> None:
    for mark in (0, 1):
        screen.page.locator(".mark").nth(mark).focus()
        for _ in range(2 + mark):
            screen.page.keyboard.press("ArrowRight")


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        (503, "A part of the photo did not load. Set no mark where it is missing or blurred."),
        (401, "Signed out: the photo is no longer shown. Sign in again in another tab."),
        (403, "The server does not show this photo (403)."),
    ],
)
def test_pieces_that_do_not_come_are_said_in_words_and_asked_for_again(
    open_placing: OpenPlacing, harness: Server, status: int, sentence: str
) -> None:
    harness.order(tile_answers=[status] * 2)
    screen = open_placing(DESKTOP)
    trouble = screen.page.locator(".trouble")
    trouble.get_by_text(sentence).wait_for()
    trouble.get_by_text("Trying again in").wait_for()
    trouble.wait_for(state="hidden")
    screen.rest()
    assert screen.target(2, side=5)
    assert [entry["tile"] for entry in harness.told()["log"]].count(status) == 2


def test_a_press_on_try_now_asks_again_at_once(open_placing: OpenPlacing, harness: Server) -> None:
    harness.order(tile_answers=[503] * 40)
    screen = open_placing(DESKTOP)
    now = screen.page.get_by_role("button", name="Try now")
    screen.page.get_by_text("Trying again in 4 s.").wait_for()
    harness.order()
    now.click()
    screen.rest()
    assert screen.target(0, side=5)


def test_places_stay_over_reruns_until_others_are_used(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP)
    place_all(screen)
    screen.press("Use these places")
    used = [[1500.5, 1999.5], [1501.5, 1999.5]]
    assert screen.wait_for_places() == used
    screen.page.keyboard.press("ArrowUp")
    screen.page.locator(".mark").first.focus()
    screen.page.keyboard.press("ArrowUp")
    screen.press("Run the page again")
    screen.page.wait_for_timeout(500)
    assert screen.places() == used, "a mark that is moved is not used before the person says so"
    assert screen.readout(0) == "1500.5 across, 1998.5 down"
    screen.press("Use these places")
    screen.page.get_by_text("1998.5]").wait_for()
    assert screen.places() == [[1500.5, 1998.5], [1501.5, 1999.5]]


def test_marks_outlive_a_reload_under_the_name_of_their_try_and_person_only(
    open_placing: OpenPlacing, harness: Server
) -> None:
    screen = open_placing(DESKTOP, {"keep": "inspector.try"})
    place_all(screen)
    screen.page.reload()
    screen.page.locator(".mark").first.wait_for()
    assert screen.readout(1) == "1501.5 across, 1999.5 down"
    for other in ({"keep": "another.try"}, {}):
        screen.page.goto(harness.placing(**other))
        screen.page.locator(".mark").first.wait_for()
        assert screen.readout(1) == "not placed"


def test_marks_that_are_used_but_not_stored_outlive_a_reload_and_wait_to_be_used_again(
    open_placing: OpenPlacing,
) -> None:
    screen = open_placing(DESKTOP, {"keep": "inspector.try"})
    place_all(screen)
    screen.press("Use these places")
    used = screen.wait_for_places()
    screen.page.reload()
    screen.page.locator(".mark").first.wait_for()
    assert screen.places() == [None, None]
    screen.press("Use these places")
    assert screen.wait_for_places() == used


def test_a_tab_that_keeps_nothing_is_asked_to_keep_nothing(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP)
    place_all(screen)
    assert (
        screen.page.evaluate("Object.keys(sessionStorage).filter((name) => name.startsWith('gearwitness'))")
        == []
    )
