"""A person at work on a whole visit in the browser, whose pages are looked at and whose taps are counted."""

from contextlib import suppress
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from app.screens.visit_steps.condition import OPENED
from tests.browser.person import Person
from tests.browser.shop_server import PASSWORD, ShopServer
from tests.browser.test_two_people import Checked

Overdue = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: pip install '.[test]'"
).TimeoutError
STILL_MS = 200
"""A page on which nothing has changed and nothing has run for so long is at rest."""

RETRIES, LOST_MS = 2, 4000
"""How often a press is made again, and after how long without an answer."""
ELSEWHERE = "before => location.href !== before"


class Worker(Checked):
    """A person at work on the visit, every page of whom is looked at."""

    def __init__(self, chromium: Any, shop: ShopServer, name: str, screen: Any, theme: str, axe: Any) -> None:
        super().__init__(Person(chromium, shop.url, name, screen, theme, PASSWORD), axe)
        self.taps = 0
        self.visit = ""
        """Id of the visit this person is in, once he has come to it."""

    def press(self, name: str, which: int = 0) -> None:
        """Press when nothing is being drawn any more: a button that is replaced meanwhile loses the tap."""
        self.settled()
        self.person.press(name, which)
        self.taps += 1
        self.settled()

    def onward(self, name: str) -> None:
        """Press what leads to another item: wait until the address is another."""
        self.settled()
        before = self.person.page.url
        self.person.press(name)
        button = self.person.page.get_by_role("button", name=name, exact=True)
        for _ in range(RETRIES):  # on a busy machine a button that is just being replaced loses the tap
            with suppress(Overdue):
                self.person.page.wait_for_function(ELSEWHERE, arg=before, timeout=LOST_MS)
                break
            if button.count():
                self.person.press(name)
        self._came_on(before)

    def _came_on(self, before: str) -> None:
        self.taps += 1
        self.person.page.wait_for_function(ELSEWHERE, arg=before)
        self.settled()

    def settled(self) -> None:
        """Wait until the page has stood still for a moment: a press is answered a little after it was made."""
        self.person.settled()
        self.person.page.evaluate(STANDS_STILL, STILL_MS)

    def begin(self) -> None:
        """Go on with the visit and read the opening card."""
        self.enter("Go on with the visit")
        self.page("hub-first", "Read the opening card")
        self.press("Read the opening card")
        self.page("opening", "Look round first.")
        self.press(OPENED)
        self.person.page.get_by_text("Look round first.").first.wait_for(state="hidden")
        self.hub()

    def enter(self, way: str) -> None:
        """Come to the visit from the first page, by this button."""
        self.person.go("/")
        self.onward(way)
        (self.visit,) = parse_qs(urlsplit(self.person.page.url).query)["visit"]

    def hub(self) -> None:
        """Go to the visit's own page, by its address."""
        self.person.go(f"/visit?visit={self.visit}")
        self.person.sees("In this visit")

    def hub_signed(self) -> None:
        """Go to the page of a visit that is signed off, by its address."""
        self.person.go(f"/visit?visit={self.visit}")
        self.person.sees("Signed off")

    def state(self, title: str, **told: str) -> None:
        """State a condition."""
        self.hub()
        self.person.page.locator(".st-key-condition button").click()
        self.person.sees("How does the aircraft stand?")
        self.person.settled()
        self.person.page.locator(".stRadio label").filter(has_text=title).first.click()
        self.person.settled()
        self.person.page.get_by_role("button", name="State this condition", exact=True).wait_for()
        ticks = self.person.page.locator(".stCheckbox label")  # none where every line is stated by typing
        if ticks.count():
            self.person.tick_all()
        for label, text in told.items():
            self.person.fill(label.replace("_", " "), text)
        self.page_once(f"condition-{title.lower().replace(' ', '-')}")
        self.onward("State this condition")
        self.person.sees("In this visit")

    def page_once(self, name: str) -> None:
        """Look at a page without loading it again: what is typed would be gone."""
        self.person.look(name)
        self.faults += [f"{name}: too small: {one}" for one in self.person.small_targets()]

    def walk(self, number: int) -> None:
        """Go into the round of a leg, by its place in the list."""
        self.hub()
        self.press("Go round", number)
        self.person.page.wait_for_function("/[?&](leg|item)=/.test(location.search)")
        self.settled()
        if "item=" in self.person.page.url:  # nobody has begun the leg: its first item stands there
            self.press("Back to the leg's round")
        self.person.sees("Round of the")
        self.settled()

    def sign(self, label: str) -> None:
        self.person.page.get_by_label("Password of").first.fill(PASSWORD)
        self.press(label)

    def count(self, number: int) -> None:
        fields = self.person.page.locator(".stNumberInput input")
        fields.nth(0).fill(str(number))
        fields.nth(1).fill("6")
        self.onward("Enter this count")

    def step(self, name: str) -> None:
        """Go to a step of the visit from its own page."""
        self.hub()
        self.settled()
        before = self.person.page.url
        self.person.page.locator(f".st-key-to-{name} button").click()
        self._came_on(before)


STANDS_STILL = """least => new Promise((done, failed) => {
    const app = document.querySelector('[data-testid=stApp]'), begun = performance.now();
    const anew = () => {
        const watch = {app, last: begun, deed: false};
        new MutationObserver(() => { watch.last = performance.now(); })
            .observe(app, {subtree: true, childList: true, characterData: true, attributes: true});
        for (const deed of ['pointerdown', 'click', 'keydown', 'input', 'change'])
            window.addEventListener(deed, () => { watch.deed = true; }, true);
        return watch;
    };
    const watch = window.gwWatch = window.gwWatch?.app === app ? window.gwWatch : anew();
    if (watch.deed) watch.last = begun;
    watch.deed = false;
    const rests = () =>
        app.dataset.testScriptState === 'notRunning' && performance.now() - watch.last >= least;
    if (rests()) return done();
    const clock = setInterval(() => {
        if (!rests() && performance.now() - begun < 30000) return;
        clearInterval(clock);
        rests() ? done() : failed(new Error('the page is drawn anew without end'));
    }, 20);
})"""
"""A page is watched from the first time on that this is asked: who asks again before anything was done on it is
answered by the stillness seen already.  After a deed the moment begins when it is asked."""
