"""What fingers, keys and buttons do to the marks and the view."""

import pytest

from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.components.conftest import OpenPlacing
from tests.browser.components.screen import Screen

BAND, COLLAR = "band, upper edge", "collar, lower rim"


@pytest.fixture
def close(open_placing: OpenPlacing) -> Screen:
    """A phone that shows the first target at about 1.5 CSS px a photo px, nothing placed."""
    screen = open_placing(PHONE)
    screen.rest()
    screen.pinch(screen.target(0, side=5), 20, 280)
    screen.rest()
    return screen


def test_a_drag_moves_the_mark_by_a_quarter_of_the_fingers_way(close: Screen) -> None:
    close.tap(close.target(side=40))
    before = close.mark()
    close.drag(before, (80, -120))
    after = close.mark()
    assert after[0] - before[0] == pytest.approx(20, abs=0.7)
    assert after[1] - before[1] == pytest.approx(-30, abs=0.7)


def test_a_drag_that_begins_beside_the_mark_moves_it_by_the_same_way_and_not_to_the_finger(
    close: Screen,
) -> None:
    close.tap(close.target(side=40))
    x, y = close.mark()
    close.drag((x + 20, y + 20), (40, 0))
    moved = close.mark()
    assert moved == pytest.approx((x + 10, y), abs=0.7)


def test_a_drag_elsewhere_moves_the_photo_and_no_mark(close: Screen) -> None:
    at = close.target(side=40)
    close.tap((at[0] - 70, at[1]))
    readout = close.readout(0)
    close.drag((at[0] + 60, at[1] + 60), (30, 24))
    close.rest()
    assert close.readout(0) == readout
    assert close.target(side=40) == pytest.approx((at[0] + 30, at[1] + 24), abs=0.7)


def test_what_lies_between_two_fingers_stays_between_them(close: Screen) -> None:
    at = close.target(side=40)
    close.pinch(at, 100, 160)
    close.rest()
    assert close.target(side=40) == pytest.approx(at, abs=1)


def test_two_fingers_carry_the_photo_with_them(close: Screen) -> None:
    x, y = close.target(side=40)
    close.touch("touchStart", (x - 50, y), (x + 50, y))
    for step in range(1, 9):
        close.touch("touchMove", (x - 50 + 5 * step, y + 3 * step), (x + 50 + 5 * step, y + 3 * step))
    close.touch("touchEnd")
    close.rest()
    assert close.target(side=40) == pytest.approx((x + 40, y + 24), abs=1)
    assert close.readout(0) == "not placed"


def test_two_quick_taps_go_closer_and_place_nothing(close: Screen) -> None:
    close.press("Whole photo")
    close.rest()
    at = close.target(0, side=5)
    close.tap(at)
    close.tap(at)
    close.rest()
    assert close.readout(0) == "not placed"
    assert close.target(side=15) == pytest.approx(at, abs=3)


def test_a_long_rest_of_a_finger_places_nothing(close: Screen) -> None:
    at = close.target(side=40)
    close.touch("touchStart", at)
    close.page.wait_for_timeout(900)
    close.touch("touchEnd")
    assert close.readout(0) == "not placed"


def test_undo_goes_back_one_deed_by_button_and_by_key(close: Screen) -> None:
    x, y = close.target(side=40)
    close.tap((x, y))
    first = close.readout(0)
    close.page.wait_for_timeout(400)
    close.tap((x + 60, y))
    second = close.readout(0)
    close.drag((x + 60, y), (40, 40))
    assert close.readout(0) not in (first, second)
    close.press("Undo")
    assert close.readout(0) == second
    close.page.keyboard.press("Control+z")
    assert close.readout(0) == first
    close.page.keyboard.press("Control+z")
    assert close.readout(0) == "not placed"


def test_a_drag_with_a_rest_in_it_is_one_step_back(close: Screen) -> None:
    x, y = close.target(side=40)
    close.tap((x, y))
    before = close.readout(0)
    close.touch("touchStart", (x, y))
    close.touch("touchMove", (x + 30, y))
    close.page.wait_for_timeout(1100)
    close.touch("touchMove", (x + 60, y))
    close.touch("touchEnd")
    assert close.readout(0) != before
    close.press("Undo")
    assert close.readout(0) == before


