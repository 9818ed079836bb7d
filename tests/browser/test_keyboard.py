"""The inspector's desk by keyboard alone: sign-in, queue, both ends placed, stored, signed; no pointer is used."""

from typing import Any

from tests.browser.chromium import DESKTOP
from tests.browser.demo_server import PASSWORD, DemoServer
from tests.browser.person import IMAGES, Person
from tests.browser.test_two_people import demo, filled, truth

__all__ = ["demo", "filled"]
MOST_TABS = 60
_FOCUSED = """() => {
    let at = document.activeElement;
    while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
    if (!at || at === document.body) return {words: '', seen: true, page: true};
    const drawn = one => {
        const style = getComputedStyle(one);
        return (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0) || style.boxShadow !== 'none';
    };
    const near = [at];
    while (near.length < 4 && near.at(-1)) near.push(near.at(-1).parentElement);
    const labels = at.labels ? [...at.labels].map(one => one.innerText) : [];
    return {
        words: (at.getAttribute('aria-label') || labels.join(' ') || at.innerText || '').trim().replace(/\\s+/g, ' '),
        seen: near.some(one => one && drawn(one)),
        page: false,
    };
}"""


class Keys:
    """A person whose hands stay on the keyboard; what has the focus and cannot be seen to is gathered."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.unseen: list[str] = []

    def to(self, words: str) -> None:
        """Press Tab until what is called so has the focus."""
        passed = []
        for _ in range(MOST_TABS):
            self.person.page.keyboard.press("Tab")
            at = self.person.page.evaluate(_FOCUSED)
            passed.append(at["words"])
            if not at["seen"]:
                self.unseen.append(at["words"])
            if at["words"] == words:
                return
        raise AssertionError(f"no {words!r} within {MOST_TABS} tabs: {passed}")

    def press(self, words: str) -> None:
        self.person.settled()
        self.to(words)
        self.person.page.keyboard.press("Enter")
        self.person.page.wait_for_timeout(300)
        self.person.settled()

    def place(self, mark: int, x: float, y: float) -> None:
        """Set the mark that is active, in the pane that has the focus."""
        for key in ("0", "Enter", "+", "+", "+", "+"):
            self.person.page.keyboard.press(key)
        self.person._nudge(mark, x, 0, ("ArrowLeft", "ArrowRight"))
        self.person._nudge(mark, y, 1, ("ArrowUp", "ArrowDown"))


def test_an_inspector_confirms_a_strut_by_keyboard_alone(chromium: Any, demo: DemoServer) -> None:
    inspector = Person(chromium, demo.url, "Inspector", DESKTOP, "light")
    keys = Keys(inspector)
    inspector.sees("Which leg?")
    keys.to("Sign out")
    inspector.page.keyboard.press("Enter")
    inspector.page.get_by_role("button", name="Inspector", exact=True).wait_for()
    keys.to("Inspector")
    inspector.page.keyboard.press("Enter")
    inspector.sees("Which leg?")
    keys.press("Waiting")
    inspector.sees("Waiting for a second person")
    keys.press("Read the photo")
    inspector.sees("Read the bare photo")
    inspector.page.locator(".pane").wait_for()
    known = truth(IMAGES / "reads_within" / "left_main_sun.jpg")
    keys.to("Photo")
    inspector.page.keyboard.press("n")  # on the way here the last mark had the focus, and was chosen
    keys.place(0, *known["from_px"])
    inspector.page.keyboard.press("n")
    keys.place(1, *known["to_px"])
    keys.press("Use these places")
    keys.press("Store my reading")
    inspector.sees("All readings side by side")
    inspector.sees("Agree")
    keys.to("Password of Inspector")
    inspector.page.keyboard.type(PASSWORD)
    keys.press("Sign")
    inspector.sees("Signed by")
    assert not keys.unseen, f"has the focus and does not show it: {sorted(set(keys.unseen))}"
    assert not inspector.faults
