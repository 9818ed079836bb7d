"""A test's eyes and fingers: what the screen shows, where a target is on it, touches on the glass."""

import json
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.browser.components.targets import found_in

Point = tuple[float, float]
"""CSS px of the viewport."""


class Screen:
    """A page with the widget `place_points`, seen and touched from outside."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.ratio: float = page.evaluate("devicePixelRatio")
        self.cdp = page.context.new_cdp_session(page)
        self.show()

    # ---- eyes

    def grey(self, selector: str) -> tuple[NDArray[np.uint8], Point]:
        """Picture of an element, and the viewport place of its upper left corner."""
        box = self.page.locator(selector).bounding_box()
        left, top = round(box["x"] * self.ratio), round(box["y"] * self.ratio)
        right = round((box["x"] + box["width"]) * self.ratio)
        bottom = round((box["y"] + box["height"]) * self.ratio)
        coded = np.frombuffer(self.page.screenshot(), dtype=np.uint8)
        whole = cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE)
        return whole[top:bottom, left:right], (left / self.ratio, top / self.ratio)

    def target(self, which: int = 0, side: int = 10) -> Point:
        """Find the target that is `which`-th from the top, whose quarters show at `side` CSS px or more."""
        picture, (left, top) = self.grey(".pane > canvas")
        half = int(side * self.ratio)
        quarters = np.kron(np.array([[1, -1], [-1, 1]]), np.ones((half, half))).astype(np.float32)
        alike = cv2.matchTemplate(picture.astype(np.float32), quarters, cv2.TM_CCOEFF_NORMED)
        peaks: list[Point] = []
        for _ in range(which + 3):
            _, best, _, (x, y) = cv2.minMaxLoc(alike)
            if best < 0.8:
                break
            peaks.append((x + half - 0.5, y + half - 0.5))
            alike[max(0, y - 2 * half) : y + 2 * half, max(0, x - 2 * half) : x + 2 * half] = -1
        assert len(peaks) > which, "the target is not seen on the screen"
        x, y = found_in(picture, sorted(peaks, key=lambda peak: peak[1])[which], max(2, half // 2))
        return left + (x + 0.5) / self.ratio, top + (y + 0.5) / self.ratio

    def mark(self) -> Point:
        """Find the only mark: what goes from the picture when it is cleared.  It is put back."""
        with_mark, (left, top) = self.grey(".pane > canvas")
        self.press("Clear all marks")
        without, _ = self.grey(".pane > canvas")
        self.press("Undo")
        rows, columns = np.nonzero(cv2.absdiff(with_mark, without) > 12)
        # The arms reach farthest in all four directions, equally far.
        x, y = (columns.min() + columns.max()) / 2, (rows.min() + rows.max()) / 2
        return left + (x + 0.5) / self.ratio, top + (y + 0.5) / self.ratio

    # ---- fingers

    def touch(self, kind: str, *points: Point) -> None:
        fingers = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
        self.cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})

    def tap(self, point: Point) -> None:
        self.touch("touchStart", point)
        self.touch("touchEnd")

    def drag(self, start: Point, way: Point, steps: int = 8) -> None:
        self.touch("touchStart", start)
        for step in range(1, steps + 1):
            self.touch("touchMove", (start[0] + way[0] * step / steps, start[1] + way[1] * step / steps))
        self.touch("touchEnd")

    def pinch(self, middle: Point, spread: float, wider: float, steps: int = 10) -> None:
        """Two fingers about `middle`, from `spread` to `wider` CSS px apart."""
        x, y = middle
        for step in range(steps + 1):
            half = (spread + (wider - spread) * step / steps) / 2
            self.touch("touchMove" if step else "touchStart", (x - half, y), (x + half, y))
        self.touch("touchEnd")

    # ---- the widget

    def show(self) -> None:
        """Have the photo in the middle of the screen: pressing a button may have scrolled it away."""
        self.page.locator(".pane").evaluate("pane => pane.scrollIntoView({block: 'center'})")

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name).click()
        self.show()

    def press_in_vain(self, name: str) -> None:
        """Press a button that says of itself that it cannot be used now."""
        button = self.page.get_by_role("button", name=name)
        assert button.get_attribute("aria-disabled") == "true"
        button.click(force=True)
        self.show()

    def rest(self) -> None:
        """Wait until no piece of the photo is missing."""
        self.page.locator(".pane[aria-busy=false]").wait_for()

    def readout(self, mark: int) -> str:
        return str(self.page.locator(".mark").nth(mark).locator("span").inner_text())

    def places(self) -> Any:
        """What Python has."""
        return json.loads(self.page.locator('[data-testid="stCode"]').inner_text())

    def wait_for_places(self) -> Any:
        self.page.locator('[data-testid="stCode"]').filter(has_not_text="null").wait_for()
        return self.places()
