"""A hose in the browser: photographed, shown, searched, judged place by place, inspected by hand, entered.

It cannot be entered before all of that, nothing answers all at once, and a reload loses nothing.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.archive import open_archive
from app.inspection import Basis, Inspections, Item, ItemState, Person, SystemClock
from app.people import People
from app.programme import ItemCondition
from tests.app.hose_house import HOSE_PROGRAMME, LEG
from tests.app.records_house import FAST, TenthsPerPixel
from tests.app.rounds_house import ON_WHEELS
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.shop_server import ShopServer, set_up
from tests.browser.test_two_people import axe
from tests.browser.worker import Worker
from tests.scenes.hose import HEIGHT, WIDTH, HoseCase, hose_case
from tests.vision.hose.stored_case import places_along

__all__ = ["axe"]
SEED = 0
"""A rubber hose with two worn places, 1600 × 1200 px."""
HOSE = """
[hose]
name = "brake"
diameter_mm = {diameter:.2f}
cover = "{cover}"
"""
CAUTION = """
[[caution]]
key = "pressure_lines"
title = "Lines under pressure"
text = "Never feel for a leak with the hand: use card or paper."
source = "the tests"
"""
PROGRAMME = HOSE_PROGRAMME.replace("[[feature]]", f"{CAUTION}[[feature]]", 1).replace(
    'searches = ["hose"]', 'searches = ["hose"]\ncautions = ["pressure_lines"]'
)
SEARCHED_WITHIN_MS = 60_000
DIRT, REFLECTION = (
    "Dirt: lies on the cover; wipe it and look",
    "Reflection: a light mirrored on a sound cover",
)


@pytest.fixture(scope="module")
def drawn() -> HoseCase:
    return hose_case(SEED, "plain")


@pytest.fixture
def shop(tmp_path: Path, drawn: HoseCase) -> Iterator[tuple[ShopServer, str, str]]:
    """A server whose visit is opened and stated; with the visit and the hoses' item."""
    hose = drawn.truth.hoses[0]
    yield from hose_shop(tmp_path / "home", HOSE.format(diameter=hose.diameter_mm, cover=hose.cover))


def hose_shop(
    home: Path, told: str, programme: str = PROGRAMME, item: str = "hose_shiny_spots"
) -> Iterator[tuple[ShopServer, str, str]]:
    """Yield a server whose visit is opened and stated, on a leg with these hoses; the visit, and one item."""
    set_up(home, programme, legs=())
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        who: dict[str, Person] = {one.name: one for one in people.everyone()}
        (craft,) = use.aircraft()
        use.enter_leg(craft.id, "tail", LEG.format(registration="ZZ-GWT", hoses=told), Basis.PRIMARY)
        visit = use.open_inspection(who["Mechanic"], craft.id)
        for name in ("Mechanic", "Inspector"):
            use.state_opening(who[name], visit.id)
        use.state_condition(who["Mechanic"], visit.id, ItemCondition.ON_WHEELS, ON_WHEELS)
        items = {one.key: one.id for one in use.items(visit.id)}
    server = ShopServer(home)
    server.start()
    yield server, visit.id, items[item]
    server.kill()


class Judge(Worker):
    """A person on his way through the hoses of one item."""

    def open(self, address: str) -> None:
        self.address = address
        self.person.go(address)

    def part(self, part: str) -> None:
        self.person.go(f"{self.address}&part={part}")

    def locked(self, *words: str) -> None:
        """Look at the last step, where nothing can be entered yet, and come back."""
        here = self.person.page.url.removeprefix(self.person.url)
        self.part("enter")
        self.person.sees("Not yet:")
        for one in words:
            assert one in self.person.words(), (one, self.person.words())
        assert not self.buttons("Enter what was found") and not self.buttons("Store: it is not")
        self.person.go(here)

    def buttons(self, name: str) -> int:
        return int(self.person.page.get_by_role("button", name=name).count())

    def places(self) -> int:
        """How many places the photo has, as the heading of one says it."""
        heading = self.person.page.get_by_role("heading", name="Place ").first
        heading.wait_for()
        return int(str(heading.inner_text()).split(" of ")[1].split(":")[0])

    def judge(self, label: str) -> None:
        heading = str(self.person.page.get_by_role("heading", name="Place ").first.inner_text())
        pressed_one = self.buttons("Dirt: ")
        assert pressed_one == 1, "one place is answered at a time"
        self.onward(label)
        assert heading not in self.person.words()

    def left_aside(self) -> None:
        """What else was set aside is left so, where there is any; another may have brought some back."""
        self.settled()
        for label in ("Leave the others set aside", "Leave them set aside"):
            if self.buttons(label):
                self.onward(label)
                return

    def judges_again(self, kind: str, begins: str, marked_as: str, label: str) -> None:
        """As the second person, on the bare photo and on every place, told nothing of the first."""
        self.page(f"{kind}-second", begins)
        self.onward("Begin")
        self.page(f"{kind}-second-mark", "What do you see yourself?")
        for told in ("Dirt", "Reflection", marked_as, "Your answer"):
            self.person.does_not_see(told)
        self.press("I see none on the bare photo")
        self.wait_searched()
        self.page(f"{kind}-second-place", "Place 1 of")
        for told in (marked_as, "Your answer"):
            self.person.does_not_see(told)
        for _ in range(self.places()):
            self.onward(label)
        self.left_aside()

    def nothing_wrong(self) -> None:
        self.person.page.locator(".stRadio label").filter(has_text="Nothing wrong").first.click()
        self.settled()

    def wait_searched(self) -> None:
        self.person.page.get_by_role("heading", name="Place 1").first.wait_for(timeout=SEARCHED_WITHIN_MS)
        self.settled()