def test_clear_takes_all_marks_away_and_can_be_taken_back(close: Screen) -> None:
    close.tap(close.target(side=40))
    placed = close.readout(0)
    close.press("Clear all marks")
    assert close.readout(0) == "not placed"
    close.press("Undo")
    assert close.readout(0) == placed


def test_arrow_buttons_move_by_one_pixel_or_a_tenth(close: Screen) -> None:
    close.tap(close.target(side=40))
    across = float(close.readout(0).split()[0])
    close.press("Right")
    close.press("Step 1 px")
    close.press("Right")
    assert float(close.readout(0).split()[0]) == pytest.approx(across + 1.1, abs=0.051)


def test_only_the_active_mark_moves(close: Screen) -> None:
    x, y = close.target(side=40)
    close.tap((x, y))
    first = close.readout(0)
    close.press(COLLAR)
    close.tap((x + 60, y))
    assert close.readout(0) == first
    assert close.readout(1) != "not placed"


def test_places_set_from_afar_or_missing_are_not_used_and_the_reason_is_said(
    open_placing: OpenPlacing,
) -> None:
    screen = open_placing(PHONE)
    hint = screen.page.locator(".hint")
    screen.rest()
    screen.press_in_vain("Use these places")
    assert hint.inner_text() == "Mark 1, band, upper edge: not placed. Choose it and tap its place."
    screen.tap(screen.target(0, side=5))
    screen.press(COLLAR)
    screen.tap(screen.target(0, side=5))
    screen.press_in_vain("Use these places")
    expected = "Mark 1, band, upper edge: set from afar. Choose it, go closer and set it again."
    assert hint.inner_text() == expected
    assert screen.places() == [None, None]


def test_tab_and_n_choose_marks_and_the_coordinates_are_spoken(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP)
    page, marks = screen.page, screen.page.locator(".mark")
    marks.first.focus()
    page.keyboard.press("Tab")
    assert marks.nth(1).get_attribute("aria-pressed") == "true"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.locator(".spoken").filter(
        has_text="Mark 2, collar, lower rim: 1500.5 across, 1999.5 down."
    ).wait_for(state="attached")
    page.keyboard.press("Tab")
    page.keyboard.press("n")
    assert marks.first.get_attribute("aria-pressed") == "true"
    page.keyboard.press("Tab")
    focused = page.evaluate("document.activeElement.shadowRoot.activeElement.textContent")
    assert focused == "Farther", "Tab leads on from the photo: it is no trap"


def test_the_wheel_scrolls_the_page_again_at_the_end_of_the_zoom(open_placing: OpenPlacing) -> None:
    screen = open_placing({**DESKTOP, "viewport": {"width": 1000, "height": 500}})
    box = screen.page.locator(".pane").bounding_box()
    screen.page.mouse.move(box["x"] + 100, box["y"] + 100)
    before = screen.page.locator(".pane").bounding_box()["y"]
    screen.page.mouse.wheel(0, 200)
    screen.page.wait_for_timeout(300)
    assert screen.page.locator(".pane").bounding_box()["y"] < before


def test_any_number_of_marks_is_placed_alike(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP, {"label": ["upper", "middle", "lower"]})
    screen.page.locator(".pane").focus()
    for _ in range(3):
        screen.page.keyboard.press("Enter")
        screen.page.keyboard.press("ArrowLeft")
        screen.page.keyboard.press("n")
    screen.press("Use these places")
    assert screen.wait_for_places() == [[1498.5, 1999.5]] * 3


def test_marks_are_told_apart_by_form_and_not_by_colour_alone(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP)
    inked = "c => [...c.getContext('2d').getImageData(0, 0, c.width, c.height).data].map((v, i) => i % 4 == 3 && v > 99)"
    first, second = (screen.page.locator(".mark canvas").nth(i).evaluate(inked) for i in (0, 1))
    assert sum(a != b for a, b in zip(first, second, strict=True)) > 0.5 * sum(first)
