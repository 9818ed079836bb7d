"""Photos of a round without a network: the line cut, the page reloaded, the server restarted, two phones on one leg.

Nothing is lost, nothing is there twice, and each photo comes to its leg.
"""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.archive import open_archive
from app.inspection import Basis, Inspections, Role, SystemClock, Try
from app.inspection.gathered import Gathered
from app.people import People
from tests.app.records_house import FAST, TenthsPerPixel
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.person import IMAGES, Person
from tests.browser.shop_server import PASSWORD, ShopServer
from tests.browser.test_two_people import axe

__all__ = ["axe"]
PHOTOS = [IMAGES / name for name in (
    "reads_within/right_main_overcast.jpg", "reads_within/left_main_sun.jpg", "refuses/no_card.jpg",
)]  # fmt: skip
LEGS = {"nose": "nose.toml", "left main": "left_main.toml", "right main": "right_main.toml"}
SENT = "sent, none left on this device"


def set_up(home: Path) -> str:
    """Enter two mechanics and the demo's aircraft without a programme; return the aircraft's id."""
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        for name in ("Mechanic", "Mechanic 2"):
            people.enter(name, frozenset({Role.MECHANIC}), PASSWORD)
        aircraft = use.enter_aircraft("ZZ-GWT", "Aster 210", "Demo operator")
        for position, name in LEGS.items():
            toml = (IMAGES / "legs" / name).read_text(encoding="utf-8")
            use.enter_leg(aircraft.id, position, toml, Basis.PRIMARY)
        return aircraft.id


class Shop:
    """The server, and what stands in its archive."""

    def __init__(self, home: Path) -> None:
        self.aircraft = set_up(home)
        self.server = ShopServer(home)
        self.server.start()

    @property
    def page(self) -> str:
        return f"/gathered?aircraft={self.aircraft}"

    def rows(self, kind: type[Any]) -> list[Any]:
        with open_archive(self.server.home) as archive:
            with archive.records.look() as r:
                found = r.all(kind)
            assert archive.verify().faults == ()
            # A server that is killed while a photo comes in leaves the half of it there, harmless and named.
            # One that runs stores a file before the row that names it: for a moment nothing does.
            patience = time.monotonic() + 15
            while left := [one for one in archive.verify().orphans if not one.startswith("incoming/")]:
                assert time.monotonic() < patience, left
                time.sleep(0.5)
        return list(found)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    found = Shop(tmp_path / "home")
    yield found
    found.server.kill()


@pytest.fixture
def person(chromium: Any, shop: Shop) -> Iterator[Callable[..., Person]]:
    there: list[Person] = []

    def open_(name: str, screen: dict[str, Any] = PHONE, theme: str = "light") -> Person:
        one = Person(chromium, shop.server.url, name, screen, theme, PASSWORD)
        there.append(one)
        one.go(shop.page)
        one.page.locator(".gallery .pick").wait_for()
        return one

    yield open_
    for one in there:
        one.context.close()


def pick(one: Person, photos: list[Path]) -> None:
    one.page.locator(".gallery input[type=file]").set_input_files([str(photo) for photo in photos])


def kept(one: Person) -> int:
    return int(one.page.locator(".gallery .entries li").count())


def test_photos_picked_in_a_dead_spot_survive_reload_and_restart_and_arrive_once(
    shop: Shop, person: Callable[..., Person]
) -> None:
    one = person("Mechanic")
    uploads: list[str] = []
    one.page.on("request", lambda asked: uploads.append(asked.url) if asked.method == "PUT" else None)
    one.page.route("**/aircraft/*/photos/*", lambda route: route.abort())
    pick(one, PHOTOS)
    one.sees("The photos are kept on this device")
    assert kept(one) == 3
    one.look("dead-spot")
    for _ in range(2):  # as a phone does whose tab slept behind the camera
        one.reload()
        one.sees("The photos are kept on this device")
        assert kept(one) == 3
    assert shop.rows(Gathered) == []

    # The network comes back, and the first of them is stored while its answer is lost.
    lost: list[str] = []

    def lose_the_first_answer(route: Any) -> None:
        if lost:
            route.abort()
            return
        lost.append(route.request.url)
        route.fetch()
        route.abort()

    # Over the dead spot and not in its place: the page tries by itself, also in a moment between the two.
    one.page.route("**/aircraft/*/photos/*", lose_the_first_answer)
    one.try_now()
    one.page.wait_for_function("() => true")
    while not lost or not shop.rows(Gathered):
        one.page.wait_for_timeout(100)
    assert kept(one) == 3
    shop.server.kill()
    one.page.unroute("**/aircraft/*/photos/*")
    one.page.wait_for_timeout(500)
    shop.server.start()
    one.try_now()
    one.sees(SENT)
    one.sees("Waiting for their leg: 3")
    assert kept(one) == 0
    assert len(shop.rows(Gathered)) == 3

    before = len(uploads)
    one.reload()
    one.page.locator(".gallery .pick").wait_for()
    one.page.wait_for_timeout(1000)
    assert len(uploads) == before  # nothing is sent that the server has
    pick(one, PHOTOS)
    one.sees(f"3 {SENT}")
    assert len(shop.rows(Gathered)) == 3
    assert one.faults == []


