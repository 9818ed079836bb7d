"""Two phones go round three legs: the network goes in the middle, the server is started anew, every page is reloaded.

Both phones come to one leg at once.
"""

import time
from collections import Counter
from dataclasses import dataclass
from typing import Any

from app.archive import open_archive
from app.inspection import Item
from app.inspection.rounds.model import Answer
from tests.browser.chromium import PHONE
from tests.browser.shop_server import ShopServer
from tests.browser.worker import Worker

ITEMS = ("hoses", "bolts")
LEGS = 3
_TWICE = "Another person has answered this."


@dataclass(frozen=True)
class Round:
    """What the archive holds after the round."""

    answers: dict[str, int]
    """How many answers each item has, by its id."""
    items: int
    unsigned: int
    faults: tuple[object, ...]
    complaints: list[str]
    """What the browsers complained about."""
    seconds: float


class Phone(Worker):
    """A person with a phone whose network can be cut; every page is reloaded before anything is done on it."""

    def __init__(self, chromium: Any, shop: ShopServer, name: str, theme: str, axe: Any) -> None:
        super().__init__(chromium, shop, name, PHONE, theme, axe)
        self._cut = False
        self._open: list[Any] = []
        self.person.page.route_web_socket("**/_stcore/stream", self._called)
        self.person.reload()

    def _called(self, socket: Any) -> None:
        if self._cut:
            socket.close()
            return
        socket.connect_to_server()
        self._open.append(socket)

    def out_of_reach(self) -> None:
        """Nothing gets out any more."""
        self._cut = True
        self.person.context.set_offline(True)
        for socket in self._open:
            socket.close()
        self._open.clear()

    def in_reach(self) -> None:
        """The network is there again; the phone's tab is looked at anew."""
        self._cut = False
        self.person.context.set_offline(False)

    def anew(self) -> None:
        """Load the page again."""
        self.person.reload()
        self.settled()

    def answer(self, title: str) -> None:
        """Answer the item that stands on the page, which is loaded again first."""
        self.anew()
        self.person.sees(title)
        if title == "Bolts":
            self.typed_count()
            self.anew()  # what was typed is still there
            self.onward("Enter this count")
        else:
            self.onward("Nothing wrong")

    def typed_count(self) -> None:
        """Type the count without entering it."""
        fields = self.person.page.locator(".stNumberInput input")
        for field in (fields.nth(0), fields.nth(1)):
            field.click()
            self.person.page.keyboard.press("Control+a")
            self.person.page.keyboard.type("6")
            self.person.page.keyboard.press("Tab")
        self.person.page.wait_for_timeout(400)
        self.settled()


def go_round(chromium: Any, shop: ShopServer, axe: Any, cut_s: float) -> Round:
    """Go the whole round and return what the archive holds of it."""
    began = time.monotonic()
    one = Phone(chromium, shop, "Mechanic", "light", axe)
    two = Phone(chromium, shop, "Mechanic 2", "dark", axe)
    one.enter("Open a visit")
    one.person.sees("Before anything else")
    one.begin()
    one.state("On its wheels", Load_and_fuel="in the range, 90 l", Slope="0.1 degree")
    two.begin()

    both_on_one_leg(one, two)
    one.answer("Bolts")

    through_the_cut(one, two, cut_s)

    shop.kill()
    shop.start()
    for phone in (one, two):
        phone.anew()
    one.walk(2)
    one.onward("Begin: Hoses")
    for title in ("Hoses", "Bolts"):
        one.answer(title)
    for phone, number in ((one, 4), (two, 2)):
        phone.step("sign")
        phone.anew()
        phone.sign(f"Sign {number} answers")
        phone.person.sees("Nothing waits for your signature.")
    complaints = [*one.faults, *two.faults, *one.person.faults, *two.person.faults]
    for phone in (one, two):
        phone.person.context.close()
    shop.kill()
    return _held(shop, complaints, time.monotonic() - began)


def both_on_one_leg(one: Phone, two: Phone) -> None:
    """Both stand before the same item; who is second is told so and enters nothing."""
    for phone in (one, two):
        phone.walk(0)
        phone.onward("Begin: Hoses")
    one.onward("Nothing wrong")
    two.press("Nothing wrong")
    two.person.sees(_TWICE)
    two.anew()


def through_the_cut(one: Phone, two: Phone, cut_s: float) -> None:
    """While nothing gets out, nothing can be pressed; what was typed before is there afterwards."""
    two.walk(1)
    two.onward("Begin: Hoses")
    two.out_of_reach()
    two.person.page.locator("button:disabled", has_text="Nothing wrong").wait_for()
    one.person.page.wait_for_timeout(1000 * cut_s)
    two.in_reach()
    two.anew()
    two.onward("Nothing wrong")
    two.person.sees("Enter this count")
    two.anew()
    two.typed_count()
    two.out_of_reach()
    one.person.page.wait_for_timeout(1000 * cut_s)
    two.in_reach()
    two.anew()
    two.onward("Enter this count")


def _held(shop: ShopServer, complaints: list[str], seconds: float) -> Round:
    with open_archive(shop.home) as archive:
        with archive.records.look() as r:
            answers, items = r.all(Answer), r.all(Item)
        faults = archive.verify().faults
    return Round(
        dict(Counter(one.item_id for one in answers)),
        len(items),
        sum(one.signature_id is None for one in answers),
        faults,
        complaints,
        seconds,
    )
