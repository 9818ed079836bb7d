"""As many places as a person wants: tap by tap, chosen, moved, removed, used, and kept over a reload."""

import pytest

from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.components.conftest import OpenPlacing
from tests.browser.components.screen import Screen
from tests.browser.components.targets import BAND, COLLAR

ASKED = {"some": "place along the hose", "most": "3", "keep": "person.some"}


@pytest.fixture
def screen(open_placing: OpenPlacing) -> Screen:
    """A phone with the whole photo, nothing set; the first mark's button is there and hidden."""
    return opened(open_placing)


def opened(open_placing: OpenPlacing, kind: dict[str, object] = PHONE) -> Screen:
    found = open_placing(kind, ASKED)
    found.rest()
    return found


def set_marks(screen: Screen) -> list[str]:
    return [
        one.locator("span").inner_text() for one in screen.page.locator(".mark").all() if one.is_visible()
    ]


def hint(screen: Screen) -> str:
    return str(screen.page.locator(".hint").inner_text())


def two_set(screen: Screen) -> Screen:
    """Set a mark on the first and on the second target."""
    for which in (0, 1):
        screen.tap(screen.target(which, side=5))  # comes closer
        screen.rest()
        screen.tap(screen.target(side=20))
        screen.rest()
        if which == 0:
            screen.press("Whole photo")
            screen.rest()
    return screen


def test_a_tap_from_afar_comes_closer_and_sets_nothing(screen: Screen) -> None:
    screen.tap(screen.target(0, side=5))
    screen.rest()
    assert set_marks(screen) == []
    assert "came closer" in hint(screen)
    screen.tap(screen.target(side=20))
    (place,) = set_marks(screen)
    assert [float(word.split()[0]) for word in place.split(", ")] == pytest.approx([BAND.x, BAND.y], abs=3)


def test_taps_set_one_mark_after_the_other_and_using_hands_them_over_in_order(screen: Screen) -> None:
    assert "Tap the first place along the hose" in hint(screen)
    screen.press_in_vain("Use these places")
    two_set(screen)
    assert "2 set. Tap the next place along the hose, or use these places." in hint(screen)
    screen.press("Use these places")
    places = screen.wait_for_places()
    assert [place[1] for place in places] == pytest.approx([BAND.y, COLLAR.y], abs=3)


def test_a_tap_on_a_mark_chooses_it_and_remove_takes_just_it_away(screen: Screen) -> None:
    two_set(screen)
    second = set_marks(screen)[1]
    screen.page.locator(".mark").nth(0).click()
    screen.press("Remove this mark")
    assert set_marks(screen) == [second]
    screen.press("Undo")
    assert len(set_marks(screen)) == 2


def test_no_more_than_the_most_are_taken(screen: Screen) -> None:
    two_set(screen)
    box = screen.page.locator(".pane").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    screen.tap((x, y + 90))
    assert "3 set. Check each, then use these places." in hint(screen)
    screen.tap((x, y - 90))
    assert len(set_marks(screen)) == 3
    assert "3 are set, and no more are taken" in hint(screen)


def test_they_are_there_after_a_reload(screen: Screen) -> None:
    two_set(screen)
    before = set_marks(screen)
    screen.page.reload()
    screen.page.locator(".mark").first.wait_for(state="attached")
    assert set_marks(screen) == before


def test_keys_alone_set_and_remove(open_placing: OpenPlacing) -> None:
    screen = opened(open_placing, DESKTOP)
    screen.page.locator(".pane").focus()
    for _ in range(4):
        screen.page.keyboard.press("+")
    screen.page.keyboard.press("Enter")
    assert len(set_marks(screen)) == 1
    for _ in range(3):
        screen.page.keyboard.press("Control+ArrowDown")
    screen.page.keyboard.press("0")
    for _ in range(4):
        screen.page.keyboard.press("+")
    screen.page.keyboard.press("Delete")
    assert set_marks(screen) == []
