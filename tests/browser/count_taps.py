"""How many taps a leg's round on its wheels takes: ``python -m tests.browser.count_taps [OUT.json] [--new]``.

The first person's round of one leg by the supplied programme, on a phone, everything in
order and nothing skipped that can be answered: the strut by its photo, gauges by
entered instruments, counts by number.  What is looked at and felt takes its own time;
counted here is what the tool adds: taps, fields typed, and the seconds from a tap to
the next item on the screen.

What counts: every press of a button, tick, choice of a radio button, the two of a list
that folds out, the camera's opening and its shutter.  A field that is typed counts
apart.  What stands already as it should is not tapped.  The mechanic has read each
instrument once that day, on another aircraft, so its unit is known; ``--new`` counts in
a shop where nobody ever read one.
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
from app.inspection import Basis, Inspections, SystemClock
from app.inspection import Person as Mechanic
from app.inspection.rounds.given import Gauge
from app.inspection.rounds.quantities import UNITS
from app.people import People
from app.programme import ItemCondition, read_programme, supplied_text
from app.screens.round_steps.condition import STILL_HOLDS
from app.screens.visit_steps.condition import OPENED
from app.screens.visit_steps.searches.by_hand import ENTER as BY_HAND
from tests.app.records_house import TenthsPerPixel, leg_toml
from tests.browser.chromium import EXECUTABLE, FLAGS, PHONE
from tests.browser.person import IMAGES, Person
from tests.browser.photo_of_today import of_today
from tests.browser.shop_server import PASSWORD, ShopServer, set_up
from tests.browser.worker import STANDS_STILL, STILL_MS

LEG = "nose"
PHOTO = IMAGES / "reads_within" / "nose_from_above.jpg"
FITTED = {
    "strut_inflation": "extension", "shimmy_damper": "none", "steering": "fixed", "wheel": "divided",
    "wheels": "one", "tire_line": "none", "brake": "hydraulic", "fluid_lines": "fitted", "control_cables": "none",
    "turnbuckles": "none", "doors": "fitted", "alternate_extension": "fitted",
}  # fmt: skip
LIKELY_UNIT = {"pressure": "psi", "length": "mm", "force": "N", "torque": "N m", "temperature": "C"}
MOST_ITEMS = 120
_ANOTHER = """([url, title]) => location.href !== url
    && document.querySelector('.stMain h1')?.innerText.trim() !== title.trim()"""
"""The address is another before the page is."""


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
        before, begun = [self.person.page.url, self.title()], time.monotonic()
        self.person.press(name)
        self.taps[what] += 1
        try:
            self.person.page.wait_for_function(_ANOTHER, arg=before)
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
    page.evaluate(STANDS_STILL, STILL_MS)  # a button that is drawn anew meanwhile loses the tap
    if one.title().startswith("Round of"):
        return False
    shown = {words.strip() for words in page.locator(".stMain button").all_inner_texts()}
    if STILL_HOLDS in shown:
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
    elif BY_HAND in shown:
        by_hand(one)
        one.to_next("Nothing wrong", "by eye")
    elif "Nothing wrong" in shown:
        one.to_next("Nothing wrong", "by eye")
    else:
        one.to_next("Skip, come back later", "skipped")
    return True


def by_hand(one: Counted) -> None:
    """Hand, mirror and light all round the hoses, which "nothing wrong" without a photo asks for."""
    one.type("Doors: how they stood", "open and closed", "by hand")
    one.type("Steering: how it stood", "there is none", "by hand")
    one.person.page.locator(".stRadio label").filter(has_text="Nothing wrong").first.click()
    one.taps["by hand"] += 1
    one.tap(BY_HAND, "by hand")
    one.person.sees("Entered: Nothing wrong")


def gauge(one: Counted) -> None:
    page = one.person.page
    field = page.get_by_role("combobox").first
    label = str(field.get_attribute("aria-label"))
    if field.is_disabled():  # no instrument for it is entered
        one.to_next("Skip, come back later", "skipped")
        return
    if not field.input_value():
        one.choose(label, "gauge")
    unit = page.get_by_role("radiogroup", name="Unit")
    if not unit.locator("input:checked").count():
        unit.locator("label").first.click()
        one.taps["gauge"] += 1
        one.person.settled()
    one.type("Readings", "5", "gauge")
    one.type("At least", "1", "gauge")
    one.type("At most", "9", "gauge")
    document = page.get_by_label("Limit's document and revision").first
    if document.count() and not document.input_value():
        one.type("Limit's document and revision", "demo manual 32-10", "gauge")
    one.to_next("Enter this reading", "gauge")


def photograph(one: Counted) -> None:
    """The strut by its photo: state, photograph, read, send, and back to the round."""
    one.taps["photo"] += one.person.page.locator(".stCheckbox label").count()
    one.person.tick_all()
    one.tap(STILL_HOLDS, "photo")
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
    one.to_next("Send to be confirmed", "photo")
    one.person.sees("Sent to be confirmed")


def begin(one: Counted) -> None:
    """Open the visit, state the card and the condition, go into the round."""
    person = one.person
    one.tap("Open a visit", "begin")
    person.sees("Before anything else")
    one.tap(OPENED, "begin")
    person.sees("How does the aircraft stand?")
    person.settled()
    standing = person.page.locator(".stRadio label").filter(has_text="On its wheels").first
    standing.wait_for()
    if not standing.locator("input").is_checked():
        standing.click()
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
    before = person.page.url
    one.tap("Go round", "begin")
    person.page.wait_for_function("before => location.href !== before", arg=before)
    person.settled()


def prepared(home: Path, *, used: bool) -> None:
    """A shop whose one leg follows the supplied programme, with an instrument of every kind, used or new."""
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
        if used:
            (mechanic,) = (one for one in people.everyone() if one.name == "Mechanic")
            _read_before(use, mechanic)


def _read_before(use: Inspections, mechanic: Mechanic) -> None:
    """Read each instrument that a round of the leg asks for once, on another aircraft."""
    other = use.enter_aircraft("ZZ-GWO", "Aster 210", "Demo operator")
    leg = use.enter_leg(other.id, LEG, leg_toml("ZZ-GWO", LEG), Basis.PRIMARY)
    use.follow(None, other.id, use.programmes()[0].id)
    use.answer_features(None, leg.id, FITTED)
    visit = use.open_inspection(mechanic, other.id)
    use.state_opening(mechanic, visit.id)
    told = dict.fromkeys(
        ("load", "level", "settled", "brakes_and_chocks", "pins_in", "tires", "temperature"), "read"
    )
    use.state_condition(mechanic, visit.id, ItemCondition.ON_WHEELS, told)
    tools = {one.quantity: one.id for one in use.instruments()}
    items = {one.item.key: one.item.id for one in use.walk(mechanic, visit.id, leg.id).stops}
    for key, quantity, unit, state in (
        ("tire_pressure", "pressure", "psi", "loaded"), ("tire_tread", "length", "mm", ""),
    ):  # fmt: skip
        read = Gauge((5.0,), unit, tools[quantity], 1.0, 9.0, "demo manual 32-10", state=state)
        use.answer(mechanic, items[key], read)


def counted(*, used: bool) -> dict[str, Any]:
    """Walk one round and return its figures; `used` as in `prepared`."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        prepared(home, used=used)
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
        "instruments": "read before" if used else "new",
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
    names = [one for one in sys.argv[1:] if one != "--new"]
    figures = json.dumps(counted(used="--new" not in sys.argv), indent=1)
    print(figures)
    if names:
        Path(names[0]).write_text(figures + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
