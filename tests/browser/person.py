"""A person at a browser: what he sees, presses and waits for on the screens, page by page."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.browser.chromium import PHONE

ROOT = Path(__file__).resolve().parents[2]
IMAGES = ROOT / "demo_images"
SCREENSHOTS = os.environ.get("SCREENSHOTS")
"""A folder for pictures of every page, where somebody wants to look at them."""

SMALLEST_TARGET_PX = 44
WHOLE = 0.94
"""Of the pane that the whole photo fills (`view.js`)."""


class Person:
    """One signed-in person's browser; `faults` gathers what the browser complained about or fetched elsewhere."""

    def __init__(
        self, browser: Any, url: str, name: str, screen: dict[str, Any], theme: str, password: str = ""
    ) -> None:
        self.url = url
        self.name = name
        self.label = f"{'phone' if screen is PHONE else 'desktop'}-{theme}-{name.replace(' ', '').lower()}"
        self.context = browser.new_context(**screen, color_scheme=theme)
        self.page = self.context.new_page()
        self.page.set_default_timeout(30_000)
        self.faults: list[str] = []
        self.pictures = 0
        self.page.on("request", self._asked_for)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.goto(f"{url}/")
        self.look("sign-in")
        if password:
            self.page.get_by_label("Name", exact=True).fill(name)
            self.page.get_by_label("Password", exact=True).fill(password)
            self.page.get_by_role("button", name="Sign in", exact=True).click()
        else:  # one of the demo's identities
            self.page.get_by_role("button", name=name, exact=True).click()
        self.settled()

    def _asked_for(self, request: Any) -> None:
        if not request.url.startswith((self.url, "data:", "blob:")):
            self.faults.append(f"asked for {request.url}")

    # ---- going and waiting

    def go(self, path: str) -> None:
        self.page.goto(f"{self.url}{path}")
        self.settled()

    def reload(self) -> None:
        self.page.reload()
        self.settled()

    def settled(self) -> None:
        """Wait until Streamlit has drawn the page and runs nothing."""
        self.page.locator(".gw-block").first.wait_for()
        self.page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()

    def sees(self, words: str) -> None:
        """Wait until these words are on the page."""
        self.page.get_by_text(words).first.wait_for()

    def does_not_see(self, words: str) -> None:
        assert words not in self.words(), words

    def words(self) -> str:
        return str(self.page.locator(".stMain").inner_text())

    # ---- doing

    def choose(self, label: str, option: str) -> None:
        """Choose in a list that folds out."""
        field = self.page.get_by_role("combobox", name=label).first
        field.wait_for()
        self.settled()
        wanted = self.page.get_by_role("option", name=option, exact=True).first
        # In the middle of the screen: the list folds up again when the page is scrolled for it.
        field.evaluate("one => one.scrollIntoView({block: 'center'})")
        field.click()
        self.page.wait_for_timeout(500)
        if not wanted.is_visible():  # a field that has the focus already does not fold out by itself
            field.press("ArrowDown")
        wanted.click()
        self.page.wait_for_timeout(400)  # until the choice has begun to be drawn
        self.settled()

    def unfold(self, title: str) -> None:
        self.page.locator("summary").filter(has_text=title).first.click()

    def press(self, name: str, which: int = 0) -> None:
        self.page.get_by_role("button", name=name, exact=True).nth(which).click()

    def try_now(self) -> None:
        """Press "Try now", unless the page's own next try has just come before it and the button is gone."""
        button = self.page.get_by_role("button", name="Try now", exact=True)
        for one in button.all():
            one.evaluate("one => one.hidden || one.click()")

    def press_on_leg(self, position: str, name: str) -> None:
        row = self.page.locator("[class*=st-key-gw-leg-]").filter(has_text=position)
        row.get_by_role("button", name=name).click()

    def tick_all(self) -> None:
        boxes = self.page.locator(".stCheckbox label")
        boxes.first.wait_for()  # Streamlit loads each kind of widget when it is first needed
        for box in boxes.all():
            box.click()
            mark = box.locator("input")
            for _ in range(3):  # a page that is just being drawn anew loses a tap
                self.page.wait_for_timeout(100)
                if mark.is_checked():
                    break
                self.page.wait_for_timeout(1000)
                if not mark.is_checked():
                    box.click()

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)

    def hand_over(self, photo: Path) -> None:
        """Choose a photo in the widget, as the camera would hand it over."""
        self.page.locator(".sending input[type=file]").set_input_files(str(photo))

    def place(self, mark: int, x: float, y: float) -> None:
        """Set a mark on a point of the photo: a tap in the whole photo, a closer look, then the keys."""
        self.page.locator(".mark").nth(mark).click()
        self.page.get_by_role("button", name="Whole photo").click()
        pane = self.page.locator(".pane")
        pane.focus()
        self.page.keyboard.press("Enter")  # the mark goes to the middle of the view
        for _ in range(4):
            self.page.keyboard.press("+")
        self._nudge(mark, x, 0, ("ArrowLeft", "ArrowRight"))
        self._nudge(mark, y, 1, ("ArrowUp", "ArrowDown"))

    def place_some(self, points: Sequence[tuple[float, float]], size: tuple[int, int]) -> None:
        """Set a mark on each point of a photo of that size: a tap brings the photo closer, a second one sets it."""
        pane = self.page.locator(".pane")
        pane.wait_for()
        for number, (x, y) in enumerate(points):
            self.page.get_by_role("button", name="Whole photo").click()
            pane.evaluate("pane => pane.scrollIntoView({block: 'center'})")
            box = pane.bounding_box()
            scale = WHOLE * min(box["width"] / size[0], box["height"] / size[1])
            across = box["x"] + box["width"] / 2 + (x - (size[0] - 1) / 2) * scale
            down = box["y"] + box["height"] / 2 + (y - (size[1] - 1) / 2) * scale
            for _ in range(2):
                self.page.mouse.click(across, down)
                self.page.wait_for_timeout(400)  # two quick ones would be one deed
            pane.focus()
            self._nudge(number, x, 0, ("ArrowLeft", "ArrowRight"))
            self._nudge(number, y, 1, ("ArrowUp", "ArrowDown"))

    def _nudge(self, mark: int, wanted: float, axis: int, keys: tuple[str, str]) -> None:
        """Move the mark along one axis: in far steps, then in whole pixels, then in tenths."""
        step = 0.0
        while abs(way := wanted - self.readout(mark)[axis]) > max(step, 40):
            self.page.keyboard.press("Control+" + keys[way > 0])
            self.page.wait_for_timeout(50)
            step = abs(wanted - way - self.readout(mark)[axis])
            if step == 0:  # at the photo's edge
                break
        for step, more in ((1.0, ""), (0.1, "Shift+")):
            way = wanted - self.readout(mark)[axis]
            for _ in range(round(abs(way) / step)):
                self.page.keyboard.press(more + keys[way > 0])
            self.page.wait_for_timeout(50)

    def readout(self, mark: int) -> tuple[float, float]:
        across, down = self.page.locator(".mark").nth(mark).locator("span").inner_text().split(",")
        return float(across.split()[0]), float(down.split()[0])

    # ---- looking

    def look(self, name: str) -> None:
        """Take a picture of the whole page for who looks at it later; costs nothing where nobody will."""
        if SCREENSHOTS is None:
            return
        self.pictures += 1
        self.page.wait_for_timeout(700)
        size = self.page.viewport_size
        height = self.page.evaluate(
            "document.querySelector('.stMain')?.scrollHeight ?? document.body.scrollHeight"
        )
        self.page.set_viewport_size({"width": size["width"], "height": max(height, size["height"])})
        self.page.wait_for_timeout(400)
        target = Path(SCREENSHOTS) / f"{self.label}-{self.pictures:02d}-{name}.png"
        self.page.screenshot(path=str(target))
        self.page.set_viewport_size(size)

    def sideways(self) -> int:
        """How far the page reaches beyond the screen's right edge, CSS px."""
        return int(
            self.page.evaluate("(m => m.scrollWidth - m.clientWidth)(document.querySelector('.stMain'))")
        )

    def small_targets(self) -> list[str]:
        """What can be pressed and is smaller than a gloved finger meets."""
        return [str(one) for one in self.page.evaluate(_SMALL, SMALLEST_TARGET_PX)]

    def axe(self, axe: Any) -> list[str]:
        """What is wrong on this page for people who see, hear or reach less well."""
        return serious(self.page, axe)


