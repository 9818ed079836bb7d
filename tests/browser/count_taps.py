"""How many taps a leg's round on its wheels takes: ``python -m tests.browser.count_taps [OUT.json]``.

The first person's round of one leg by the supplied programme, on a phone, everything in
order and nothing skipped that can be answered: the strut by its photo, gauges by
entered instruments, counts by number.  What is looked at and felt takes its own time;
counted here is what the tool adds: taps, fields typed, and the seconds from a tap to
the next item on the screen.
"""

import json
import sys
import tempfile
import time
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from app.archive import open_archive
from app.inspection import Inspections, SystemClock
from app.inspection.rounds.quantities import UNITS
from app.people import People
from app.programme import read_programme, supplied_text
from tests.app.records_house import TenthsPerPixel
from tests.browser.chromium import EXECUTABLE, FLAGS, PHONE
from tests.browser.person import IMAGES, Person
from tests.browser.photo_of_today import of_today
from tests.browser.shop_server import PASSWORD, ShopServer, set_up

LEG = "nose"
PHOTO = IMAGES / "reads_within" / "nose_from_above.jpg"
FITTED = {
    "strut_inflation": "extension", "shimmy_damper": "none", "steering": "fixed", "wheel": "divided",
    "wheels": "one", "tire_line": "none", "brake": "hydraulic", "fluid_lines": "fitted", "control_cables": "none",
    "turnbuckles": "none", "doors": "fitted", "alternate_extension": "fitted",
}  # fmt: skip
LIKELY_UNIT = {"pressure": "psi", "length": "mm", "force": "N", "torque": "N m", "temperature": "C"}
MOST_ITEMS = 120