def test_a_gathered_photo_comes_to_its_leg_by_its_tag_and_is_read(
    shop: Shop, person: Callable[..., Person]
) -> None:
    one = person("Mechanic")
    pick(one, PHOTOS[:1])
    one.sees("The tag in the picture says")
    one.sees("The photo was taken")
    one.settled()
    one.look("by-its-tag")
    assert one.sideways() <= 0
    one.press("Give it to the right main")
    one.sees("not stated yet")
    one.tick_all()
    one.press("Give it to the right main")
    one.sees("Say why it shows this leg")
    one.fill("Why it shows this leg under this condition", "Taken on the ramp an hour ago, no network there.")
    one.press("Give it to the right main")
    one.sees("Waiting for their leg: 0")
    (given,) = shop.rows(Try)
    assert any("no network there" in line for line in given.statements)
    assert given.photo_name == PHOTOS[0].name
    while not (given := shop.rows(Try)[0]).result:
        one.page.wait_for_timeout(300)
    assert given.result["status"] == "reading"
    assert one.faults == []


def test_two_phones_on_one_leg_lose_nothing_and_double_nothing(
    shop: Shop, person: Callable[..., Person]
) -> None:
    one, other = person("Mechanic"), person("Mechanic 2", DESKTOP, "dark")
    for who in (one, other):
        pick(who, PHOTOS[:2])
    for who in (one, other):
        who.sees("Waiting for their leg: 2")
        who.settled()
    other.look("two-wait")
    rows = shop.rows(Gathered)
    assert len(rows) == 4
    assert len({row.photo for row in rows}) == 2
    for who in (one, other):
        who.tick_all()
        who.fill("Why it shows this leg under this condition", "Taken on the ramp an hour ago.")
        who.press("Give it to the right main")
        who.sees("Waiting for their leg: 1")
    tries = shop.rows(Try)
    assert len(tries) == 2
    assert len({this.performer_id for this in tries}) == 2
    assert one.faults == other.faults == []


def test_a_network_that_is_away_for_ten_minutes_is_tried_again_by_itself(
    shop: Shop, person: Callable[..., Person]
) -> None:
    one = person("Mechanic")
    one.page.clock.install()
    one.reload()
    tried: list[str] = []

    def away(route: Any) -> None:
        tried.append(route.request.url)
        route.abort()

    one.page.route("**/aircraft/*/photos/*", away)
    pick(one, PHOTOS[:2])
    one.sees("The photos are kept on this device")
    for _ in range(20):  # half a minute each, the longest pause between two tries
        before = len(tried)
        one.page.clock.run_for(30_500)
        for _ in range(40):  # a try that was begun fails in real time, and the next pause begins after it
            if len(tried) > before:
                break
            one.page.wait_for_timeout(50)
    assert len(tried) >= 15
    assert kept(one) == 2
    assert shop.rows(Gathered) == []
    one.page.unroute("**/aircraft/*/photos/*")
    one.page.clock.run_for(31_000)
    one.sees(SENT)
    assert len(shop.rows(Gathered)) == 2


@pytest.mark.parametrize(("screen", "theme"), [(PHONE, "light"), (DESKTOP, "dark")], ids=["phone", "desktop"])
def test_the_page_is_within_reach_of_everybody(
    shop: Shop, person: Callable[..., Person], axe: Any, screen: dict[str, Any], theme: str
) -> None:
    one = person("Mechanic", screen, theme)
    pick(one, PHOTOS[2:])
    one.sees("Waiting for their leg: 1")
    one.settled()
    one.look("within-reach")
    assert one.axe(axe) == []
    assert one.small_targets() == []
    assert one.sideways() <= 0
    assert one.faults == []