def serious(page: Any, axe: Any) -> list[str]:
    """Serious and critical violations, less those of Streamlit's own making (`NOT_OURS`).

    Words and values stand out 7:1 (WCAG 2.2, 1.4.6), the words on buttons 4.5:1 (1.4.3).
    """
    # Not by the package's `run`, which writes options down as Python's True.
    page.evaluate(axe.axe_script)
    # Of what is as it should be only a first example is worked out in full: nobody reads those.
    asked = {"rules": {SEVEN_TO_ONE: {"enabled": True}}, "resultTypes": ["violations"]}
    found = page.evaluate("options => axe.run(options)", asked)["violations"]
    return [
        f"{one['id']}: {node['html'][:200]}"
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
        if (one["id"], True) not in ((rule, mark in node["html"]) for rule, mark in NOT_OURS)
        and not (one["id"] == SEVEN_TO_ONE and _is_on_a_button(page, node["target"][0]))
    ]


def _is_on_a_button(page: Any, selector: str) -> bool:
    return bool(page.evaluate("s => !!document.querySelector(s)?.closest('button')", selector))


SEVEN_TO_ONE = "color-contrast-enhanced"

NOT_OURS: tuple[tuple[str, str], ...] = ()
"""Rule and what its element holds: violations of Streamlit's own markup, which no page of ours can mend."""

_SMALL = """least => [...document.querySelectorAll(
    '.stMain button, .stMain a[href], .stMain input:not([type=hidden]), .stMain summary, .stMain label:has(input)')]
  .filter(e => e.offsetParent !== null && !e.disabled && getComputedStyle(e).visibility !== 'hidden')
  .map(e => [e, e.getBoundingClientRect()])
  .filter(([e, r]) => r.width > 1 && r.height > 1 && (r.height < least - 0.5 || r.width < least - 0.5))
  .filter(([e]) => !e.closest('label:has(input)') || e.matches('label'))
  .map(([e, r]) => `${e.outerHTML.slice(0, 140)} ${Math.round(r.width)}x${Math.round(r.height)}`)"""
