"""What was typed is still there after a reload and a server that died, and gone once it was entered."""

import time
from collections.abc import Callable

import pytest

from app.inspection import Try
from tests.browser.person import Person
from tests.browser.shop_server import PASSWORD
from tests.browser.test_gathering import PHOTOS, Shop, person, pick, shop

__all__ = ["person", "shop"]
WHY = "Why it shows this leg under this condition"
TYPED = "Taken on the ramp an hour ago, no network there."


@pytest.fixture
def one(person: Callable[..., Person]) -> Person:
    found = person("Mechanic")
    pick(found, PHOTOS[:1])
    found.page.get_by_label(WHY, exact=True).wait_for()
    found.page.locator(".keeping").wait_for(state="attached")
    found.settled()
    found.page.get_by_label(WHY, exact=True).click()
    found.page.keyboard.type(TYPED)
    found.page.wait_for_timeout(300)
    return found


def why(one: Person, wanted: str = TYPED) -> str:
    """What stands in the field, once it is what is wanted or has had its time."""
    field = one.page.get_by_label(WHY, exact=True)
    field.wait_for()
    one.settled()
    one.page.wait_for_timeout(1000)
    patience = time.monotonic() + 10
    while field.input_value() != wanted and time.monotonic() < patience:
        one.page.wait_for_timeout(200)
    return str(field.input_value())


def stored(one: Person) -> str:
    return str(one.page.evaluate("JSON.stringify({...localStorage})"))


def test_words_survive_a_reload_and_a_restart_and_end_with_their_being_entered(
    one: Person, shop: Shop
) -> None:
    one.reload()
    assert why(one) == TYPED
    one.sees("Typed before and still to be entered")
    one.look("typed-before")
    shop.server.kill()
    one.page.wait_for_timeout(500)
    shop.server.start()
    one.reload()
    assert why(one) == TYPED
    # Refused first, because nothing is ticked: what was typed stays.
    one.press("Give it to the right main")
    one.sees("not stated yet")
    one.page.wait_for_timeout(800)
    one.reload()
    assert why(one) == TYPED
    one.tick_all()
    one.press("Give it to the right main")
    one.sees("Waiting for their leg: 0")
    one.page.wait_for_timeout(800)
    assert "ramp" not in stored(one)
    (given,) = shop.rows(Try)
    assert any(TYPED in line for line in given.statements)
    assert one.faults == []


def test_what_was_put_back_can_be_emptied_with_one_press(one: Person) -> None:
    one.reload()
    assert why(one) == TYPED
    one.press("Empty these fields")
    assert why(one, "") == ""
    one.reload()
    assert why(one, "") == ""


def test_another_person_on_the_same_phone_meets_nothing_of_it(one: Person, shop: Shop) -> None:
    one.page.context.clear_cookies()
    one.page.goto(f"{shop.server.url}/")
    one.page.get_by_label("Name", exact=True).fill("Mechanic 2")
    one.page.get_by_label("Password", exact=True).fill(PASSWORD)
    one.page.get_by_role("button", name="Sign in", exact=True).click()
    one.settled()
    one.go(shop.page)
    one.page.locator(".gallery .pick").wait_for()
    pick(one, PHOTOS[:1])
    assert why(one, "") == ""


def test_a_password_is_kept_nowhere(one: Person) -> None:
    one.go("/")
    one.press_on_leg("Right main", "Photograph")
    one.sees("Go on to the photo")
    one.settled()
    one.tick_all()
    one.press("Go on to the photo")
    one.page.get_by_text("No photo possible").click()
    one.page.locator("input[type=password]").first.wait_for()
    one.settled()
    one.page.locator("input[type=password]").first.click()
    one.page.keyboard.type(PASSWORD)
    one.page.get_by_label("Instrument").first.click()
    one.page.keyboard.type("Rule R-7")
    one.page.wait_for_timeout(300)
    assert "Rule R-7" in stored(one)
    assert PASSWORD not in stored(one)
    one.reload()
    one.page.locator("input[type=password]").first.wait_for()
    one.page.wait_for_timeout(1000)
    assert one.page.get_by_label("Instrument").first.input_value() == "Rule R-7"
    assert one.page.locator("input[type=password]").first.input_value() == ""
