"""A dead websocket, a server that dies, a wrong leg, a reading that is not one's own: in a real browser."""

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.screens.parts.reading import SUPPORTING
from tests.browser.chromium import PHONE
from tests.browser.demo_server import DemoServer
from tests.browser.person import IMAGES, Person
from tests.browser.test_two_people import demo, filled
from vision import notes

__all__ = ["demo", "filled"]
PHOTO = IMAGES / "reads_within" / "right_main_overcast.jpg"
OF_ANOTHER_LEG = IMAGES / "reads_within" / "left_main_sun.jpg"
U = "U with 95 % probability"


@pytest.fixture
def mechanic(chromium: Any, demo: DemoServer) -> Iterator[Person]:
    person = Person(chromium, demo.url, "Mechanic", PHONE, "light")
    yield person
    person.context.close()


def at_the_photo(person: Person) -> None:
    person.press_on_leg("Right main", "Photograph again")
    person.sees("Go on to the photo")
    person.settled()
    person.tick_all()
    person.press("Go on to the photo")
    person.sees("Photograph the strut")
    person.settled()


class Line:
    """The websocket between page and server, to be cut; what goes by HTTP goes on."""

    def __init__(self, page: Any) -> None:
        self.cut = False
        self.open: list[Any] = []
        page.route_web_socket("**/_stcore/stream", self._called)

    def _called(self, socket: Any) -> None:
        if self.cut:
            socket.close()
            return
        socket.connect_to_server()
        self.open.append(socket)

    def cut_now(self) -> None:
        self.cut = True
        for socket in self.open:
            socket.close()
        self.open.clear()


def test_a_photo_handed_over_while_the_websocket_is_dead_is_stored_and_read(
    mechanic: Person, demo: DemoServer
) -> None:
    line = Line(mechanic.page)
    mechanic.reload()
    at_the_photo(mechanic)
    line.cut_now()
    mechanic.hand_over(PHOTO)
    mechanic.page.get_by_role("button", name="Show the result").wait_for()
    line.cut = False
    mechanic.reload()
    mechanic.sees(U)
    mechanic.look("after-a-dead-websocket")


def test_a_photo_whose_server_dies_before_the_reading_is_read_by_the_next(
    mechanic: Person, demo: DemoServer
) -> None:
    at_the_photo(mechanic)
    with mechanic.page.expect_response("**/drafts/*/photo") as stored:
        mechanic.hand_over(PHOTO)
    assert stored.value.status == 200
    demo.kill()
    mechanic.does_not_see(U)
    demo.start()
    mechanic.reload()
    mechanic.sees(U)


def test_the_phone_waits_for_a_server_that_is_away_and_sends_by_itself(
    mechanic: Person, demo: DemoServer
) -> None:
    at_the_photo(mechanic)
    demo.kill()
    mechanic.hand_over(PHOTO)
    mechanic.sees("The photo is kept on this")
    demo.start()
    patience = time.monotonic() + 60
    while U not in mechanic.words() and time.monotonic() < patience:
        show = mechanic.page.get_by_role("button", name="Show the result")
        if show.is_visible():
            mechanic.reload()
        time.sleep(0.5)
    mechanic.sees(U)


def test_a_photo_of_a_second_leg_is_refused_by_its_tag(mechanic: Person) -> None:
    at_the_photo(mechanic)
    mechanic.hand_over(OF_ANOTHER_LEG)
    mechanic.sees(notes.WRONG_LEG.advice)
    mechanic.sees("No value")
    mechanic.does_not_see("mm ±")
    mechanic.does_not_see("Send to be confirmed")
    assert mechanic.page.get_by_role("link", name="Measure by hand").first.is_visible()
    mechanic.look("wrong-leg")


def waiting_try(inspector: Person, which: int) -> str:
    """Open the photo that waits as the `which`-th, and return its try's id."""
    inspector.go("/queue")
    inspector.press("Read the photo", which=which)
    inspector.sees("Read the bare photo")
    return str(inspector.page.url).split("try=")[1]


def test_nobody_confirms_his_own_work_or_without_his_own_reading(
    chromium: Any, mechanic: Person, demo: DemoServer
) -> None:
    inspector = Person(chromium, demo.url, "Inspector", PHONE, "light")
    asked = waiting_try(inspector, 0)
    assert inspector.page.get_by_label("Password of Inspector").count() == 0
    for hidden in ("mm ±", "Within", SUPPORTING):
        inspector.does_not_see(hidden)
    story = inspector.page.request.get(f"{demo.url}/drafts/{asked}")
    assert story.status == 403
    mechanic.go(f"/confirm?try={asked}")
    mechanic.sees("Only an inspector confirms")
    mechanic.does_not_see("Read the bare photo")
    mechanic.look("own-work")
    inspector.context.close()


def test_places_set_on_the_photo_are_still_there_after_a_reload(chromium: Any, demo: DemoServer) -> None:
    inspector = Person(chromium, demo.url, "Inspector", PHONE, "dark")
    waiting_try(inspector, 0)
    inspector.page.locator(".pane").wait_for()
    inspector.place(0, 1653.7, 2306.7)
    inspector.reload()
    inspector.page.locator(".pane").wait_for()
    assert inspector.readout(0) == (1653.7, 2306.7)
    inspector.context.close()


def test_who_signs_out_sees_nothing_more(mechanic: Person, tmp_path: Path) -> None:
    other = mechanic.context.new_page()
    other.goto(f"{mechanic.url}/archive")
    other.locator(".gw-block").first.wait_for()
    mechanic.press("Sign out")
    mechanic.page.get_by_role("button", name="Mechanic", exact=True).wait_for()
    other.get_by_role("link", name="Guide").click()
    other.get_by_text("Where to stand").wait_for(state="detached")
    assert "Where to stand" not in other.locator("body").inner_text()
