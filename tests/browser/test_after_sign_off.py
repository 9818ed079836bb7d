"""Broken wires by their places, and what is put right after the sign-off, in a real browser.

What lies between the screens that are looked at here is entered through the use
cases, beside the running server, as a second person at another machine would.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.archive import open_archive
from app.inspection import Inspections, Person, SystemClock
from app.inspection.rounds.given import Break, ByEye, Wires
from app.inspection.rounds.model import Finding
from app.inspection.rounds.times import Times
from app.people import People
from app.programme import ItemCondition
from tests.app.records_house import FAST, TenthsPerPixel
from tests.app.rounds_house import ON_WHEELS, programme
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.shop_server import PASSWORD, ShopServer, set_up
from tests.browser.test_two_people import axe
from tests.browser.worker import Worker

__all__ = ["axe"]
PLACES = Wires((Break(100.0), Break(105.0, True), Break(300.0)), False, 6, 1, "demo manual 32-10-05 rev 3")
WHY = "clamp 3 is chafed as well, seen when the cowling came off"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[ShopServer]:
    yield from opened(tmp_path / "home", "hoses", "wires")


@pytest.fixture
def by_eye(tmp_path: Path) -> Iterator[ShopServer]:
    yield from opened(tmp_path / "home", "leaks", "cracks")


def opened(home: Path, *items: str) -> Iterator[ShopServer]:
    """A server whose one leg has these items, with a visit that is opened and stated on its wheels."""
    set_up(home, programme(*items), ("nose",))
    server = ShopServer(home)
    with Elsewhere(home) as other:
        visit = other.use.open_inspection(other.person("Mechanic"), other.use.aircraft()[0].id)
        for name in ("Mechanic", "Inspector"):
            other.use.state_opening(other.person(name), visit.id)
        other.use.state_condition(other.person("Mechanic"), visit.id, ItemCondition.ON_WHEELS, ON_WHEELS)
    server.start()
    yield server
    server.kill()


class Elsewhere:
    """The use cases on the same archive, in another process than the server."""

    def __init__(self, home: Path) -> None:
        clock = SystemClock()
        self.archive = open_archive(home, clock)
        people = People(self.archive.people, clock, session_hours=12, hasher=FAST)
        self.use: Any = Inspections(
            self.archive.records, self.archive.photos, clock, TenthsPerPixel(), people
        )
        self._everyone = {one.name: one for one in people.everyone()}

    def __enter__(self) -> "Elsewhere":
        return self

    def __exit__(self, *_: object) -> None:
        self.archive.close()

    def person(self, name: str) -> Person:
        return self._everyone[name]

    def sign_off(self) -> None:
        """The inspector's second looks, then the signatory's sign-off."""
        use, inspector, signatory = self.use, self.person("Inspector"), self.person("Signatory")
        (visit,) = use.inspections()
        for item in use.to_look_at(inspector, visit.id):
            use.look(inspector, item.id, PLACES if item.key == "wires" else ByEye(Finding.GOOD))
        use.sign_looks(inspector, visit.id, PASSWORD, use.looks_to_sign(inspector, visit.id).record_hash)
        times = Times(421.5, 610, 589)
        use.sign_off(signatory, visit.id, times, PASSWORD, use.whole(visit.id, times).record_hash)


def go_round(one: Worker) -> None:
    """Hoses by one tap, wires by their places, both signed."""
    one.enter("Go on with the visit")
    one.walk(0)
    one.onward("Begin: Hoses")
    one.onward("Nothing wrong")
    one.person.sees("Places of broken wires")
    one.page("wires", "Places of broken wires")
    fill = one.person.page.get_by_label
    fill("Places of broken wires").fill("two near the pulley")
    fill("Allowed in one inch").fill("6")
    fill("Allowed in a critical area").fill("1")
    one.press("Enter these wires")
    one.person.sees("names no places of broken wires")
    one.page_once("wires-refused")
    fill("Places of broken wires").fill("100 105c 300")
    one.onward("Enter these wires")
    one.step("sign")
    one.person.sees("2 in the worst inch")
    one.sign("Sign 2 answers")
    one.person.sees("Nothing waits for your signature.")


def correct_the_hoses(one: Worker) -> None:
    one.hub_signed()
    one.page("signed-off", "Correct an entry")
    one.press("Correct an entry")
    one.person.sees("Which entry is wrong?")
    one.page("which-entry", "Which entry is wrong?")
    one.press("Hoses: Nothing wrong")
    one.person.sees("Why it is corrected")
    one.person.fill("Why it is corrected", WHY)
    one.person.unfold("Something is wrong")
    one.person.fill("What is wrong", "outer cover chafed at clamp 3")
    one.press("Open a discrepancy")
    one.person.sees("You sign")
    one.page_once("correction")
    one.sign("Sign the correction")
    one.person.sees("Corrected after sign-off (1)")
    one.page("corrected", "A discrepancy stands for it")


def put_the_times_right(one: Worker) -> None:
    one.hub_signed()
    one.press("Put the times right")
    one.person.sees("Why they are put right")
    for label, value in (("Total time in service, h", "4210.5"), ("Cycles", "6100"), ("Landings", "5890")):
        field = one.person.page.get_by_label(label)
        field.fill(value)
        field.press("Enter")
        one.person.settled()
    one.person.fill("Why they are put right", "a digit was left out")
    one.person.page.get_by_label("Why they are put right").press("Enter")
    one.person.sees("You sign")
    one.page_once("times")
    one.sign("Sign the times")
    one.person.sees("4210.5 h, 6100 cycles, 5890 landings")
    one.page("times-right", "a digit was left out")


def test_wires_are_entered_and_a_signed_visit_is_put_right(chromium: Any, shop: ShopServer, axe: Any) -> None:
    mechanic = Worker(chromium, shop, "Mechanic", PHONE, "dark", axe)
    go_round(mechanic)
    with Elsewhere(shop.home) as other:
        other.sign_off()
    correct_the_hoses(mechanic)
    signatory = Worker(chromium, shop, "Signatory", DESKTOP, "light", axe)
    signatory.visit = mechanic.visit
    put_the_times_right(signatory)
    faults = [fault for worker in (mechanic, signatory) for fault in (*worker.faults, *worker.person.faults)]
    assert not faults, "\n".join(faults)
    shop.kill()
    with Elsewhere(shop.home) as other:
        (case,) = other.use.cases(mechanic.visit)
        assert "chafed at clamp 3" in case.discrepancy.text
        assert other.archive.verify().faults == ()


def test_a_second_tap_does_not_meet_the_next_items_answer(
    chromium: Any, by_eye: ShopServer, axe: Any
) -> None:
    one = Worker(chromium, by_eye, "Mechanic", PHONE, "light", axe)
    one.enter("Go on with the visit")
    one.walk(0)
    one.onward("Begin: Leaks")
    answer = one.person.page.get_by_role("button", name="Nothing wrong", exact=True)
    answer.evaluate("one => { one.dataset.tapped = 'yes'; }")
    one.onward("Nothing wrong")
    one.person.sees("Cracks")
    # Another element, whose animation begins anew: until it ends, no tap meets it.
    assert answer.evaluate("one => one.dataset.tapped ?? ''") == ""
    answer.evaluate("one => one.getAnimations().length || one.replaceWith(one.cloneNode(true))")
    (running,) = answer.evaluate("one => one.getAnimations().map(each => each.animationName)") or ["ended"]
    assert running == "gw-armed"
    assert answer.evaluate("one => getComputedStyle(one).pointerEvents") == "none"
    one.person.page.wait_for_timeout(1000)
    assert answer.evaluate("one => getComputedStyle(one).pointerEvents") == "auto"