def photographed(mechanic: Judge, photo: Path, drawn: HoseCase) -> None:
    """From the item's page to the photo whose hose is shown along it and is being searched."""
    mechanic.page("hose-begin", "From which side the photo shows them")
    assert "Never feel for a leak with the hand" in mechanic.person.words()
    mechanic.person.fill("From which side the photo shows them", "front, from below")
    mechanic.onward("Go on to the photo")
    mechanic.person.sees("Square to the hose")
    mechanic.person.hand_over(photo)
    mechanic.person.sees("Show the hoses on the photo")
    mechanic.settled()
    mechanic.person.place_some(places_along(drawn.truth), (WIDTH, HEIGHT))
    mechanic.page_once("hose-shown")
    mechanic.person.reload()  # the places are kept in the browser
    mechanic.press("Use these places")
    mechanic.press("Search this hose")


def marked(mechanic: Judge, drawn: HoseCase) -> None:
    """The bare photo with one own mark, before anything of the search is shown."""
    mechanic.page("hose-mark", "What do you see yourself?")
    assert "Place 1" not in mechanic.person.words()
    x, y = drawn.truth.spots[0].outline_px.mean(axis=0).round()
    mechanic.person.place_some([(float(x), float(y))], (WIDTH, HEIGHT))
    mechanic.press("Use these places")
    mechanic.person.fill("What you see at 1 (may be left out)", "rubbed bright")
    mechanic.page_once("hose-marked")
    mechanic.press("Store my marks")
    mechanic.wait_searched()


def judged(mechanic: Judge) -> None:
    """Every place, one by one; nothing can be entered meanwhile, and a reload keeps what was said."""
    count = mechanic.places()
    assert count >= 3
    mechanic.page("hose-place", "Place 1 of")
    mechanic.locked("not looked at")
    for number in range(1, count):
        mechanic.judge((DIRT, REFLECTION)[number % 2])
        if number == 1:
            mechanic.person.reload()
            mechanic.person.sees(f"Place 2 of {count}")
            mechanic.person.sees("Reflection")
            mechanic.locked("not judged")
    mechanic.onward(DIRT)
    mechanic.page("hose-aside", "Set aside by the search")
    mechanic.onward("Bring back 1")
    mechanic.person.sees(f"Place {count + 1} of {count + 1}")
    mechanic.onward(REFLECTION)
    mechanic.left_aside()


def looked_at_by_hand(mechanic: Judge) -> None:
    """What was not searched, acknowledged stretch by stretch; then hand, mirror and light."""
    mechanic.locked("say how what the photos did not search of it was inspected", "by hand, mirror and light")
    mechanic.page("hose-cover", "What was not searched")
    mechanic.person.fill("How", "by hand with light and mirror")
    mechanic.nothing_wrong()
    mechanic.press("Acknowledge for brake")
    mechanic.person.sees("is not ticked")
    mechanic.person.tick_all()
    mechanic.press("Acknowledge for brake")
    mechanic.person.sees("Inspected instead:")
    mechanic.locked("by hand, mirror and light")
    mechanic.onward("Go on")
    mechanic.page("hose-hand", "By hand, with light and mirror")
    mechanic.person.fill("Doors: how they stood, or why there are none", "open and closed")
    mechanic.person.fill("Steering: how it stood, or why there is none", "full left and right")
    mechanic.press("Enter what hand, light and mirror found")
    mechanic.person.sees("Say what you found all round")
    mechanic.nothing_wrong()
    mechanic.press("Enter what hand, light and mirror found")
    mechanic.onward("Go on")


def judged_again(inspector: Judge) -> None:
    """The second person on the same photos."""
    inspector.judges_again("hose", "You judge the same photos on your own", "rubbed bright", REFLECTION)
    inspector.page("hose-second-store", "Store your judgements")
    inspector.onward("Store: it is not changed afterwards")


def test_hoses_by_two_people(
    chromium: Any, axe: Any, shop: tuple[ShopServer, str, str], drawn: HoseCase, tmp_path: Path
) -> None:
    server, visit, item = shop
    photo = tmp_path / "hose.jpg"
    photo.write_bytes(drawn.photo_bytes)
    mechanic = Judge(chromium, server, "Mechanic", PHONE, "light", axe)
    mechanic.open(f"/visit?visit={visit}&item={item}")
    photographed(mechanic, photo, drawn)
    marked(mechanic, drawn)
    judged(mechanic)
    looked_at_by_hand(mechanic)
    mechanic.page("hose-enter", "Enter what was found")
    mechanic.onward("Enter what was found")
    mechanic.person.go(f"/visit?visit={visit}&step=sign")
    mechanic.page("hose-sign", "Nothing that needs action was found on what was searched")
    assert "no wear" not in mechanic.person.words().lower()
    mechanic.sign("Sign 1 answers")
    mechanic.person.sees("Nothing waits for your signature.")

    inspector = Judge(chromium, server, "Inspector", DESKTOP, "dark", axe)
    inspector.open(f"/visit?visit={visit}&look={item}")
    judged_again(inspector)
    inspector.page("hose-side-by-side", "Both agree: the item closes.")
    inspector.sign("Sign 1 second looks")
    inspector.person.sees("To look at")
    with open_archive(server.home, SystemClock()) as archive, archive.records.look() as r:
        assert r.get(Item, item).state is ItemState.CLOSED
    assert mechanic.faults == [] and inspector.faults == []
    assert mechanic.person.faults == [] and inspector.person.faults == []