class Counted:
    """A person whose taps, typed fields and waits are counted, by what they were for."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.taps: Counter[str] = Counter()
        self.typed: Counter[str] = Counter()
        self.waits: list[float] = []
        self.answered: Counter[str] = Counter()

    def tap(self, name: str, what: str, which: int = 0) -> None:
        self.person.settled()
        self.person.press(name, which)
        self.taps[what] += 1
        self.person.settled()

    def choose(self, label: str, what: str, option: str = "") -> None:
        """Choose in a list: a tap that folds it out and a tap on the choice, the first where none is named."""
        page = self.person.page
        field = page.get_by_role("combobox", name=label).first
        field.evaluate("one => one.scrollIntoView({block: 'center'})")
        field.click()
        page.wait_for_timeout(400)
        options = page.get_by_role("option")
        if not options.first.is_visible():
            field.press("ArrowDown")
        (page.get_by_role("option", name=option, exact=True) if option else options).first.click()
        page.wait_for_timeout(300)
        self.person.settled()
        self.taps[what] += 2

    def type(self, label: str, text: str, what: str) -> None:
        self.person.page.get_by_label(label).first.fill(text)
        self.typed[what] += 1

    def title(self) -> str:
        return str(self.person.page.locator(".stMain h1").first.inner_text())

    def to_next(self, name: str, what: str) -> None:
        """Tap, and wait until another item stands there."""
        self.person.settled()
        before, begun = self.person.page.url, time.monotonic()
        self.person.press(name)
        self.taps[what] += 1
        try:
            self.person.page.wait_for_function("before => location.href !== before", arg=before)
        except Exception:
            print(f"stuck at {self.title()!r} after {name!r}:", self.person.words()[-600:], file=sys.stderr)
            raise
        self.person.settled()
        self.waits.append(time.monotonic() - begun)
        self.answered[what] += 1


def answer(one: Counted) -> bool:
    """Answer the item that is on the screen; return False at the end of the round."""
    page = one.person.page
    one.person.settled()
    page.wait_for_timeout(150)
    if one.title().startswith("Round of"):
        return False
    shown = {words.strip() for words in page.locator(".stMain button").all_inner_texts()}
    if "Photograph the strut" in shown:
        photograph(one)
    elif "Enter this count" in shown:
        fields = page.locator(".stNumberInput input")
        fields.nth(0).fill("6")
        fields.nth(1).fill("6")
        one.typed["count"] += 2
        one.to_next("Enter this count", "count")
    elif "Enter this reading" in shown:
        gauge(one)
    elif "Level right" in shown:
        one.type("How the level was found", "sight glass, middle", "servicing")
        one.to_next("Level right", "servicing")
    elif "Nothing wrong" in shown:
        one.to_next("Nothing wrong", "by eye")
    else:
        one.to_next("Skip, come back later", "skipped")
    return True


def gauge(one: Counted) -> None:
    page = one.person.page
    field = page.get_by_role("combobox").first
    label = str(field.get_attribute("aria-label"))
    if field.is_disabled():  # no instrument for it is entered
        one.to_next("Skip, come back later", "skipped")
        return
    one.choose(label, "gauge")
    unit = page.get_by_role("combobox", name="Unit").first
    if not unit.input_value():
        one.choose("Unit", "gauge")
    one.type("Readings", "5", "gauge")
    one.type("At least", "1", "gauge")
    one.type("At most", "9", "gauge")
    document = page.get_by_label("Limit's document and revision").first
    if document.count() and not document.input_value():
        one.type("Limit's document and revision", "demo manual 32-10", "gauge")
    one.to_next("Enter this reading", "gauge")


def photograph(one: Counted) -> None:
    """The strut by its photo: state, photograph, read, send, and back to the round."""
    item = one.person.page.url
    one.tap("Photograph the strut", "photo")
    one.person.sees("Before the photo")
    one.person.settled()
    one.taps["photo"] += one.person.page.locator(".stCheckbox label").count()
    one.person.tick_all()
    one.tap("Go on to the photo", "photo")
    one.person.sees("Photograph the strut")
    one.person.settled()
    begun = time.monotonic()
    one.person.hand_over(of_today(PHOTO, Path(tempfile.mkdtemp())))
    one.taps["photo"] += 2  # the camera opens, its shutter
    send = one.person.page.get_by_role("button", name="Send to be confirmed")
    try:
        send.wait_for(timeout=120_000)  # two cores that others may be using too
    except Exception:
        print("no reading came:", one.person.words()[-900:], file=sys.stderr)
        raise
    one.waits.append(time.monotonic() - begun)
    one.tap("Send to be confirmed", "photo")
    one.person.sees("Sent")
    one.person.settled()
    if one.person.page.get_by_role("button", name="Go on with the round").count():
        one.to_next("Go on with the round", "photo")
        return
    one.person.page.goto(item)  # three taps: next leg, go on, skip
    one.person.settled()
    one.taps["photo"] += 3
    one.to_next("Skip, come back later", "photo")


def begin(one: Counted) -> None:
    """Open the visit, state the card and the condition, go into the round."""
    person = one.person
    one.tap("Open a visit", "begin")
    person.sees("Read the opening card")
    one.tap("Read the opening card", "begin")
    person.sees("Before anything else")
    one.taps["begin"] += person.page.locator(".stCheckbox label").count()
    person.tick_all()
    one.tap("State it", "begin")
    person.sees("items closed")
    one.tap("State its condition", "begin")
    person.sees("How does the aircraft stand?")
    person.settled()
    person.page.locator(".stRadio label").filter(has_text="On its wheels").first.click()
    one.taps["begin"] += 1
    person.settled()
    boxes = person.page.locator(".stCheckbox label")
    boxes.first.wait_for()
    one.taps["begin"] += boxes.count()
    person.tick_all()
    for field in person.page.locator(".stForm .stTextInput input").all():
        field.fill("as stated")
        one.typed["begin"] += 1
    one.tap("State this condition", "begin")
    person.sees("In this visit")
    one.tap("Go round", "begin")
    person.sees("Round of the")
    person.settled()
    before = person.page.url
    person.page.locator(".st-key-next-item button").click()
    one.taps["begin"] += 1
    person.page.wait_for_function("before => location.href !== before", arg=before)
    person.settled()


def prepared(home: Path) -> None:
    """A shop whose one leg follows the supplied programme, with an instrument of every kind."""
    set_up(home, supplied_text(), (LEG,), demo_legs=True)
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        (aircraft,) = use.aircraft()
        (leg,) = use.legs(aircraft.id)
        use.answer_features(None, leg.id, FITTED)
        (keeper,) = (one for one in people.everyone() if one.name == "Inspector")
        wanted = {
            one.quantity for one in read_programme(supplied_text(), "supplied").items if one.quantity
        } - {"pressure"}
        for number, quantity in enumerate(sorted(wanted)):
            unit = LIKELY_UNIT.get(quantity, next(iter(UNITS[quantity])))
            ends = date(clock.now().year + 1, 1, 1)
            use.enter_instrument(keeper, f"{quantity} gauge", f"L-{number}", quantity, unit, 0.1, ends)


def counted() -> dict[str, Any]:
    """Walk one round and return its figures."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        prepared(home)
        server = ShopServer(home)
        server.start()
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=str(EXECUTABLE), args=FLAGS)
                one = Counted(Person(browser, server.url, "Mechanic", PHONE, "light", PASSWORD))
                begun = time.monotonic()
                begin(one)
                for _ in range(MOST_ITEMS):
                    if not answer(one):
                        break
                else:
                    msg = f"no end of the round after {MOST_ITEMS} items"
                    raise AssertionError(msg)
                one.person.go("/")
                all_s = time.monotonic() - begun
        finally:
            server.kill()
    waits = sorted(one.waits)
    return {
        "leg": LEG,
        "items": dict(one.answered),
        "taps": sum(one.taps.values()),
        "taps_by_what": dict(one.taps),
        "typed": sum(one.typed.values()),
        "typed_by_what": dict(one.typed),
        "wait_median_s": round(waits[len(waits) // 2], 2),
        "wait_longest_s": round(waits[-1], 2),
        "waits_all_s": round(sum(waits), 1),
        "script_all_s": round(all_s, 1),
    }


def main() -> None:
    """Print the figures, and write them where asked."""
    figures = json.dumps(counted(), indent=1)
    print(figures)
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(figures + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
