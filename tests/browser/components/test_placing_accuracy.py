"""A point that is seen is the point that is stored, by finger, mouse and keyboard.

The targets are found in pictures of the screen, not by the widget's own geometry, and
what Python gets is compared with where they were drawn in the photo.
"""

import math
from typing import Any

from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.components.conftest import OpenPlacing, Server
from tests.browser.components.screen import Screen
from tests.browser.components.targets import BAND, COLLAR, HEIGHT, WIDTH

LABELS = ("band, upper edge", "collar, lower rim")


def off(places: Any) -> float:
    """Largest error of both places along x or y, photo px."""
    pairs = zip(places, (BAND, COLLAR), strict=True)
    return max(max(abs(x - target.x), abs(y - target.y)) for (x, y), target in pairs)


def pinch_close(screen: Screen, which: int) -> None:
    """From the whole photo to about 4 CSS px a photo px, in two pinches."""
    screen.rest()
    screen.pinch(screen.target(which, side=5), 30, 200)
    screen.rest()
    screen.pinch(screen.target(side=20), 40, 240)
    screen.rest()


def test_taps_on_a_phone_after_a_pinch_are_right_to_half_a_pixel_and_load_no_whole_photo(
    open_placing: OpenPlacing, harness: Server
) -> None:
    screen = open_placing(PHONE)
    for mark, label in enumerate(LABELS):
        screen.press(label)
        screen.press("Whole photo")
        pinch_close(screen, mark)
        screen.tap(screen.target(side=30))
    screen.press("Use these places")
    assert off(screen.wait_for_places()) < 0.5

    loaded = [entry for entry in harness.told()["log"] if "tile" in entry]
    assert sum(entry["bytes"] for entry in loaded) < 3_000_000
    sharp = [entry for entry in loaded if entry["out"] == max(entry["w"], entry["h"])]
    assert sharp
    assert sum(entry["w"] * entry["h"] for entry in sharp) < WIDTH * HEIGHT / 3
    assert max(entry["out"] for entry in loaded) <= 512


def test_clicks_with_a_mouse_after_the_wheel_are_right_to_half_a_pixel(open_placing: OpenPlacing) -> None:
    screen = open_placing(DESKTOP)
    for mark, label in enumerate(LABELS):
        screen.press(label)
        screen.press("Whole photo")
        screen.rest()
        at = screen.target(mark, side=5)
        for side in (20, 40):
            screen.page.mouse.move(*at)
            for _ in range(5):
                screen.page.mouse.wheel(0, -150)
            screen.rest()
            at = screen.target(side=side)
        screen.page.mouse.click(*at)
    screen.press("Use these places")
    assert off(screen.wait_for_places()) < 0.5


def test_keys_alone_place_a_mark_to_a_tenth_of_a_pixel_where_the_picture_shows_it(
    open_placing: OpenPlacing,
) -> None:
    screen = open_placing(DESKTOP)
    keyboard = screen.page.keyboard
    screen.page.locator(".mark").first.focus()
    keyboard.press("Tab")
    keyboard.press("Tab")
    keyboard.press("n")
    keyboard.press("Enter")
    assert screen.readout(0) == "1499.5 across, 1999.5 down"
    for _ in range(6):
        keyboard.press("+")
    for _ in range(60):
        x, y = coordinates(screen)
        wanted = (round(BAND.x, 1) - x, round(BAND.y, 1) - y)
        if max(map(abs, wanted)) < 0.05:
            break
        way = max(wanted, key=abs)
        arrow = {True: ("ArrowRight", "ArrowLeft"), False: ("ArrowDown", "ArrowUp")}[way == wanted[0]][
            way < 0
        ]
        with_key = "Control+" if abs(way) > 60 else "Shift+" if abs(way) < 0.95 else ""
        for _ in range(1 if with_key == "Control+" else math.floor(abs(way)) or round(abs(way) * 10)):
            keyboard.press(f"{with_key}{arrow}")
    assert screen.readout(0) == "1123.4 across, 1310.8 down"
    for _ in range(2):
        keyboard.press("+")
    screen.rest()
    seen = screen.mark()
    screen.press("Clear all marks")
    shown = screen.target(side=20)
    scale = 2.6  # CSS px a photo px, at least, after eight presses of +
    assert math.dist(seen, shown) < 0.5 * scale


def coordinates(screen: Screen) -> tuple[float, float]:
    across, down = screen.readout(0).replace(" across", "").replace(" down", "").split(", ")
    return float(across), float(down)
